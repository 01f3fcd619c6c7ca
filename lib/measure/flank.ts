import { fitCircle } from "../kernel/circleFit.ts";
import { medianInPlace } from "../kernel/lineFit.ts";
import type { BeadShape } from "../model/job.ts";

/** The bead found in one row of thicknesses. Lateral mm; NaN where a flank was not seen. */
export interface BeadInRow {
  /** First and last sample on the bead; first > last: there is none. */
  first: number; last: number;
  crownMm: number;
  right: number; uRight: number; // towards −lateral
  left: number; uLeft: number; // towards +lateral
  /** Thickness at which the outline falls off at its edges. */
  edgeMm: number;
  radiusMm: number;
}

export interface RowShape {
  readonly shape: BeadShape;
  readonly widthMm: number; readonly heightMm: number;
  readonly sigmaMm: number; readonly pitchMm: number;
  readonly windowRightMm: number; readonly windowLeftMm: number;
  /** The bead may be followed this far; what reaches it touches a neighbour. */
  readonly limitRightMm: number; readonly limitLeftMm: number;
}

const scratch = new Float64Array(4096);
const chances = new Float64Array(16);

/** Finds the bead in samples (b ascending, t thickness over the support) and its two flanks. */
export function findBead(b: Float64Array, t: Float64Array, count: number, s: RowShape): BeadInRow {
  const out: BeadInRow = { first: 0, last: -1, crownMm: Number.NaN, right: Number.NaN, uRight: Number.NaN, left: Number.NaN, uLeft: Number.NaN, edgeMm: 0, radiusMm: Number.NaN };
  const on = Math.max(0.2 * s.heightMm, 4 * s.sigmaMm);
  if (!pickRun(b, t, count, s, on, out)) return out;
  out.crownMm = crownOf(t, out.first, out.last);
  if (s.shape === "stadium") {
    out.radiusMm = out.crownMm / 2;
    out.edgeMm = out.crownMm / 2;
  }
  const bracketRight = bracketOf(b, t, count, out.first, -1, s, on);
  const bracketLeft = bracketOf(b, t, count, out.last, 1, s, on);
  if (s.shape === "stadium") {
    if (bracketRight !== null) stadiumFlank(b, t, out, -1, bracketRight, s);
    if (bracketLeft !== null) stadiumFlank(b, t, out, 1, bracketLeft, s);
  } else segmentFlanks(b, t, out, bracketRight, bracketLeft, s);
  return out;
}

/** The run of samples above `on` that overlaps the window and holds the most there; short dips and holes do not end it. */
function pickRun(b: Float64Array, t: Float64Array, count: number, s: RowShape, on: number, out: BeadInRow): boolean {
  const hole = Math.max(0.3 * s.widthMm, 2.5 * s.pitchMm);
  let best = 0;
  let start = -1, end = -1, area = 0, dips = 0;
  const close = (): void => {
    if (start >= 0 && end > start && area > best && (b[end] as number) > -s.windowRightMm && (b[start] as number) < s.windowLeftMm) {
      best = area;
      out.first = start;
      out.last = end;
    }
    start = -1;
    area = 0;
  };
  for (let j = 0; j < count; j++) {
    const bj = b[j] as number;
    if (bj < -s.limitRightMm || bj > s.limitLeftMm) continue;
    if ((t[j] as number) > on) {
      if (start >= 0 && bj - (b[end] as number) > hole) close();
      if (start < 0) start = j;
      else area += ((t[j] as number) + (t[end] as number)) / 2 * (bj - (b[end] as number)) * weightInWindow(bj, s);
      end = j;
      dips = 0;
    } else if (start >= 0 && (++dips > 2 || bj - (b[end] as number) > 0.15 * s.widthMm)) close();
  }
  close();
  return best > 0;
}

/** Material outside the window counts a tenth, so that a body beside does not win over the bead. */
function weightInWindow(bMm: number, s: RowShape): number {
  return bMm >= -s.windowRightMm && bMm <= s.windowLeftMm ? 1 : 0.1;
}

/** Median of the middle half of the run. */
function crownOf(t: Float64Array, first: number, last: number): number {
  const quarter = Math.floor((last - first) / 4);
  let n = 0;
  for (let j = first + quarter; j <= last - quarter && n < scratch.length; j++) scratch[n++] = t[j] as number;
  return medianInPlace(scratch, n);
}

/** Lateral interval that must hold the flank: the outermost sample on the bead and the next one off it. */
interface Bracket { readonly on: number; readonly off: number; readonly onIndex: number }

