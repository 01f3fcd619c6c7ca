/**
 * A height map of a piece of the target: heights along one direction over a square grid, absolute (mm along `d` from the origin).
 * Three layers of cells: the newest top, the support frozen when the present layer began, and marks of what was laid.
 * A plan that goes round a target gets several charts, each for stations whose normals lie within 50° of its direction.
 */
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { cross, dot, reject, scale, sub, unit, type Vec3 } from "../kernel/vec.ts";
import { buildSheet, type Sheet } from "./sheet.ts";

/** Marks of a cell. */
export const IN_WINDOW = 1; // inside a laid station's lateral window: no stray body
export const NEAR_BEAD = 2; // on or close to a laid or followed bead: no bare support
export const OLD_PASTE = 4; // on or close to a bead of an earlier layer: it may still slump

/** Sightings that agree within their noise are averaged, the newest with at least this share: a slumping top is followed. */
export const SIGHTINGS = 3;
/** Agreement: within this many standard deviations of a sample. */
export const AGREE_SIGMAS = 4;

/** How far beyond the planned strands the map reaches, mm: a detached strand is looked for within 5 mm. */
const MARGIN_MM = 6.5;
const MAX_CELLS = 8_000_000;
const SAME_SIDE_COS = Math.cos(50 * Math.PI / 180);

export interface Chart {
  readonly origin: Vec3;
  readonly u: Vec3; readonly v: Vec3; readonly d: Vec3;
  readonly cellMm: number;
  readonly nu: number; readonly nv: number;
  readonly sheet: Sheet;
  readonly top: Float32Array; // Float32Array[v · nu + u], NaN = never seen
  /** How many sightings that agree a top is the mean of, at most SIGHTINGS. */
  readonly seen: Uint8Array; // Uint8Array[v · nu + u]
  readonly support: Float32Array; // Float32Array[v · nu + u], NaN = never seen
  readonly supportSeen: Uint8Array; // Uint8Array[v · nu + u], sightings that the support is the mean of
  /** The support of the layer before, so that it can still be measured where the present one has not covered it. */
  readonly supportBefore: Float32Array; // Float32Array[v · nu + u], NaN = never seen
  readonly mark: Uint8Array; // Uint8Array[v · nu + u]
}

/** Charts of a plan and, for each strand, which one it lies on. */
export interface ChartSet { readonly charts: readonly Chart[]; readonly ofStrand: Int32Array }

/** `pitchMm`: the sensors' finest lateral sample distance. */
export function buildCharts(plan: StationPlan, pitchMm: number): ChartSet {
  const groups: { d: Vec3; strands: StrandStations[] }[] = [];
  const ofStrand = new Int32Array(plan.strands.length);
  for (const strand of plan.strands) {
    const normal = meanNormal(strand);
    let which = groups.findIndex((g) => dot(g.d, normal) > SAME_SIDE_COS);
    if (which < 0) which = groups.push({ d: normal, strands: [] }) - 1;
    groups[which]?.strands.push(strand);
    ofStrand[strand.index] = which;
  }
  return { charts: groups.map((g) => makeChart(g.strands, pitchMm)), ofStrand };
}

function meanNormal(strand: StrandStations): Vec3 {
  let sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < strand.count; i++) sum = [0, 1, 2].map((k) => (sum[k] as number) + (strand.frames[12 * i + 6 + k] as number)) as [number, number, number];
  const size = Math.hypot(...sum);
  return size > 0.05 * strand.count ? scale(sum, 1 / size) : normalAt(strand, 0);
}

function normalAt(strand: StrandStations, i: number): Vec3 {
  return [strand.frames[12 * i + 6] as number, strand.frames[12 * i + 7] as number, strand.frames[12 * i + 8] as number];
}

