/** Sums up the measured surface strand by strand: areas by deviation, states of stations, places furthest from the plan. */
import type { AsLaidRow, AsLaidVertices } from "../model/asLaid.ts";
import { SURFACE_BIN_MM, SURFACE_REACH_MM, SURFACE_STATES, type StrandSurface, type SurfacePlace, type SurfaceState, type SurfaceStation, type SurfaceSums } from "../model/surfaceSums.ts";
import { makeVertices, placeRow, type LaidStrandPlace } from "./asLaidVertices.ts";

/** More of a station's surface than this beyond its band: the station lies beyond it (common practice, no source). */
const BEYOND_SHARE = 0.05;
const HALF_BINS = Math.round(SURFACE_REACH_MM / SURFACE_BIN_MM);

const stateIndex = (state: SurfaceState): number => SURFACE_STATES.indexOf(state);

/** Takes strand by strand; `sums` gives what they came to. */
export class SurfaceAdder {
  private readonly histogram = new Float64Array(2 * HALF_BINS);
  private readonly strands: StrandSurface[] = [];
  private readonly worst: SurfacePlace[] = [];
  private areaMm2 = 0;
  private belowMm2 = 0;
  private aboveMm2 = 0;
  private plannedMm2 = 0;
  private seenMm2 = 0;
  private band: [number, number] | null = null;

  /** `stations`: every station of the strand in order. An empty yield comes after each row: whoever adds may do something else in between. */
  *add(place: LaidStrandPlace, stations: readonly SurfaceStation[], rows: Iterable<AsLaidRow>): Generator<undefined, void> {
    const { strand } = place, states = new Uint8Array(strand.count), out = makeVertices(place.lattice), ends: { low: SurfacePlace | null; high: SurfacePlace | null } = { low: null, high: null };
    for (let i = 0; i < strand.count; i++) this.plan(place, stations, i);
    for (const row of rows) {
      placeRow(place, row, out);
      states.fill(stateIndex(this.takeRow(place, row, out, { stations, ends })), row.station, row.lastStation + 1);
      yield undefined;
    }
    this.worst.push(...[ends.low, ends.high].filter((each) => each !== null));
    this.strands.push({ layer: strand.layer, strand: strand.strand, states });
  }

  private plan({ strand }: LaidStrandPlace, stations: readonly SurfaceStation[], i: number): void {
    const at = stations[i];
    if (at?.laid !== true) return;
    const half = (strand.widthMm[i] as number) / 2;
    this.plannedMm2 += (Math.min(half, strand.halfWayLeftMm[i] as number) + Math.min(half, strand.halfWayRightMm[i] as number)) * lengthOf(strand.sMm, i);
    this.band = this.band === null ? [...at.bandMm] : [Math.max(this.band[0], at.bandMm[0]), Math.min(this.band[1], at.bandMm[1])];
  }

  /** Adds a row's vertices; the state of its stations. */
  private takeRow({ strand, lattice }: LaidStrandPlace, row: AsLaidRow, out: AsLaidVertices, { stations, ends }: { readonly stations: readonly SurfaceStation[]; readonly ends: { low: SurfacePlace | null; high: SurfacePlace | null } }): SurfaceState {
    const [low, high] = stations[row.station]?.bandMm ?? [Number.NaN, Number.NaN];
    let lengthMm = 0, all = 0, below = 0, above = 0;
    for (let i = row.station; i <= row.lastStation; i++) lengthMm += lengthOf(strand.sMm, i);
    for (let m = 0; m < out.count; m++) {
      const deviationMm = out.deviationMm[m] as number, areaMm2 = lengthMm * breadthAt(row, lattice.cellMm, out.node[m] as number);
      all += areaMm2;
      if (deviationMm < low) below += areaMm2;
      if (deviationMm > high) above += areaMm2;
      const bin = Math.floor(deviationMm / SURFACE_BIN_MM + 1e-9) + HALF_BINS;
      this.histogram[Math.max(0, Math.min(2 * HALF_BINS - 1, bin))]! += areaMm2;
      const at = (limitMm: number): SurfacePlace => ({ layer: row.layer, strand: row.strand, sMm: out.sMm[m] as number, deviationMm, limitMm });
      if (deviationMm < (ends.low?.deviationMm ?? Infinity)) ends.low = at(low);
      if (deviationMm > (ends.high?.deviationMm ?? -Infinity)) ends.high = at(high);
    }
    this.areaMm2 += all;
    this.belowMm2 += below;
    this.aboveMm2 += above;
    this.seenMm2 += lengthMm * seenBreadth(strand, row, lattice);
    return below > BEYOND_SHARE * all && below >= above ? "below" : above > BEYOND_SHARE * all ? "above" : "in";
  }

