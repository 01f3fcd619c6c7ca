import { robustLine } from "../kernel/lineFit.ts";
import { mapHeight, type Chart } from "./chart.ts";
import { alongAt, type Crossing, type Samples } from "./crossing.ts";
import { HOLLOW_SHARE } from "./settings.ts";
import type { StrandGrid } from "./grid.ts";

/** What a cell of a row stands on. */
export const SEEN = 1; // the support was seen there
export const PLANNED = 2; // never seen: the planned base
export const HOLLOW = 3; // seen more than a quarter of the height below the planned base: the planned base counts

/** The support under one row, cell by cell. */
export interface RowSupport {
  nMm: Float64Array; // Float64Array[cell], over the planned base, what thickness is counted from
  kind: Uint8Array; // Uint8Array[cell], SEEN, PLANNED or HOLLOW
  variance: Float64Array; // Float64Array[cell], mm², of a planned base; 0 where seen
  /** Mean share of one sample's noise variance that is left in the seen support, by how many sightings it is the mean of. */
  supportNoise: number;
  /** Standard uncertainty of the support's level that its unevenness along the strand leaves, given the map's cells, mm. */
  supportDoubtMm: number;
}

const MOST_BARE = 400;
const xs = new Float64Array(MOST_BARE);
const ys = new Float64Array(MOST_BARE);
const scratch = new Float64Array(MOST_BARE);

/** Fills `out` for the cells [from, to) of a row from the map of what the strand's layer was laid on. */
export function readSupport(out: RowSupport, c: Crossing, on: { chart: Chart; support: Float32Array; sigmaMm: number }, grid: StrandGrid, range: { from: number; to: number }): void {
  solve.aim(c, on.chart, on.support);
  let share = 0, known = 0;
  let guess = 0;
  for (let k = range.from; k < range.to; k++) {
    const b = grid.first + (k + 0.5) * grid.cellMm;
    const n = solve.height(b, alongAt(c, b, c.heightMm), guess);
    out.nMm[k] = n;
    if (n !== n) continue;
    guess = n;
    share += solve.share;
    known++;
  }
  // tops of paste are seen a fraction of a cell aside each time: their mean is no quieter than one of them
  const onPaste = c.strand.layer > 1;
  out.supportNoise = known > 0 && !onPaste ? share / known : 1;
  out.supportDoubtMm = onPaste ? unevenness(c, grid, on) : 0;
  bridge(out.nMm, range, Math.floor(0.3 * c.widthMm / grid.cellMm));
  for (let k = range.from; k < range.to; k++) {
    const n = out.nMm[k] as number;
    out.variance[k] = 0;
    if (n !== n) out.kind[k] = PLANNED;
    else if (n < -HOLLOW_SHARE * c.heightMm) {
      out.kind[k] = HOLLOW;
      out.nMm[k] = 0;
    } else out.kind[k] = SEEN;
  }
}

/** Noise variance left in a running mean of 0, 1, 2 and SIGHTINGS or more sightings; some of them are of one pass and not independent. */
const NOISE_LEFT = [1, 1, 0.7, 0.45];

/** Finds the frozen support over the planned base, along the strand's normal; one for all rows. */
class SupportSolver {
  /** Noise share of the cell last looked at. */
  share = 1;
  private chart: Chart | null = null;
  private support: Float32Array = new Float32Array(0);
  private level = 0;
  private kn = 0; private kg = 0; private tau = 0;
  /** The frame's point and its axes (tangent, lateral, normal) in the chart's u, v and d. */
  private readonly at = new Float64Array(12);

  /** Sets the place that `height` looks from. */
  aim(c: Crossing, chart: Chart, support: Float32Array): void {
    const { frame } = c;
    this.chart = chart;
    this.support = support;
    this.level = c.heightMm;
    this.kn = c.kn; this.kg = c.kg; this.tau = c.tau;
    for (let part = 0; part < 4; part++) { // point, tangent, normal, lateral
      const x = frame[3 * part] as number, y = frame[3 * part + 1] as number, z = frame[3 * part + 2] as number;
      const px = part === 0 ? x - chart.origin[0] : x, py = part === 0 ? y - chart.origin[1] : y, pz = part === 0 ? z - chart.origin[2] : z;
      this.at[3 * part] = px * chart.u[0] + py * chart.u[1] + pz * chart.u[2];
      this.at[3 * part + 1] = px * chart.v[0] + py * chart.v[1] + pz * chart.v[2];
      this.at[3 * part + 2] = px * chart.d[0] + py * chart.d[1] + pz * chart.d[2];
    }
  }

