import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { medianInPlace, medianOf, robustLine, type LineFit } from "../../lib/kernel/lineFit.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

/** NIST StRD, Norris (linear regression, 36 pairs; check value 4.2). */
const NORRIS_Y = [0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2];
const NORRIS_X = [0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5];
const B0 = -0.262323073774029, B1 = 1.00211681802045, SD_B0 = 0.232818234301152, SD_B1 = 0.000429796848199937, SD_RESIDUAL = 0.884796396144373;

function fit(x: readonly number[], y: readonly number[], sigma: number, slopePrior: number): LineFit {
  return robustLine(Float64Array.from(x), Float64Array.from(y), x.length, sigma, slopePrior, new Float64Array(x.length));
}

describe("robustLine", () => {
  it("a line without noise comes back to 1e-9, its prior as good as flat", () => {
    const x = [-3, -1.2, 0.4, 2, 5.5, 7];
    const line = fit(x, x.map((v) => 0.25 + 0.04 * v), 0.01, 1e6);
    expect([line.a, line.b]).toEqual([expect.closeTo(0.25, 9), expect.closeTo(0.04, 9)]);
    expect(line.used).toBeCloseTo(6, 9);
  });

  it("NIST Norris: with a cut far out it is the certified least-squares line, b0 −0.262323, b1 1.00211682, and its standard deviations", () => {
    // sigma 100 puts Tukey's cut at 468.5: weights of 1 to 5e-5 for residuals up to 2.3
    const line = fit(NORRIS_X, NORRIS_Y, 100, 1e6);
    expect(line.a).toBeCloseTo(B0, 4);
    expect(line.b).toBeCloseTo(B1, 7);
    expect(SD_RESIDUAL * Math.sqrt(line.varA)).toBeCloseTo(SD_B0, 3);
    expect(SD_RESIDUAL * Math.sqrt(line.varB)).toBeCloseTo(SD_B1, 6);
  });

  it("NIST Norris: at the true noise of 0.885 the robust line lies within one certified standard deviation", () => {
    const line = fit(NORRIS_X, NORRIS_Y, SD_RESIDUAL, 1e6);
    expect(Math.abs(line.a - B0)).toBeLessThan(SD_B0);
    expect(Math.abs(line.b - B1)).toBeLessThan(SD_B1);
  });

  it("with 30 % of the points 0.2–1.2 mm too high, all on one side, σ 0.01 mm: offset to 6 µm and slope to 2 µm/mm, at any of 50 seeds", () => {
    for (let seed = 1; seed <= 50; seed++) {
      const random = makeRandom(seed, "outliers");
      const x = Array.from({ length: 100 }, (_, i) => -8 + 0.16 * i);
      const y = x.map((v, i) => 0.03 - 0.002 * v + 0.01 * random.gauss() + (i % 10 > 6 ? 0.2 + random.next() : 0));
      const line = fit(x, y, 0.01, 0.02);
      expect(Math.abs(line.a - 0.03), `seed ${seed}`).toBeLessThan(0.006);
      expect(Math.abs(line.b + 0.002), `seed ${seed}`).toBeLessThan(0.002);
      expect(line.used).toBeLessThan(71);
    }
  });

  it("stated variances are those of 600 draws to 15 % (60 points, σ 0.02 mm, seed 4)", () => {
    const random = makeRandom(4, "variances");
    const x = Array.from({ length: 60 }, (_, i) => 1 + 0.1 * i);
    const fits = Array.from({ length: 600 }, () => fit(x, x.map((v) => 0.4 + 0.01 * v + 0.02 * random.gauss()), 0.02, 1));
    const scale = meanOf(fits.map((f) => f.scale));
    expect(sdOf(fits.map((f) => f.a)) / (scale * Math.sqrt(fits[0]!.varA))).toBeGreaterThan(0.85);
    expect(sdOf(fits.map((f) => f.a)) / (scale * Math.sqrt(fits[0]!.varA))).toBeLessThan(1.15);
    expect(sdOf(fits.map((f) => f.b)) / (scale * Math.sqrt(fits[0]!.varB))).toBeGreaterThan(0.85);
    expect(sdOf(fits.map((f) => f.b)) / (scale * Math.sqrt(fits[0]!.varB))).toBeLessThan(1.15);
  });

  it("a cluster 0.1 mm wide invents no tilt: with a prior of 0.001 the slope stays under 0.002 where without it it passes 0.05 (seed 6)", () => {
    const random = makeRandom(6, "cluster");
    const slopes = (prior: number): number[] => Array.from({ length: 40 }, () => {
      const x = Array.from({ length: 12 }, (_, i) => 5 + 0.009 * i);
      return Math.abs(fit(x, x.map(() => 0.1 + 0.01 * random.gauss()), 0.01, prior).b);
    });
    expect(Math.max(...slopes(0.001))).toBeLessThan(0.002);
    expect(Math.max(...slopes(1e6))).toBeGreaterThan(0.05);
  });

  it("its scale is never under the known noise, and grows with what the data show", () => {
    const x = [0, 1, 2, 3, 4, 5, 6];
    expect(fit(x, x.map(() => 0.3), 0.011, 0.5).scale).toBe(0.011);
    expect(fit(x, [0.3, 0.42, 0.17, 0.33, 0.21, 0.44, 0.25], 0.011, 0.5).scale).toBeGreaterThan(0.05);
  });
});

describe("median", () => {
  it("is the element that sorting puts at n/2 (the upper of two middles), for any numbers (fast-check, seed 31)", () => {
    fc.assert(fc.property(fc.array(fc.double({ noNaN: true, min: -1e6, max: 1e6 }), { minLength: 1, maxLength: 200 }), (values) => {
      const expected = [...values].sort((a, b) => a - b)[values.length >> 1]!;
      expect(medianInPlace(Float64Array.from(values), values.length)).toBeCloseTo(expected, 12);
    }), { seed: 31, numRuns: 400 });
  });

  it("medianOf leaves its input as it is, and looks at the first 4 of 6 alone", () => {
    const values = Float64Array.of(4, 9, 1, 7, -100, 100);
    expect(medianOf(values, 4, new Float64Array(6))).toBe(7);
    expect([...values]).toEqual([4, 9, 1, 7, -100, 100]);
  });

  it("of nothing is NaN, never 0", () => {
    expect(medianInPlace(new Float64Array(3), 0)).toBeNaN();
  });
});
