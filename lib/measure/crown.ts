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
  const { b, t, v, count } = c;
  dropsOf(c);
  const tiltPrior = 0.5 * c.heightMm / c.widthMm;
  // normal equations of (H, κ, τ) over (1, −D, b)
  let m00 = 0, m01 = 0, m02 = 0, m11 = 1 / 0.09, m12 = 0, m22 = 1 / (tiltPrior * tiltPrior), g0 = 0, g1 = 1 / 0.09, g2 = 0;
  for (let i = 0; i < count; i++) {
    const w = 1 / (v[i] as number), d = -(drops[i] as number), x = b[i] as number, y = w * (t[i] as number);
    m00 += w; m01 += w * d; m02 += w * x; m11 += w * d * d; m12 += w * d * x; m22 += w * x * x;
    g0 += y; g1 += y * d; g2 += y * x;
  }
  matrix.set([m00, m01, m02, m01, m11, m12, m02, m12, m22]);
  const cov = invert3(matrix);
  if (cov === null) return null;
  const at = (row: number): number => cov[3 * row]! * g0 + cov[3 * row + 1]! * g1 + cov[3 * row + 2]! * g2;
  const height = at(0), kappa = at(1), tilt = at(2);
  if (misfit(c, height, kappa, tilt) > 2.5) return highestMean(c);
  if (Math.abs(tilt) < 3 * Math.sqrt(cov[8]!)) return { heightMm: height, variance: cov[0]! };
  return { heightMm: highestOfFit(c, height, kappa, tilt), variance: cov[0]! + (0.15 * c.widthMm) ** 2 * cov[8]! };
}

const matrix = new Float64Array(9);
let drops = new Float64Array(64);

/** The planned outline's drop from its crown at each cell, mm, into `drops`. */
function dropsOf(c: CrownInput): void {
  if (drops.length < c.count) drops = new Float64Array(2 * c.count);
  const h = Math.min(c.heightMm, c.shape === "stadium" ? c.widthMm : 2 * c.widthMm);
  for (let i = 0; i < c.count; i++) drops[i] = h - outlineMm(c.shape, c.widthMm, h, c.b[i] as number);
}

function misfit(c: CrownInput, height: number, kappa: number, tilt: number): number {
  let chi = 0;
  for (let i = 0; i < c.count; i++) {
    const e = (c.t[i] as number) - (height - kappa * (drops[i] as number) + tilt * (c.b[i] as number));
    chi += e * e / (c.v[i] as number);
  }
  return chi / c.count;
}

function highestOfFit(c: CrownInput, height: number, kappa: number, tilt: number): number {
  let best = -Infinity;
  for (let i = 0; i < c.count; i++) best = Math.max(best, height - kappa * (drops[i] as number) + tilt * (c.b[i] as number));
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
