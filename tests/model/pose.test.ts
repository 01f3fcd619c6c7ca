import { describe, expect, it } from "vitest";
import { unitPose } from "../../lib/model/pose.ts";

describe("a pose's quaternion", () => {
  it("is taken 0.001 off unit length and normalised, and refused just beyond", () => {
    expect(unitPose([1, 2, 3, 0, 0, 0, 1.00099])).toEqual([1, 2, 3, 0, 0, 0, 1]);
    expect(unitPose([1, 2, 3, 0, 0, 0, 0.99901])).toEqual([1, 2, 3, 0, 0, 0, 1]);
    expect(unitPose([1, 2, 3, 0, 0, 0, 1.00101])).toBeNull();
    expect(unitPose([1, 2, 3, 0, 0, 0, 0.99899])).toBeNull();
  });

  it("comes out bit for bit the same when it is read again", () => {
    const first = unitPose([0.1, 0.2, 0.3, 0.1, 0.5, 0.7, 0.5]);
    expect(first).not.toBeNull();
    expect(unitPose(first ?? [])).toEqual(first);
  });

  it("is null where one of the seven numbers is missing or not finite", () => {
    expect(unitPose([1, 2, 3, 0, 0, 1])).toBeNull();
    expect(unitPose([Number.NaN, 2, 3, 0, 0, 0, 1])).toBeNull();
    expect(unitPose([Infinity, 2, 3, 0, 0, 0, 1])).toBeNull();
  });

  it("starts at the index asked for", () => {
    expect(unitPose([9, 9, 1, 2, 3, 0, 0, 1, 0], 2)).toEqual([1, 2, 3, 0, 0, 1, 0]);
  });
});
