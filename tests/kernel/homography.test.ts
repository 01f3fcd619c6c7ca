import { describe, expect, it } from "vitest";
import { fitHomography, mapPoint } from "../../lib/kernel/homography.ts";

const out = new Float64Array(2);
const near = (h: Float64Array | null, expected: readonly number[]): void => expected.forEach((v, i) => expect(h?.[i], `h${i}`).toBeCloseTo(v, 9));

// both maps were written down first, and their points follow by hand
describe("fitHomography", () => {
  it("a square of 100 onto (10, 20), (100, 300/11), (100, 1800/13), (25, 425/3) gives [[1, 0.2, 10], [0.1, 1.5, 20], [0.001, 0.002, 1]]", () => {
    const h = fitHomography([0, 0, 100, 0, 100, 100, 0, 100], [10, 20, 100, 300 / 11, 100, 1800 / 13, 25, 425 / 3]);
    near(h, [1, 0.2, 10, 0.1, 1.5, 20, 0.001, 0.002, 1]);
    mapPoint(h!, 50, 50, out);
    expect([out[0], out[1]]).toEqual([expect.closeTo(60.869565, 6), expect.closeTo(86.956522, 6)]);
    mapPoint(h!, 25, 75, out);
    expect([out[0], out[1]]).toEqual([expect.closeTo(42.553191, 6), expect.closeTo(114.893617, 6)]);
  });

  it("the unit square onto (0, 0), (4, 0), (3, 2), (1, 2) gives [[4, 2, 0], [0, 4, 0], [0, 1, 1]], its middle (2, 4/3)", () => {
    const h = fitHomography([0, 0, 1, 0, 1, 1, 0, 1], [0, 0, 4, 0, 3, 2, 1, 2]);
    near(h, [4, 2, 0, 0, 4, 0, 0, 1, 1]);
    mapPoint(h!, 0.5, 0.5, out);
    expect([out[0], out[1]]).toEqual([expect.closeTo(2, 9), expect.closeTo(4 / 3, 9)]);
  });

  it("three points, or three of four on a line, determine none: null", () => {
    expect(fitHomography([0, 0, 1, 0, 0, 1], [0, 0, 2, 0, 0, 3])).toBeNull();
    expect(fitHomography([0, 0, 1, 0, 2, 0, 0, 1], [0, 0, 1, 0, 2, 0, 0, 1])).toBeNull();
    expect(fitHomography([5, 5, 5, 5, 5, 5, 5, 5], [0, 0, 1, 0, 1, 1, 0, 1])).toBeNull();
  });
});