  sums(): SurfaceSums {
    const { strands, areaMm2, belowMm2, aboveMm2, histogram, band, plannedMm2, seenMm2 } = this;
    const worst = this.worst.toSorted((p, q) => Math.abs(q.deviationMm) - Math.abs(p.deviationMm)), byHeight = this.worst.toSorted((p, q) => p.deviationMm - q.deviationMm);
    return { strands, areaMm2, belowMm2, aboveMm2, histogram, lowest: byHeight[0] ?? null, highest: byHeight.at(-1) ?? null, worst, band, plannedMm2, seenMm2 };
  }
}

/** Half the way to the stations on either side. */
function lengthOf(sMm: Float64Array, i: number): number {
  return ((sMm[Math.min(sMm.length - 1, i + 1)] as number) - (sMm[Math.max(0, i - 1)] as number)) / 2;
}

/** How broad a strip of surface a vertex stands for: half the chord to each vertex that it is joined to, half a cell where it is joined to none. */
function breadthAt(row: AsLaidRow, cellMm: number, k: number): number {
  const half = (isJoined: boolean, from: number, to: number): number => (isJoined ? Math.hypot(cellMm, (row.nMm[to] as number) - (row.nMm[from] as number)) : cellMm) / 2;
  return half(row.joined[k] === 1, k - 1, k) + half(row.joined[k + 1] === 1, k, k + 1);
}

/** Breadth of the planned top that a row shows, seen along the normal: nodes that have a vertex or stand beside one (a flank lies between two nodes). */
function seenBreadth(strand: LaidStrandPlace["strand"], row: AsLaidRow, { firstMm, cellMm, count }: LaidStrandPlace["lattice"]): number {
  const half = (strand.widthMm[row.station] as number) / 2, low = -Math.min(half, strand.halfWayRightMm[row.station] as number), high = Math.min(half, strand.halfWayLeftMm[row.station] as number);
  const has = (k: number): boolean => { const n = row.nMm[k]; return n !== undefined && n === n; };
  let breadth = 0;
  for (let k = 0; k < count; k++) {
    const b = firstMm + k * cellMm;
    if (has(k) || has(k - 1) || has(k + 1)) breadth += Math.max(0, Math.min(high, b + cellMm / 2) - Math.max(low, b - cellMm / 2));
  }
  return breadth;
}

/** The deviation below which the fraction `p` of the measured area lies, mm, to SURFACE_BIN_MM; NaN where nothing was measured. */
export function surfaceQuantile({ histogram, areaMm2 }: Pick<SurfaceSums, "histogram" | "areaMm2">, p: number): number {
  if (!(areaMm2 > 0)) return Number.NaN;
  let sum = 0;
  for (let i = 0; i < histogram.length; i++) {
    const area = histogram[i] as number;
    if (area > 0 && sum + area >= p * areaMm2) return (i - HALF_BINS + Math.min(1, Math.max(0, (p * areaMm2 - sum) / area))) * SURFACE_BIN_MM;
    sum += area;
  }
  return SURFACE_REACH_MM;
}
