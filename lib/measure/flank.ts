import { flankRadiusMm } from "../formula/bead.ts";
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
  middleMm: number;
  /** The circle that the outline follows down to its flanks: radius, and height of its centre over the support. */
  radiusMm: number;
  centreMm: number;
}

export interface RowShape {
  readonly shape: BeadShape;
  readonly widthMm: number; readonly heightMm: number;
  readonly sigmaMm: number; readonly pitchMm: number;
  readonly windowRightMm: number; readonly windowLeftMm: number;
  /** It hangs over a hollow: its flank is the planned one, whatever its crown's height over the planned base. */
  readonly spanned: boolean;
  /** The bead may be followed this far; what reaches it touches a neighbour. */
  readonly limitRightMm: number; readonly limitLeftMm: number;
}

/** A run shorter than this share of the width is but a part of the bead, cut off by an end of the strand. */
const CUT_WIDTHS = 0.6;
/** The less of it was seen, the less its crown is known and with it the flank: up to this share of the height (from phantoms, askew). */
const CUT_SHARE = 0.05;

const scratch = new Float64Array(4096);
const chances = new Float64Array(16);

/** Finds the bead in samples (b ascending, t thickness over the support) and its two flanks; its form is read from `outline`, the thickness over what it rests on. */
export function findBead(b: Float64Array, t: Float64Array, count: number, s: RowShape, outline = t): BeadInRow {
  const out: BeadInRow = { first: 0, last: -1, crownMm: Number.NaN, right: Number.NaN, uRight: Number.NaN, left: Number.NaN, uLeft: Number.NaN, middleMm: Number.NaN, radiusMm: Number.NaN, centreMm: Number.NaN };
  const on = Math.max(0.2 * s.heightMm, 4 * s.sigmaMm);
  if (!pickRun(b, t, count, s, on, out)) return out;
  out.crownMm = crownOf(outline, out.first, out.last);
  if (s.shape === "segment") segmentMiddle(b, outline, out, s);
  const right = bracketOf(b, t, count, out.first, -1, s, on), left = bracketOf(b, t, count, out.last, 1, s, on);
  const missing = (right === null) !== (left === null) ? 1 - ((b[out.last] as number) - (b[out.first] as number)) / (CUT_WIDTHS * s.widthMm) : 0;
  if (s.shape === "stadium" && missing > 0) { // it is highest at the cut
    const third = Math.floor((out.last - out.first) / 3);
    out.crownMm = right === null ? medianOf(outline, out.first, out.first + third) : medianOf(outline, out.last - third, out.last);
  }
  if (right !== null) weighFlank(b, outline, out, -1, right, s);
  if (left !== null) weighFlank(b, outline, out, 1, left, s);
  if (missing > 0) {
    out.uRight = Math.hypot(out.uRight, CUT_SHARE * missing * s.heightMm);
    out.uLeft = Math.hypot(out.uLeft, CUT_SHARE * missing * s.heightMm);
  }
  circleOf(out, s);
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
  return medianOf(t, first + quarter, last - quarter);
}

function medianOf(t: Float64Array, from: number, to: number): number {
  let n = 0;
  for (let j = from; j <= to && n < scratch.length; j++) scratch[n++] = t[j] as number;
  return medianInPlace(scratch, n);
}

/** Lateral interval that must hold the flank: the outermost sample on the bead and the next one off it. */
interface Bracket { readonly on: number; readonly off: number; readonly onIndex: number }

/** How far a planned segment's flank still reaches from where it is `level` high, mm; 0 for a stadium, which falls off at once. */
function fadeMm(s: RowShape, level: number): number {
  if (s.shape === "stadium") return 0;
  const half = s.widthMm / 2, r = flankRadiusMm("segment", s.widthMm, s.heightMm), centre = s.heightMm - r;
  return Math.max(0, half - Math.sqrt(Math.max(0, r * r - Math.max(0, level - centre) ** 2)));
}

/** A flank may hide in a shadow this many bead widths wide; the outline beside it then says where it is, less surely. */
const SHADOW_WIDTHS = 0.6;