function makeChart(strands: readonly StrandStations[], pitchMm: number): Chart {
  const first = strands[0] as StrandStations;
  let sum: Vec3 = [0, 0, 0];
  for (const s of strands) sum = sub(sum, scale(meanNormal(s), -1));
  const d = unit(sum);
  const tangent: Vec3 = [first.frames[3] as number, first.frames[4] as number, first.frames[5] as number];
  // the first strand runs along v: a profile lies across it, along u, where cells are neighbours in memory
  const v = unit(reject(tangent, d));
  const u = cross(v, d);
  const origin0: Vec3 = [first.frames[0] as number, first.frames[1] as number, first.frames[2] as number];
  const bounds = boundsOf(strands, origin0, u, v);
  let cellMm = Math.max(Math.min(...strands.map((s) => s.widthMm.reduce((a, b) => Math.min(a, b)))) / 24, pitchMm);
  const wide = bounds.maxU - bounds.minU + 2 * MARGIN_MM, high = bounds.maxV - bounds.minV + 2 * MARGIN_MM;
  cellMm = Math.max(cellMm, Math.sqrt(wide * high / MAX_CELLS));
  const nu = Math.ceil(wide / cellMm), nv = Math.ceil(high / cellMm);
  const origin: Vec3 = [0, 1, 2].map((k) => (origin0[k] as number) + (bounds.minU - MARGIN_MM) * (u[k] as number) + (bounds.minV - MARGIN_MM) * (v[k] as number)) as unknown as Vec3;
  const sheet = buildSheet(strands, { origin, u, v, d }, wide, high);
  const empty = (): Float32Array => new Float32Array(nu * nv).fill(Number.NaN);
  const counts = (): Uint8Array => new Uint8Array(nu * nv);
  return { origin, u, v, d, cellMm, nu, nv, sheet, top: empty(), seen: counts(), support: empty(), supportSeen: counts(), supportBefore: empty(), mark: counts() };
}

function boundsOf(strands: readonly StrandStations[], origin: Vec3, u: Vec3, v: Vec3): { minU: number; maxU: number; minV: number; maxV: number } {
  const b = { minU: Infinity, maxU: -Infinity, minV: Infinity, maxV: -Infinity };
  for (const s of strands) {
    for (let i = 0; i < s.count; i++) {
      const p = sub([s.frames[12 * i] as number, s.frames[12 * i + 1] as number, s.frames[12 * i + 2] as number], origin);
      const pu = dot(p, u), pv = dot(p, v);
      if (pu < b.minU) b.minU = pu;
      if (pu > b.maxU) b.maxU = pu;
      if (pv < b.minV) b.minV = pv;
      if (pv > b.maxV) b.maxV = pv;
    }
  }
  return b;
}

/** Height of a map at (u, v) mm, bilinear between cell centres over the cells that were seen; NaN where less than half the weight was. */
export function mapHeight(chart: Chart, map: Float32Array, uMm: number, vMm: number): number {
  const fu = uMm / chart.cellMm - 0.5, fv = vMm / chart.cellMm - 0.5;
  if (!(fu >= 0 && fv >= 0)) return Number.NaN;
  const iu = fu | 0, iv = fv | 0;
  if (iu >= chart.nu - 1 || iv >= chart.nv - 1) return Number.NaN;
  const a = fu - iu, b = fv - iv;
  const at = iv * chart.nu + iu;
  const h00 = map[at] as number, h10 = map[at + 1] as number, h01 = map[at + chart.nu] as number, h11 = map[at + chart.nu + 1] as number;
  const h = h00 * (1 - a) * (1 - b) + h10 * a * (1 - b) + h01 * (1 - a) * b + h11 * a * b;
  if (h === h) return h;
  let weight = 0, sum = 0;
  if (h00 === h00) { const w = (1 - a) * (1 - b); weight += w; sum += w * h00; }
  if (h10 === h10) { const w = a * (1 - b); weight += w; sum += w * h10; }
  if (h01 === h01) { const w = (1 - a) * b; weight += w; sum += w * h01; }
  if (h11 === h11) { const w = a * b; weight += w; sum += w * h11; }
  return weight >= 0.5 ? sum / weight : Number.NaN;
}

/** The present layer begins: what lies there now is what it is laid on. */
export function freezeSupport(chart: Chart): void {
  chart.supportBefore.set(chart.support);
  chart.support.set(chart.top);
  chart.supportSeen.set(chart.seen);
  fillPinholes(chart);
  const { mark } = chart;
  for (let i = 0; i < mark.length; i++) if (mark[i] !== 0) mark[i] = ((mark[i] as number) & (NEAR_BEAD | OLD_PASTE)) !== 0 ? OLD_PASTE : 0;
}

/**
 * Rulings that run aslant over the grid leave single cells out. Such a cell of the support lies between two seen ones, on one or more
 * of its four diameters; it takes the mean of the two that differ least.
 */
function fillPinholes(chart: Chart): void {
  const { top, support, supportSeen, nu, nv } = chart;
  const steps = [1, nu, nu + 1, nu - 1];
  for (let v = 1; v < nv - 1; v++) {
    for (let i = v * nu + 1, end = (v + 1) * nu - 1; i < end; i++) {
      if (top[i] === top[i]) continue;
      let least = Infinity;
      for (const step of steps) {
        const a = top[i - step] as number, b = top[i + step] as number;
        const apart = a > b ? a - b : b - a;
        if (!(apart < least)) continue;
        least = apart;
        support[i] = (a + b) / 2;
        supportSeen[i] = Math.min(supportSeen[i - step] as number, supportSeen[i + step] as number);
      }
    }
  }
}