  /** Height of the support over the planned base at (δ, b), the map met by a few Newton steps from `guess`; NaN where it was not seen. */
  height(b: number, delta: number, guess: number): number {
    const { chart, at, kn, kg, tau } = this;
    const nd = at[8] as number;
    if (chart === null || nd < 0.2) return Number.NaN;
    let n = guess;
    for (let step = 0; step < 4; step++) {
      const nu = n - this.level;
      const T = delta * (1 - kg * b - kn * nu), B = b + 0.5 * kg * delta * delta + tau * nu * delta, N = nu + 0.5 * kn * delta * delta - tau * b * delta;
      const u = at[0]! + T * at[3]! + B * at[9]! + N * at[6]!, v = at[1]! + T * at[4]! + B * at[10]! + N * at[7]!;
      const H = mapHeight(chart, this.support, u, v);
      if (H !== H) return Number.NaN;
      const miss = H - (at[2]! + T * at[5]! + B * at[11]! + N * nd);
      n += miss / nd;
      if (miss < 0.002 && miss > -0.002) {
        this.share = NOISE_LEFT[chart.supportSeen[((v / chart.cellMm) | 0) * chart.nu + ((u / chart.cellMm) | 0)] as number] as number;
        break;
      }
    }
    return n;
  }
}

const solve = new SupportSolver();

/** Cells looked at across the bead, and a floor under which a difference is the map's noise, in sample standard deviations of their mean. */
const LOOKS = 8;
const NOISE_FLOOR = 1.5;

/** Half the change of the effective support over a map cell to either side along the strand, averaged over the bead; noise taken out. */
function unevenness(c: Crossing, grid: StrandGrid, on: { chart: Chart; sigmaMm: number }): number {
  const reach = Math.max(on.chart.cellMm, 0.5 * grid.cellMm);
  const level = (n: number): number => (n < -HOLLOW_SHARE * c.heightMm ? 0 : n);
  let sum = 0, count = 0;
  for (let q = 0; q < LOOKS; q++) {
    const b = ((q + 0.5) / LOOKS - 0.5) * c.widthMm;
    const delta = alongAt(c, b, c.heightMm);
    const change = level(solve.height(b, delta + reach, 0)) - level(solve.height(b, delta - reach, 0));
    if (change !== change) continue;
    sum += change / 2;
    count++;
  }
  if (count === 0) return 0;
  const mean = sum / count, noise = NOISE_FLOOR * on.sigmaMm / Math.sqrt(2 * count);
  return Math.sqrt(Math.max(0, mean * mean - noise * noise));
}

/** Short runs of unseen cells between seen ones are bridged linearly. */
function bridge(n: Float64Array, range: { from: number; to: number }, most: number): void {
  let last = -1;
  for (let k = range.from; k < range.to; k++) {
    const v = n[k] as number;
    if (v !== v) continue;
    const missing = k - last - 1;
    if (last >= 0 && missing > 0 && missing <= most) {
      const v0 = n[last] as number;
      for (let q = 1; q <= missing; q++) n[last + q] = v0 + (v - v0) * q / (missing + 1);
    }
    last = k;
  }
}

/**
 * Where the support was never seen: the planned base, curved across as its neighbours say, moved by the offset and tilt of the bare
 * samples beside the bead in this very profile (robust line). With too few of them the plan's own uncertainty stays.
 */
export function plannedSupport(out: RowSupport, c: Crossing, samples: Samples, grid: StrandGrid, range: { from: number; to: number }, noise: { sigmaMm: number; planUMm: number }): void {
  let any = false;
  for (let k = range.from; k < range.to && !any; k++) any = out.kind[k] === PLANNED;
  if (!any) return;
  const curve = (c.strand.acrossCurvature[c.at] as number) / 2;
  const count = bareSamples(c, samples, curve);
  const fit = count >= 8 ? robustLine(xs, ys, count, noise.sigmaMm, 0.03, scratch) : null;
  for (let k = range.from; k < range.to; k++) {
    if (out.kind[k] !== PLANNED) continue;
    const b = grid.first + (k + 0.5) * grid.cellMm;
    out.nMm[k] = curve * b * b + (fit === null ? 0 : fit.a + fit.b * b);
    out.variance[k] = fit === null ? noise.planUMm * noise.planUMm
      : fit.scale * fit.scale * (fit.varA + 2 * b * fit.covAB + b * b * fit.varB) + (0.1 * curve * b * b) ** 2;
  }
}

/** Samples beside the planned bead and near the planned base, into xs and ys (height over the curved base). */
function bareSamples(c: Crossing, samples: Samples, curve: number): number {
  const inner = 0.8 * c.widthMm, outer = inner + 1.2 * c.widthMm;
  let count = 0;
  for (let i = 0; i < samples.count && count < MOST_BARE; i++) {
    const b = samples.b[i] as number;
    const size = Math.abs(b);
    if (size < inner || size > outer) continue;
    const y = (samples.n[i] as number) - curve * b * b;
    if (Math.abs(y) > HOLLOW_SHARE * c.heightMm) continue;
    xs[count] = b;
    ys[count++] = y;
  }
  return count;
}