/** Null where the bead reaches its limit (it touches a neighbour), where nothing was seen beyond it, or the hole there is too wide. */
function bracketOf(b: Float64Array, t: Float64Array, count: number, edge: number, side: 1 | -1, s: RowShape, on: number): Bracket | null {
  const next = edge + side;
  if (next < 0 || next >= count) return null;
  const limit = side > 0 ? s.limitLeftMm : s.limitRightMm;
  const off = b[next] as number;
  if (side * off > limit + 1e-9) return null;
  if (Math.abs(off - (b[edge] as number)) > Math.max(SHADOW_WIDTHS * s.widthMm, 3 * s.pitchMm)) return null;
  // a low flank fades out: walk on to where nothing is left, no further than it can reach
  let last = next;
  const none = Math.max(2 * s.sigmaMm, 0.03 * s.heightMm), far = s.shape === "stadium" ? 0 : 1.5 * fadeMm(s, on) + s.pitchMm;
  while ((t[last] as number) > none && (t[last] as number) <= on && last + side >= 0 && last + side < count && Math.abs((b[last] as number) - off) < far) last += side;
  return { on: b[edge] as number, off: (b[last] as number) + side * fadeMm(s, none), onIndex: edge };
}

/** Places tried inside a bracket of up to two pitches, inside a wider one, and how well the outline is believed as a share of the height. */
const FEW_PLACES = 8;
const PLACES = 16;
const MODEL_SHARE = 0.02;
/** What no sample tells: shares of the pitch and of the noise that stay in a flank's u. */
const PITCH_SHARE = 0.07;
const NOISE_SHARE = 0.17;

/**
 * A flank lies inside its bracket; each place for it is weighed by the likelihood of the samples on the bead's outline near it.
 * Mean and spread of what is left are the flank and its u. stadium: a quarter circle ending in a vertical tangent, of half the
 * crown's height or of half the planned height, whichever the samples like better. segment: the circle through the crown over the bead's middle and the place tried.
 */
function weighFlank(b: Float64Array, t: Float64Array, out: BeadInRow, side: 1 | -1, bracket: Bracket, s: RowShape): void {
  if (s.shape === "stadium") {
    // a bead that hangs or was lifted keeps the planned flank, one laid thin or thick has that of its own height
    const planned = Math.min(s.heightMm / 2, out.crownMm);
    weighPlaces(b, t, out, side, bracket, s, s.spanned ? planned : out.crownMm / 2);
    if (!s.spanned && Math.abs(out.crownMm - s.heightMm) > 0.04 * s.heightMm) {
      const { edge, u, chance } = place;
      weighPlaces(b, t, out, side, bracket, s, planned);
      if (chance >= place.chance) { place.edge = edge; place.u = u; }
      else out.radiusMm = planned;
    }
  } else weighPlaces(b, t, out, side, bracket, s, Number.NaN);
  if (side > 0) { out.left = place.edge; out.uLeft = place.u; } else { out.right = place.edge; out.uRight = place.u; }
}

/** The last flank weighed: where it stands, its u, and the log-likelihood of its best place. */
const place = { edge: 0, u: 0, chance: 0 };

function weighPlaces(b: Float64Array, t: Float64Array, out: BeadInRow, side: 1 | -1, bracket: Bracket, s: RowShape, radiusMm: number): void {
  const model = MODEL_SHARE * s.heightMm;
  const inverse = -0.5 / (s.sigmaMm * s.sigmaMm + model * model);
  const wide = Math.abs(bracket.off - bracket.on);
  const places = wide <= 2 * s.pitchMm ? FEW_PLACES : PLACES;
  const stadium = s.shape === "stadium";
  let most = -Infinity;
  for (let i = 0; i < places; i++) {
    const edge = bracket.on + side * wide * (i + 0.5) / places;
    const chance = inverse * (stadium ? missOfStadium(b, t, out, side, edge, bracket.onIndex, radiusMm) : missOfSegment(b, t, out, side, edge, bracket.onIndex, out.middleMm));
    chances[i] = chance;
    if (chance > most) most = chance;
  }
  let weight = 0, first = 0, second = 0;
  for (let i = 0; i < places; i++) {
    const w = Math.exp((chances[i] as number) - most), x = wide * (i + 0.5) / places;
    weight += w; first += w * x; second += w * x * x;
  }
  const mean = first / weight;
  const own = PITCH_SHARE * s.pitchMm, noise = NOISE_SHARE * s.sigmaMm;
  place.edge = bracket.on + side * mean;
  place.u = Math.sqrt(Math.max(0, second / weight - mean * mean) + own * own + noise * noise);
  place.chance = most;
}

