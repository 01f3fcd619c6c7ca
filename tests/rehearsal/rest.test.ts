import { describe, expect, it } from "vitest";
import { level } from "../../lib/rehearsal/rest.ts";

const arcMm = Float64Array.from({ length: 201 }, (_, i) => 0.1 * i);
const ground = (of: (s: number) => number): Float64Array => arcMm.map(of);

describe("level (the sag model is ours: common practice, no source)", () => {
  it("flat ground and a slope of 0.01 stay as they are, away from the ends, within 1e-9 mm", () => {
    for (const slope of [0, 0.01]) {
      const rest = level(arcMm, ground((s) => slope * s), 5, 0.5, 0.15);
      for (let k = 40; k < 160; k++) expect(rest[k]).toBeCloseTo(slope * 0.1 * k, 9);
    }
  });

  it("a hollow of 2 mm is bridged at the level of its banks and hangs 0.03 · 1.8 mm in the middle; one of 4 mm no deeper than 0.15 · 0.5 mm", () => {
    const depth = (widthMm: number): number => -(level(arcMm, ground((s) => (Math.abs(s - 10) < widthMm / 2 - 0.01 ? -0.125 : 0)), 5, 0.5, 0.05)[100] as number);
    expect(depth(2)).toBeCloseTo(0.03 * 1.8, 3);
    expect(depth(4)).toBeCloseTo(0.075, 3);
  });

  it("a hollow longer than the bridge of 5 mm is followed down", () => {
    expect(level(arcMm, ground((s) => (Math.abs(s - 10) < 4 ? -0.125 : 0)), 5, 0.5, 0.05)[100]).toBeCloseTo(-0.125, 6);
  });

  it("a bump of 0.2 mm is followed, not levelled away", () => {
    expect(level(arcMm, ground((s) => (Math.abs(s - 10) < 1 ? 0.2 : 0)), 5, 0.5, 0.15)[100]).toBeCloseTo(0.2, 6);
  });
});
