import { invert3 } from "./circleFit.ts";
import { medianInPlace } from "./lineFit.ts";

/** Plane z = a + b x + c y. */
export interface PlaneFit { a: number; b: number; c: number; scale: number; used: number }

/**
 * Robust plane through (x, y, z): least squares first, then ten rounds of Tukey's biweight at 4.685 · max(sigma, MAD scale). About a
 * seventh of the points may lie off it on one side, a quarter where they are scattered. Null with fewer than 6 points or where no plane is determined.
 */
export function robustPlane(x: Float64Array, y: Float64Array, z: Float64Array, count: number, sigma: number): PlaneFit | null {
  if (count < 6) return null;
  const weight = new Float64Array(count).fill(1);
  const scratch = new Float64Array(count);
  let fit: PlaneFit | null = null;
  for (let pass = 0; pass < 11; pass++) {
    fit = weightedPlane(x, y, z, weight, count);
    if (fit === null) return null;
    for (let i = 0; i < count; i++) scratch[i] = Math.abs((z[i] as number) - fit.a - fit.b * (x[i] as number) - fit.c * (y[i] as number));
    fit.scale = Math.max(sigma, medianInPlace(scratch, count) / 0.6745);
    const cut = 4.685 * fit.scale;
    fit.used = 0;
    for (let i = 0; i < count; i++) {
      const e = ((z[i] as number) - fit.a - fit.b * (x[i] as number) - fit.c * (y[i] as number)) / cut;
      const k = e > -1 && e < 1 ? (1 - e * e) * (1 - e * e) : 0;
      weight[i] = k;
      fit.used += k;
    }
  }
  return fit;
}

function weightedPlane(x: Float64Array, y: Float64Array, z: Float64Array, weight: Float64Array, count: number): PlaneFit | null {
  const m = new Float64Array(9);
  let g0 = 0, g1 = 0, g2 = 0;
  for (let i = 0; i < count; i++) {
    const w = weight[i] as number, xi = x[i] as number, yi = y[i] as number, zi = z[i] as number;
    m[0]! += w; m[1]! += w * xi; m[2]! += w * yi; m[4]! += w * xi * xi; m[5]! += w * xi * yi; m[8]! += w * yi * yi;
    g0 += w * zi; g1 += w * xi * zi; g2 += w * yi * zi;
  }
  m[3] = m[1]!; m[6] = m[2]!; m[7] = m[5]!;
  const inverse = invert3(m);
  if (inverse === null) return null;
  return {
    a: inverse[0]! * g0 + inverse[1]! * g1 + inverse[2]! * g2, b: inverse[3]! * g0 + inverse[4]! * g1 + inverse[5]! * g2,
    c: inverse[6]! * g0 + inverse[7]! * g1 + inverse[8]! * g2, scale: 0, used: 0,
  };
}