/** Null where the bead reaches its limit (it touches a neighbour), where nothing was seen beyond it, or the hole there is too wide. */
function bracketOf(b: Float64Array, t: Float64Array, count: number, edge: number, side: 1 | -1, s: RowShape, on: number): Bracket | null {
  const next = edge + side;
  if (next < 0 || next >= count) return null;
  const limit = side > 0 ? s.limitLeftMm : s.limitRightMm;
  const off = b[next] as number;
  if (side * off > limit + 1e-9) return null;
  if (Math.abs(off - (b[edge] as number)) > Math.max(0.3 * s.widthMm, 3 * s.pitchMm)) return null;
  // a low flank fades out: walk on to where nothing is left
  let last = next;
  const none = Math.max(2 * s.sigmaMm, 0.03 * s.heightMm);
  while ((t[last] as number) > none && (t[last] as number) <= on && last + side >= 0 && last + side < count && Math.abs((b[last] as number) - off) < 0.3 * s.widthMm) last += side;
  return { on: b[edge] as number, off: b[last] as number, onIndex: edge };
}

function setFlank(out: BeadInRow, side: 1 | -1, at: number, u: number): void {
  if (side > 0) { out.left = at; out.uLeft = u; } else { out.right = at; out.uRight = u; }
}

/** Places tried inside a bracket, and how well the round flank is believed as a share of the height. */
const PLACES = 16;
const MODEL_SHARE = 0.02;

/**
 * The flank of a stadium is a quarter circle of half the crown's height that ends in a vertical tangent at b_e: inside the bracket
 * each place for b_e is weighed by the likelihood of the samples on that quarter circle; mean and spread are the flank and its u.
 */
function stadiumFlank(b: Float64Array, t: Float64Array, out: BeadInRow, side: 1 | -1, bracket: Bracket, s: RowShape): void {
  const r = out.radiusMm;
  const model = MODEL_SHARE * s.heightMm;
  const inverse = -0.5 / (s.sigmaMm * s.sigmaMm + model * model);
  const wide = Math.abs(bracket.off - bracket.on);
  for (let i = 0; i < PLACES; i++) {
    const edge = bracket.on + side * wide * (i + 0.5) / PLACES;
    let sum = 0;
    for (let j = bracket.onIndex; j >= out.first && j <= out.last; j -= side) {
      const d = side * (edge - (b[j] as number));
      if (d > 1.2 * r) break;
      const e = (t[j] as number) - (d >= r ? 2 * r : r + Math.sqrt(2 * r * d - d * d));
      sum += e * e;
    }
    chances[i] = sum * inverse;
  }
  let most = -Infinity;
  for (let i = 0; i < PLACES; i++) most = Math.max(most, chances[i] as number);
  let weight = 0, first = 0, second = 0;
  for (let i = 0; i < PLACES; i++) {
    const w = Math.exp((chances[i] as number) - most), x = wide * (i + 0.5) / PLACES;
    weight += w; first += w * x; second += w * x * x;
  }
  const mean = first / weight;
  setFlank(out, side, bracket.on + side * mean, Math.sqrt(Math.max(0, second / weight - mean * mean) + (wide / PLACES) ** 2 / 12));
}

/** A circle through the whole bead gives both flanks, where it stands on the support or, overhanging, where it is widest. */
function segmentFlanks(b: Float64Array, t: Float64Array, out: BeadInRow, right: Bracket | null, left: Bracket | null, s: RowShape): void {
  const fit = fitCircle(b, t, out.first, out.last + 1, s.sigmaMm);
  if (fit === null) {
    for (const [side, bracket] of [[-1, right], [1, left]] as const) {
      if (bracket !== null) setFlank(out, side, (bracket.on + bracket.off) / 2, Math.abs(bracket.off - bracket.on) / Math.sqrt(12));
    }
    return;
  }
  const over = fit.z0 > 0;
  const half = over ? fit.r : Math.sqrt(Math.max(0, fit.r * fit.r - fit.z0 * fit.z0));
  out.radiusMm = fit.r;
  out.edgeMm = over ? Math.min(fit.z0, out.crownMm) : 0;
  const worse = Math.max(1, fit.rms);
  for (const [side, bracket] of [[-1, right], [1, left]] as const) {
    if (bracket === null) continue;
    const gz = over || half < 1e-9 ? 0 : -side * fit.z0 / half, gr = over || half < 1e-9 ? side : side * fit.r / half;
    const c = fit.cov;
    const variance = c[0]! + 2 * gz * c[1]! + 2 * gr * c[2]! + gz * gz * c[4]! + 2 * gz * gr * c[5]! + gr * gr * c[8]!;
    const at = fit.x0 + side * half;
    const low = Math.min(bracket.on, bracket.off), high = Math.max(bracket.on, bracket.off);
    setFlank(out, side, at < low ? low : at > high ? high : at, Math.min((high - low) / Math.sqrt(12), worse * Math.sqrt(Math.max(0, variance))));
  }
}
