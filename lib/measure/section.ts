import type { StrandStations } from "../model/stations.ts";
import type { StrandGrid } from "./grid.ts";
import type { Row } from "./row.ts";

/** How a cell of a station's section came about. */
export const EMPTY = 0;
export const NEAREST = 1; // from one row within half a spacing
export const BETWEEN = 2; // interpolated between two adjacent rows

export const PASS_LENGTH = 10;

/** Where in a station's pass record the doubt along the strand stands, that of the support's level and of its moment, and the profile's number. */
export const ALONG_DOUBT = 6;
export const LEVEL_DOUBT = 7;
export const MOMENT_DOUBT = 8;
export const SEQ = 9;

/** The sections of one strand as one device's passes fill them, station by station and cell by cell (packed [station · cells + cell]). */
export interface Sections {
  readonly strand: StrandStations;
  readonly grid: StrandGrid;
  readonly tag: Uint8Array;
  readonly areaMm2: Float32Array;
  readonly coveredMm: Float32Array;
  readonly noiseMm4: Float32Array;
  readonly holeMm4: Float32Array;
  /** Half the change from row to row where the section lies between two, signed. */
  readonly stepMm2: Float32Array;
  readonly supportVariance: Float32Array;
  readonly kind: Uint8Array;
  /** Length of the cell that the bead lies over, mm, and the support that its thickness there is counted from, integrated over it, mm². */
  readonly onMm: Float32Array;
  readonly restMm2: Float32Array;
  /** [right, u, left, u] flanks, lateral mm. */
  readonly flanks: Float64Array; // Float64Array[4 · station], NaN = not seen
  readonly flankTag: Uint8Array; // Uint8Array[2 · station]
  /** Distance of the nearest row so far, for NEAREST cells. */
  readonly nearMm: Float32Array; // Float32Array[station]
  /** [time of the newest row, drift variance, sigma, pitch, sway, share of noise left in the support, doubt of the area along the strand, doubt of the support's level (mm) and of its first moment (mm³), number of the newest row's profile]. */
  readonly pass: Float64Array; // Float64Array[PASS_LENGTH · station]
}

export function makeSections(strand: StrandStations, grid: StrandGrid): Sections {
  const n = strand.count * grid.count;
  const cells = (): Float32Array => new Float32Array(n);
  return {
    strand, grid, tag: new Uint8Array(n), areaMm2: cells(), coveredMm: cells(), noiseMm4: cells(), holeMm4: cells(), stepMm2: cells(),
    supportVariance: cells(), kind: new Uint8Array(n), onMm: cells(), restMm2: cells(), flanks: new Float64Array(4 * strand.count), flankTag: new Uint8Array(2 * strand.count),
    nearMm: new Float32Array(strand.count), pass: new Float64Array(PASS_LENGTH * strand.count),
  };
}

/** Forgets what was gathered at a station. */
export function clearSection(s: Sections, station: number): void {
  s.tag.fill(EMPTY, station * s.grid.count, (station + 1) * s.grid.count);
  s.flankTag.fill(EMPTY, 2 * station, 2 * station + 2);
  s.pass.fill(0, PASS_LENGTH * station, PASS_LENGTH * station + PASS_LENGTH);
}

/** Cells of `row` that lie within half a spacing of a station and are not known better; true where any did. */
export function putNearest(s: Sections, row: Row, station: number, withinMm: number): boolean {
  const at = s.strand.sMm[station] as number;
  const base = station * s.grid.count;
  let any = false;
  for (let k = row.from; k < row.to; k++) {
    const d = Math.abs((row.along[k] as number) - at);
    const c = base + k;
    if (!(d <= withinMm) || s.tag[c] === BETWEEN) continue;
    if (s.tag[c] === NEAREST && d > (s.stepMm2[c] as number)) continue;
    s.tag[c] = NEAREST;
    s.areaMm2[c] = row.areaMm2[k] as number;
    s.coveredMm[c] = row.coveredMm[k] as number;
    s.noiseMm4[c] = row.noiseMm4[k] as number;
    s.holeMm4[c] = row.holeMm4[k] as number;
    s.stepMm2[c] = d; // as long as the cell is NEAREST this keeps its distance
    s.supportVariance[c] = row.variance[k] as number;
    s.kind[c] = row.kind[k] as number;
    s.onMm[c] = row.onMm[k] as number;
    s.restMm2[c] = (row.onMm[k] as number) * (row.restMm[k] as number);
    any = true;
  }
  putNearestFlank(s, station, 0, row.rightMm, row.uRightMm, Math.abs(row.rightS - at), withinMm);
  putNearestFlank(s, station, 1, row.leftMm, row.uLeftMm, Math.abs(row.leftS - at), withinMm);
  if (any) notePass(s, row, station);
  return any;
}

function putNearestFlank(s: Sections, station: number, side: 0 | 1, b: number, u: number, d: number, withinMm: number): void {
  const known = s.flankTag[2 * station + side] !== EMPTY && s.flanks[4 * station + 2 * side] === s.flanks[4 * station + 2 * side];
  if (!(d <= withinMm) || known || s.flankTag[2 * station + side] === BETWEEN) return;
  s.flankTag[2 * station + side] = NEAREST;
  s.flanks[4 * station + 2 * side] = b;
  s.flanks[4 * station + 2 * side + 1] = u;
}

