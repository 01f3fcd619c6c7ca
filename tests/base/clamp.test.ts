import { describe, expect, it } from "vitest";
import { clamp } from "../../lib/base/clamp.ts";

describe("clamp", () => {
  it.each([[0.84, 0.85], [0.85, 0.85], [0.86, 0.86], [1.14, 1.14], [1.15, 1.15], [1.16, 1.15]])("%d held inside [0.85, 1.15] is %d", (value, held) => {
    expect(clamp(value, 0.85, 1.15)).toBe(held);
  });

  it("NaN stays NaN: no reading is no limit", () => {
    expect(clamp(Number.NaN, -1.5, 2.5)).toBeNaN();
  });
});
