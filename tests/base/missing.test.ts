import { describe, expect, it } from "vitest";
import { orNaN, orNull } from "../../lib/base/missing.ts";

describe("missing values", () => {
  it("NaN alone becomes null; 0, −0 and −3.5 are readings", () => {
    expect(orNull(Number.NaN)).toBeNull();
    expect(orNull(0)).toBe(0);
    expect(orNull(-0)).toBe(-0);
    expect(orNull(-3.5)).toBe(-3.5);
  });

  it("null alone becomes NaN; 0 stays 0", () => {
    expect(orNaN(null)).toBeNaN();
    expect(orNaN(0)).toBe(0);
    expect(orNaN(7.25)).toBe(7.25);
  });

  it.each([Infinity, -Infinity])("%d is a bug and a RangeError, never a reading", (value) => {
    expect(() => orNull(value)).toThrow(RangeError);
  });
});