/** Cells whose two rows stand on either side of a station: linear in arc length, each cell by its own. True where any did. */
export function putBetween(s: Sections, a: Row, b: Row, station: number): boolean {
  const at = s.strand.sMm[station] as number;
  const base = station * s.grid.count;
  const from = Math.max(a.from, b.from), to = Math.min(a.to, b.to);
  let any = false;
  for (let k = from; k < to; k++) {
    const sa = a.along[k] as number, sb = b.along[k] as number;
    if (!((sa <= at && at <= sb) || (sb <= at && at <= sa))) continue;
    const f = sb === sa ? 1 : (at - sa) / (sb - sa);
    const g = 1 - f;
    const c = base + k;
    s.tag[c] = BETWEEN;
    s.areaMm2[c] = g * (a.areaMm2[k] as number) + f * (b.areaMm2[k] as number);
    s.coveredMm[c] = g * (a.coveredMm[k] as number) + f * (b.coveredMm[k] as number);
    s.noiseMm4[c] = g * g * (a.noiseMm4[k] as number) + f * f * (b.noiseMm4[k] as number);
    s.holeMm4[c] = g * g * (a.holeMm4[k] as number) + f * f * (b.holeMm4[k] as number);
    const onA = a.onMm[k] as number, onB = b.onMm[k] as number, restA = onA * (a.restMm[k] as number), restB = onB * (b.restMm[k] as number);
    s.onMm[c] = g * onA + f * onB;
    s.restMm2[c] = g * restA + f * restB;
    s.stepMm2[c] = ((b.areaMm2[k] as number) + restB - (a.areaMm2[k] as number) - restA) * Math.sqrt(f * g); // the support's own steps are known at the station
    s.supportVariance[c] = g * (a.variance[k] as number) + f * (b.variance[k] as number);
    s.kind[c] = (f < 0.5 ? a.kind[k] : b.kind[k]) as number;
    any = true;
  }
  putFlank(s, station, 0, a.rightS, b.rightS, a.rightMm, b.rightMm, a.uRightMm, b.uRightMm);
  putFlank(s, station, 1, a.leftS, b.leftS, a.leftMm, b.leftMm, a.uLeftMm, b.uLeftMm);
  if (any) notePass(s, b, station);
  return any;
}

function putFlank(s: Sections, station: number, side: 0 | 1, sa: number, sb: number, ba: number, bb: number, ua: number, ub: number): void {
  const at = s.strand.sMm[station] as number;
  if (!((sa <= at && at <= sb) || (sb <= at && at <= sa))) return;
  const f = sb === sa ? 1 : (at - sa) / (sb - sa);
  s.flankTag[2 * station + side] = BETWEEN;
  s.flanks[4 * station + 2 * side] = ba + (bb - ba) * f;
  // half of its doubt is of the outline's form and the samples' phase, which two rows share: only the other half averages
  s.flanks[4 * station + 2 * side + 1] = Math.sqrt((1 - f * (1 - f)) * ((1 - f) * ua * ua + f * ub * ub));
}

/**
 * A leaning plane shows the bead's top at one place along the strand and its base at another: where the area changes from row to
 * row, nobody knows within that lean where it does. Standard uncertainty of an area between or next to two such rows, mm².
 */
export function doubtAlong(a: Row, b: Row): number {
  const lean = Math.max(a.leanMm, b.leanMm);
  const apart = Math.abs(b.sMm - a.sMm);
  if (!(lean > 0.02) || !(apart > 0)) return 0;
  let change = 0, noise = 0;
  for (let k = Math.max(a.from, b.from); k < Math.min(a.to, b.to); k++) {
    if (a.along[k] !== a.along[k] || b.along[k] !== b.along[k]) continue;
    change += (b.areaMm2[k] as number) - (a.areaMm2[k] as number);
    noise += (a.noiseMm4[k] as number) + (b.noiseMm4[k] as number);
  }
  return Math.max(0, Math.abs(change) - 4 * Math.sqrt(noise)) / apart * lean / Math.sqrt(12);
}

/** Keeps the largest doubt of the rows about a station. */
export function noteDoubt(s: Sections, station: number, doubt: number): void {
  const at = PASS_LENGTH * station + ALONG_DOUBT;
  if (doubt > (s.pass[at] as number)) s.pass[at] = doubt;
}

function notePass(s: Sections, row: Row, station: number): void {
  const at = PASS_LENGTH * station;
  s.pass[at] = row.tS;
  s.pass[at + 1] = row.driftVariance;
  s.pass[at + 2] = row.sigmaMm;
  s.pass[at + 3] = row.pitchMm;
  s.pass[at + 4] = row.swayMm;
  s.pass[at + 5] = row.supportNoise;
  s.pass[at + SEQ] = row.seq;
}

/** Bridges runs of at most `most` unknown cells between known ones, linearly; they returned no light, and their step is their doubt. */
export function bridgeCells(s: Sections, station: number, range: { from: number; to: number }, most: number): void {
  const base = station * s.grid.count;
  let last = -1;
  for (let k = range.from; k < range.to; k++) {
    if (s.tag[base + k] === EMPTY) continue;
    const missing = k - last - 1;
    if (last >= 0 && missing > 0 && missing <= most) {
      const a0 = s.areaMm2[base + last] as number, a1 = s.areaMm2[base + k] as number;
      for (let q = 1; q <= missing; q++) {
        const c = base + last + q, f = q / (missing + 1);
        s.tag[c] = NEAREST;
        s.areaMm2[c] = a0 + (a1 - a0) * f;
        s.coveredMm[c] = 0;
        s.noiseMm4[c] = 0;
        s.holeMm4[c] = ((a1 - a0) * missing) ** 2 / 12 / missing;
        s.supportVariance[c] = s.supportVariance[base + k] as number;
        s.kind[c] = s.kind[base + (f < 0.5 ? last : k)] as number;
      }
    }
    last = k;
  }
}