/** Sum of squares of samples against the quarter circle that ends at `edge`: the same samples for every place, however far out. */
function missOfStadium(b: Float64Array, t: Float64Array, out: BeadInRow, side: 1 | -1, edge: number, onIndex: number, r: number): number {
  const { crownMm: crown, first, last } = out;
  const centre = crown - r, reach = 1.2 * r, on = b[onIndex] as number;
  let sum = 0;
  for (let j = onIndex; j >= first && j <= last; j -= side) {
    if (side * (on - (b[j] as number)) > reach) break;
    const d = side * (edge - (b[j] as number));
    const e = (t[j] as number) - (d >= r ? crown : centre + Math.sqrt((2 * r - d) * d));
    sum += e * e;
  }
  return sum;
}

/** Sum of squares of one side's samples against the circle through the crown over `middle` and the foot (or widest point) at `edge`. */
function missOfSegment(b: Float64Array, t: Float64Array, out: BeadInRow, side: 1 | -1, edge: number, onIndex: number, middle: number): number {
  const a = side * (edge - middle), h = out.crownMm;
  if (!(a > 0)) return Infinity;
  const r = h > a ? a : (a * a + h * h) / (2 * h);
  let sum = 0;
  for (let j = onIndex; j >= out.first && j <= out.last; j -= side) {
    const q = side * ((b[j] as number) - middle);
    if (q < 0.35 * a) break;
    const e = (t[j] as number) - (h - r + Math.sqrt(Math.max(0, r * r - q * q)));
    sum += e * e;
  }
  return sum;
}

/** The circle that the outline follows down to a flank: its centre's height over the support and its radius. */
function circleOf(out: BeadInRow, s: RowShape): void {
  const h = out.crownMm;
  if (s.shape === "stadium") {
    if (out.radiusMm !== out.radiusMm) out.radiusMm = s.spanned ? Math.min(s.heightMm / 2, h) : h / 2;
    out.centreMm = h - out.radiusMm;
    return;
  }
  const halves = [out.left - out.middleMm, out.middleMm - out.right].filter((a) => a > 0);
  const a = halves.length === 0 ? s.widthMm / 2 : halves.reduce((p, q) => p + q, 0) / halves.length;
  out.radiusMm = h > a ? a : (a * a + h * h) / (2 * h);
  out.centreMm = h - out.radiusMm;
}

/** Height of the outline `inside` mm within a flank. */
export function outlineInside(bead: BeadInRow, inside: number): number {
  const { radiusMm: r, centreMm: c } = bead;
  const half = c > 0 ? r : Math.sqrt(Math.max(0, r * r - c * c));
  const out = Math.max(0, half - inside);
  return c + Math.sqrt(Math.max(0, r * r - out * out));
}

/** Crown and middle of a segment by a circle through its samples; by its run's middle where there is none. */
function segmentMiddle(b: Float64Array, t: Float64Array, out: BeadInRow, s: RowShape): void {
  const fit = fitCircle(b, t, out.first, out.last + 1, s.sigmaMm);
  const between = ((b[out.first] as number) + (b[out.last] as number)) / 2;
  const sane = fit !== null && Math.abs(fit.x0 - between) < 0.2 * s.widthMm && fit.rms < 4;
  out.middleMm = sane ? fit.x0 : between;
  if (sane) out.crownMm = fit.z0 + fit.r;
}
