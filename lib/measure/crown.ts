import { invert3 } from "../kernel/circleFit.ts";
import { outlineMm } from "../formula/bead.ts";
import type { BeadShape } from "../model/job.ts";

export interface CrownInput {
  readonly shape: BeadShape;
  /** Width of the bead that is looked at (measured where known) and its height as planned. */
  readonly widthMm: number; readonly heightMm: number;
  readonly count: number;
  readonly b: Float64Array; // Float64Array[cell], from the bead's middle, within ± 0.3 w
  readonly t: Float64Array; // Float64Array[cell], thickness
  readonly v: Float64Array; // Float64Array[cell], variance of t
}

export interface Crown { readonly heightMm: number; readonly variance: number }

/**
 * The highest point of the middle of a bead with its noise suppressed: t(b) = H − κ D(b) + τ b is fitted, D the drop of the
 * planned outline from its crown, with priors κ = 1 ± 0.3 and τ = 0 ± 0.5 h/w. A tilt counts only where it is over three of its own
 * standard deviations, since the maximum of noise is no height. Where the middle does not have that form (χ² over 2.5 a cell) the
 * highest mean over a fifth of the width counts. Null without cells.
 */
export function crownOf(c: CrownInput): Crown | null {
  if (c.count < 3) return null;
  const m = new Float64Array(9);
  const g = [0, 0, 0];
  const tiltPrior = 0.5 * c.heightMm / c.widthMm;
  m[4] = 1 / 0.09;
  m[8] = 1 / (tiltPrior * tiltPrior);
  g[1] = 1 / 0.09;
  for (let i = 0; i < c.count; i++) {
    const drop = dropAt(c, c.b[i] as number);
    const basis = [1, -drop, c.b[i] as number];
    const w = 1 / (c.v[i] as number);
    for (let p = 0; p < 3; p++) {
      g[p] = (g[p] as number) + w * (basis[p] as number) * (c.t[i] as number);
      for (let q = 0; q < 3; q++) m[3 * p + q] = (m[3 * p + q] as number) + w * (basis[p] as number) * (basis[q] as number);
    }
  }
  const cov = invert3(m);
  if (cov === null) return null;
  const at = (row: number): number => cov[3 * row]! * g[0]! + cov[3 * row + 1]! * g[1]! + cov[3 * row + 2]! * g[2]!;
  const height = at(0), kappa = at(1), tilt = at(2);
  if (misfit(c, height, kappa, tilt) > 2.5) return highestMean(c);
  if (Math.abs(tilt) < 3 * Math.sqrt(cov[8]!)) return { heightMm: height, variance: cov[0]! };
  return { heightMm: highestOfFit(c, height, kappa, tilt), variance: cov[0]! + (0.15 * c.widthMm) ** 2 * cov[8]! };
}

function dropAt(c: CrownInput, b: number): number {
  const h = Math.min(c.heightMm, c.shape === "stadium" ? c.widthMm : 2 * c.widthMm);
  return h - outlineMm(c.shape, c.widthMm, h, b);
}

function misfit(c: CrownInput, height: number, kappa: number, tilt: number): number {
  let chi = 0;
  for (let i = 0; i < c.count; i++) {
    const b = c.b[i] as number;
    const e = (c.t[i] as number) - (height - kappa * dropAt(c, b) + tilt * b);
    chi += e * e / (c.v[i] as number);
  }
  return chi / c.count;
}

function highestOfFit(c: CrownInput, height: number, kappa: number, tilt: number): number {
  let best = -Infinity;
  for (let i = 0; i < c.count; i++) {
    const b = c.b[i] as number;
    best = Math.max(best, height - kappa * dropAt(c, b) + tilt * b);
  }
  return best;
}

function highestMean(c: CrownInput): Crown {
  const span = Math.max(3, Math.min(c.count, Math.round(c.count / 3)));
  let best: Crown = { heightMm: -Infinity, variance: 0 };
  for (let i = 0; i + span <= c.count; i++) {
    let sum = 0, v = 0;
    for (let k = i; k < i + span; k++) { sum += c.t[k] as number; v += c.v[k] as number; }
    if (sum / span > best.heightMm) best = { heightMm: sum / span, variance: v / span / span };
  }
  return best;
}
