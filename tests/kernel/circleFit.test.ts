import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { fitCircle, invert3, type CircleFit } from "../../lib/kernel/circleFit.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

const TRUE = { x0: 0.37, z0: -0.21, r: 0.62 };

/** Samples of the upper arc of `degrees`, evenly in x, with noise in z. */
function arc(degrees: number, count: number, noise: () => number): { x: Float64Array; z: Float64Array } {
  const half = TRUE.r * Math.sin(degrees * Math.PI / 360);
  const x = Float64Array.from({ length: count }, (_, i) => TRUE.x0 - half + 2 * half * i / (count - 1));
  return { x, z: x.map((v) => TRUE.z0 + Math.sqrt(Math.max(0, TRUE.r ** 2 - (v - TRUE.x0) ** 2)) + noise()) };
}

const exact = (degrees: number): CircleFit | null => { const { x, z } = arc(degrees, 25, () => 0); return fitCircle(x, z, 0, 25, 0.01); };

describe("fitCircle", () => {
  it.each([60, 90, 120, 150, 178])("an exact arc of %d° gives x0 0.37, z0 −0.21, r 0.62 mm to 1e-6", (degrees) => {
    const fit = exact(degrees);
    expect(fit).toMatchObject({ x0: expect.closeTo(TRUE.x0, 6), z0: expect.closeTo(TRUE.z0, 6), r: expect.closeTo(TRUE.r, 6) });
    expect(fit?.rms).toBeLessThan(1e-3);
  });

  it("looks at samples [from, to) alone", () => {
    const { x, z } = arc(120, 30, () => 0);
    z.fill(9, 0, 4);
    z.fill(-9, 26);
    expect(fitCircle(x, z, 4, 26, 0.01)).toMatchObject({ x0: expect.closeTo(TRUE.x0, 6), r: expect.closeTo(TRUE.r, 6) });
  });

  it.each([[90, 0.02, 0.004], [120, 0.01, 0.002], [150, 0.005, 0.002]])("arcs of %d°, σ 0.01 mm in z, 31 samples: |bias| of the crown under 2 µm, of r under %d mm, of x0 under %d mm (400 draws, seed 3)", (degrees, biasR, biasX) => {
    const random = makeRandom(3, `circle ${degrees}`);
    const fits = Array.from({ length: 400 }, () => { const { x, z } = arc(degrees, 31, () => 0.01 * random.gauss()); return fitCircle(x, z, 0, 31, 0.01) as CircleFit; });
    expect(Math.abs(meanOf(fits.map((f) => f.z0 + f.r)) - TRUE.z0 - TRUE.r)).toBeLessThan(0.002);
    expect(Math.abs(meanOf(fits.map((f) => f.r)) - TRUE.r)).toBeLessThan(biasR);
    expect(Math.abs(meanOf(fits.map((f) => f.x0)) - TRUE.x0)).toBeLessThan(biasX);
  });

  it("its covariance is that of 400 draws of a 120° arc to 25 % (σ 0.01 mm, seed 5), and its rms is near 1", () => {
    const random = makeRandom(5, "circle covariance");
    const fits = Array.from({ length: 400 }, () => { const { x, z } = arc(120, 31, () => 0.01 * random.gauss()); return fitCircle(x, z, 0, 31, 0.01) as CircleFit; });
    const ratio = (of: (f: CircleFit) => number, at: number): number => sdOf(fits.map(of)) / Math.sqrt(meanOf(fits.map((f) => f.cov[at]!)));
    for (const value of [ratio((f) => f.x0, 0), ratio((f) => f.z0, 4), ratio((f) => f.r, 8)]) {
      expect(value).toBeGreaterThan(0.75);
      expect(value).toBeLessThan(1.25);
    }
    expect(meanOf(fits.map((f) => f.rms))).toBeGreaterThan(0.85);
    expect(meanOf(fits.map((f) => f.rms))).toBeLessThan(1.1);
  });

  it("four samples or a straight line give no circle: null", () => {
    const x = Float64Array.of(0, 1, 2, 3, 4, 5), z = Float64Array.of(0.1, 0.3, 0.5, 0.7, 0.9, 1.1);
    expect(fitCircle(x, z, 0, 4, 0.01)).toBeNull();
    expect(fitCircle(x, z, 0, 6, 0.01)).toBeNull();
  });
});

describe("invert3", () => {
  it("gives A A⁻¹ = 1 for symmetric positive matrices B Bᵀ + 1 (fast-check, seed 8)", () => {
    const entry = fc.double({ min: -3, max: 3, noNaN: true });
    fc.assert(fc.property(fc.array(entry, { minLength: 9, maxLength: 9 }), (b) => {
      const m = Float64Array.from({ length: 9 }, (_, i) => [0, 1, 2].reduce((sum, k) => sum + b[3 * Math.floor(i / 3) + k]! * b[3 * (i % 3) + k]!, i % 4 === 0 ? 1 : 0));
      const inverse = invert3(m) as Float64Array;
      for (let i = 0; i < 9; i++) {
        const product = [0, 1, 2].reduce((sum, k) => sum + m[3 * Math.floor(i / 3) + k]! * inverse[3 * k + i % 3]!, 0);
        expect(product).toBeCloseTo(i % 4 === 0 ? 1 : 0, 7);
      }
    }), { seed: 8, numRuns: 200 });
  });

  it("a singular matrix has none: null", () => {
    expect(invert3(Float64Array.of(1, 2, 3, 2, 4, 6, 3, 6, 9))).toBeNull();
  });
});
