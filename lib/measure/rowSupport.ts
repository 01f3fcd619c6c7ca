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
  const solve = solverFor(c, on.chart, on.support);
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
  out.supportDoubtMm = onPaste ? unevenness(solve, c, grid, on) : 0;
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

interface SupportSolver {
  height: (b: number, delta: number, guess: number) => number;
  /** Of the cell last looked at. */
  share: number;
}

/** Height of the frozen support over the planned base, along the strand's normal at (δ, b): the map is met by a few Newton steps. */
function solverFor(c: Crossing, chart: Chart, support: Float32Array): SupportSolver {
  const f = c.frame;
  const axis = (at: number, a: readonly [number, number, number]): number => f[at]! * a[0] + f[at + 1]! * a[1] + f[at + 2]! * a[2];
  const dot3 = (a: readonly [number, number, number], b: readonly [number, number, number]): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const { origin: o, u, v, d } = chart;
  const pu = axis(0, u) - dot3(o, u), pv = axis(0, v) - dot3(o, v), pd = axis(0, d) - dot3(o, d);
  const tu = axis(3, u), tv = axis(3, v), td = axis(3, d);
  const nu = axis(6, u), nv = axis(6, v), nd = axis(6, d);
  const bu = axis(9, u), bv = axis(9, v), bd = axis(9, d);
  const { kn, kg, tau, heightMm: h } = c;
  const solver: SupportSolver = { share: 1, height: () => Number.NaN };
  if (nd < 0.2) return solver;
  solver.height = (b, delta, guess) => {
    let n = guess;
    for (let step = 0; step < 4; step++) {
      const nuMm = n - h;
      const T = delta * (1 - kg * b - kn * nuMm), B = b + 0.5 * kg * delta * delta + tau * nuMm * delta, N = nuMm + 0.5 * kn * delta * delta - tau * b * delta;
      const atU = pu + T * tu + B * bu + N * nu, atV = pv + T * tv + B * bv + N * nv;
      const H = mapHeight(chart, support, atU, atV);
      if (H !== H) return Number.NaN;
      solver.share = NOISE_LEFT[chart.supportSeen[Math.floor(atV / chart.cellMm) * chart.nu + Math.floor(atU / chart.cellMm)] as number] as number;
      const miss = H - (pd + T * td + B * bd + N * nd);
      n += miss / nd;
      if (miss < 0.002 && miss > -0.002) break;
    }
    return n;
  };
  return solver;
}

/** Cells looked at across the bead, and a floor under which a difference is the map's noise, in sample standard deviations of their mean. */
const LOOKS = 8;
const NOISE_FLOOR = 1.5;

/** Half the change of the effective support over a map cell to either side along the strand, averaged over the bead; noise taken out. */
function unevenness(solve: SupportSolver, c: Crossing, grid: StrandGrid, on: { chart: Chart; sigmaMm: number }): number {
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
