import { describe, expect, it } from "vitest";
import { outlineMm } from "../../lib/formula/bead.ts";
import { crownOf, type Crown, type CrownInput } from "../../lib/measure/crown.ts";
import type { BeadShape } from "../../lib/model/job.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

interface Made { shape?: BeadShape; widthMm?: number; heightMm?: number; count?: number; sigma?: number; laidHeightMm?: number; tilt?: number; noise?: () => number; lump?: (b: number) => number }

/** Cells of the middle 60 % of a bead, each with noise of `sigma`. */
function input({ shape = "stadium", widthMm = 1, heightMm = 0.5, count = 12, sigma = 0.006, laidHeightMm = heightMm, tilt = 0, noise = () => 0, lump = () => 0 }: Made): CrownInput {
  const b = Float64Array.from({ length: count }, (_, i) => 0.3 * widthMm * (2 * (i + 0.5) / count - 1));
  const t = b.map((x) => laidHeightMm * outlineMm(shape, widthMm, heightMm, x) / heightMm + tilt * x + lump(x) + sigma * noise());
  return { shape, widthMm, heightMm, count, b, t, v: b.map(() => sigma * sigma) };
}
const crown = (made: Made): Crown => crownOf(input(made)) as Crown;

describe("crownOf", () => {
  it.each<[string, Made, number]>([
    ["a stadium of 1.0 × 0.5 mm, flat on top", {}, 0.5], ["the same laid 0.43 mm high", { laidHeightMm: 0.43 }, 0.43],
    ["a half circle of 1.0 mm", { shape: "segment", heightMm: 0.5 }, 0.5], ["a shallow segment of 1.3 × 0.3 mm laid 0.34 mm high", { shape: "segment", widthMm: 1.3, heightMm: 0.3, laidHeightMm: 0.34 }, 0.34],
  ])("%s without noise: %d mm to 1 µm", (_what, made, height) => {
    expect(Math.abs(crown(made).heightMm - height)).toBeLessThan(0.001);
  });

  it.each<[string, Made]>([["a flat stadium", {}], ["a half circle", { shape: "segment" }]])("%s with 6 µm of noise a cell, 2000 draws (seed 21): |bias| under 2 µm, sd under 4 µm and as stated to 25 %; a maximum of the 12 cells would be 10 µm high", (_what, made) => {
    const random = makeRandom(21, "crown");
    const draws = Array.from({ length: 2000 }, () => crown({ ...made, noise: () => random.gauss() }));
    const heights = draws.map((c) => c.heightMm);
    expect(Math.abs(meanOf(heights) - 0.5)).toBeLessThan(0.002);
    expect(sdOf(heights)).toBeLessThan(0.004);
    expect(sdOf(heights) / Math.sqrt(meanOf(draws.map((c) => c.variance)))).toBeGreaterThan(0.75);
    expect(sdOf(heights) / Math.sqrt(meanOf(draws.map((c) => c.variance)))).toBeLessThan(1.25);
  });

  it("a tilt that is over three of its standard deviations counts at the higher side: 0.2 mm/mm over ± 0.275 mm is 55 µm more, to 5 µm", () => {
    expect(Math.abs(crown({ tilt: 0.2 }).heightMm - 0.5 - 0.2 * 0.275)).toBeLessThan(0.005);
    expect(Math.abs(crown({ tilt: -0.2 }).heightMm - 0.5 - 0.2 * 0.275)).toBeLessThan(0.005);
  });

  it("a tilt of 0.015 mm/mm, under three of its standard deviations, does not raise it: 0.500 mm to 1 µm", () => {
    expect(Math.abs(crown({ tilt: 0.015 }).heightMm - 0.5)).toBeLessThan(0.001);
  });

  it("where the middle has another form (a lump 0.15 mm high, a fifth of the width broad) the highest mean over a fifth counts", () => {
    const { heightMm } = crown({ lump: (b) => (Math.abs(b - 0.1) < 0.1 ? 0.15 : 0) });
    expect(heightMm).toBeGreaterThan(0.6);
    expect(heightMm).toBeLessThanOrEqual(0.65 + 1e-9);
  });

  it("noise is not clipped at 0: where nothing lies the mean of 1000 draws is 0 to 1 µm (seed 22)", () => {
    const random = makeRandom(22, "bare");
    expect(Math.abs(meanOf(Array.from({ length: 1000 }, () => crown({ laidHeightMm: 0, noise: () => random.gauss() }).heightMm)))).toBeLessThan(0.001);
    expect(Math.min(...Array.from({ length: 200 }, () => crown({ laidHeightMm: 0, noise: () => random.gauss() }).heightMm))).toBeLessThan(0);
  });

  it("two cells say nothing: null; three do", () => {
    expect(crownOf(input({ count: 2 }))).toBeNull();
    expect(crownOf(input({ count: 3 }))).not.toBeNull();
  });
});
