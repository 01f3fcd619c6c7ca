import { describe, expect, it } from "vitest";
import { beforeFold, distortInto, fixedPointInto, type Lens, undistortInto } from "../../lib/kernel/brownConrady.ts";

// x 0.3, y 0.2: r² 0.13, radial 0.974845, distorted (0.2924185, 0.195119): worked by hand from Brown's equations
const LENS: Lens = { fx: 800, fy: 800, cx: 640, cy: 360, k1: -0.2, k2: 0.05, p1: 0.001, p2: -0.0005, k3: 0 };
const out = new Float64Array(2);

describe("brownConrady", () => {
  it("sees the ideal point (0.3, 0.2) at the pixel (873.9348, 516.0952)", () => {
    distortInto(LENS, 0.3, 0.2, out);
    expect(out[0]).toBeCloseTo(873.9348, 9);
    expect(out[1]).toBeCloseTo(516.0952, 9);
  });

  it("comes within 3e-9 of it in five passes, (0.29962851, 0.19976109) after the first", () => {
    const [xd, yd] = [0.2924185, 0.195119];
    out.set([xd, yd]);
    fixedPointInto(LENS, xd, yd, out);
    expect(out[0]).toBeCloseTo(0.29962851, 8);
    expect(out[1]).toBeCloseTo(0.19976109, 8);
    for (let pass = 1; pass < 5; pass++) fixedPointInto(LENS, xd, yd, out);
    expect(Math.abs(out[0]! - 0.3)).toBeLessThan(3e-9);
    expect(Math.abs(out[1]! - 0.2)).toBeLessThan(3e-9);
  });

  it("finds each ideal point again within 1e-12, up to a hundredth before the fold", () => {
    const lenses: Lens[] = [LENS, { ...LENS, fy: 790, k1: -0.35, k2: 0.11, k3: -0.02 }, { ...LENS, k1: 0.3, k2: 0.1, k3: 0.05 }];
    let count = 0;
    for (const lens of lenses) {
      for (let x = -0.95; x < 1; x += 0.05) {
        for (let y = -0.73; y < 0.8; y += 0.05) {
          if (!beforeFold(lens, x * 1.01, y * 1.01)) continue;
          distortInto(lens, x, y, out);
          undistortInto(lens, out[0]!, out[1]!, out);
          expect(Math.abs(out[0]! - x), `${x} ${y}`).toBeLessThan(1e-12);
          expect(Math.abs(out[1]! - y), `${x} ${y}`).toBeLessThan(1e-12);
          count++;
        }
      }
    }
    expect(count).toBeGreaterThan(2000);
  });

  it("gives NaN for a pixel that no point before the fold reaches", () => {
    // r (1 − 0.25 r²) is greatest at r = √(4/3), where it is 0.76980
    const lens: Lens = { ...LENS, k1: -0.25, k2: 0, p1: 0, p2: 0 };
    undistortInto(lens, 640 + 800 * 0.7697, 360, out);
    expect(out[0]).toBeCloseTo(Math.sqrt(4 / 3), 1);
    expect(out[0]).toBeLessThan(Math.sqrt(4 / 3));
    for (const far of [0.77, 0.9, 1.6, 40]) {
      undistortInto(lens, 640 + 800 * far, 360, out);
      expect([out[0], out[1]], `${far} of the focal length`).toEqual([NaN, NaN]);
    }
  });

  it("takes no point from beyond a fold that lies between two rising parts", () => {
    // 1 − 2.4 s + 1.25 s² is negative from s = 0.61129 to s = 1.30871, by the quadratic formula
    const lens: Lens = { ...LENS, k1: -0.8, k2: 0.25, p1: 0, p2: 0 };
    expect([0.6112, 0.6114, 1.3086, 1.3088, 1.9].map((s) => beforeFold(lens, Math.sqrt(s), 0))).toEqual([true, false, false, false, false]);
    distortInto(lens, 1.6, 0, out);
    undistortInto(lens, out[0]!, out[1]!, out);
    expect(out[0] !== out[0] || out[0]! < Math.sqrt(0.6113)).toBe(true);
  });
});
