/** Kept sections into rows of vertices: one row a profile, resampled to one lateral spacing along the strand. */
import type { AsLaidLattice, AsLaidRow } from "../model/asLaid.ts";
import type { Job } from "../model/job.ts";
import type { CutPoint, SectionCut } from "../model/sectionCut.ts";
import type { StrandStations } from "../model/stations.ts";

/** Nodes across the widest bead of a strand: as many as measuring has cells. */
const NODES_A_WIDTH = 20;
/**
 * Samples further apart than this leave a gap in the surface. In height: a stadium's hidden undercut is a wall half a height high, which nobody has seen
 * and which so stays open, while the chord over 0.3 h of its flank lies within 0.023 h of it (h 0.5 mm: 11 µm). Sideways: a tenth of the width, or what
 * one lost sample leaves where the sensor is coarser.
 */
const GAP_HEIGHTS = 0.3;
const GAP_WIDTHS = 0.1;
const GAP_PITCHES = 2.5;
/** Where a flank was not seen the bead ends where paste is no higher than this over what lies beneath. */
const EDGE_HEIGHTS = 0.25;

/** Nodes as far out as the strand's windows reach, one of them in the bead's middle. */
export function latticeOf(strand: StrandStations): AsLaidLattice {
  let widestMm = 0, reachMm = 0;
  for (let i = 0; i < strand.count; i++) {
    widestMm = Math.max(widestMm, strand.widthMm[i] as number);
    reachMm = Math.max(reachMm, strand.windowLeftMm[i] as number, strand.windowRightMm[i] as number);
  }
  const cellMm = widestMm / NODES_A_WIDTH, side = Math.floor(reachMm / cellMm + 1e-9);
  return { firstMm: -side * cellMm, cellMm, count: 2 * side + 1 };
}

/** How much too high a profiler sees translucent paste, as its job states it, mm; 0 where it is opaque. */
export type BiasOf = (device: string) => number;

/**
 * The rows of one strand. `cuts`: the sections of the newest attempts' readings that stand, in order of station; a station without one was not seen.
 * Stations that show the same profile share a row; one that has no vertex makes none.
 */
export function* asLaidRows(strand: StrandStations, lattice: AsLaidLattice, cuts: Iterable<SectionCut>, biasMm: BiasOf = () => 0): Generator<AsLaidRow> {
  let open: { readonly row: AsLaidRow; readonly cut: SectionCut } | null = null;
  for (const cut of cuts) {
    if (open !== null && cut.seq === open.cut.seq && cut.device === open.cut.device && cut.stationIndex === open.row.lastStation + 1) {
      open = { row: upTo(open.row, cut.stationIndex), cut };
      continue;
    }
    if (open !== null) yield open.row;
    const row = rowOf(strand, lattice, cut, biasMm(cut.device));
    open = row === null ? null : { row, cut };
  }
  if (open !== null) yield open.row;
}

function upTo(row: AsLaidRow, lastStation: number): AsLaidRow {
  return { ...row, lastStation };
}

function rowOf(strand: StrandStations, lattice: AsLaidLattice, cut: SectionCut, biasMm: number): AsLaidRow | null {
  const { layer, strand: number, stationIndex, alongMm, slant } = cut;
  const sMm = (strand.sMm[stationIndex] as number) + alongMm, { rightMm, leftMm } = beadEdges(strand, cut);
  const row = {
    layer, strand: number, station: stationIndex, lastStation: stationIndex, sMm, slant,
    nMm: new Float64Array(lattice.count).fill(Number.NaN), joined: new Uint8Array(lattice.count),
  };
  const used = cut.points.filter((point) => point.used);
  if (!resample(used, { ...lattice, rightMm, leftMm, ...gapOf(strand, stationIndex, used) }, row)) return null;
  for (let k = 0; k < lattice.count; k++) row.nMm[k]! -= biasMm;
  return row;
}

function gapOf(strand: StrandStations, station: number, used: readonly CutPoint[]): { readonly gapBMm: number; readonly gapNMm: number } {
  const [w, h] = [strand.widthMm[station] as number, strand.heightMm[station] as number];
  const steps = used.slice(1).map((point, i) => point.bMm - (used[i] as CutPoint).bMm).sort((p, q) => p - q);
  return { gapBMm: Math.max(GAP_WIDTHS * w, GAP_PITCHES * (steps[steps.length >> 1] ?? 0)), gapNMm: GAP_HEIGHTS * h };
}

interface Resampling extends AsLaidLattice { readonly rightMm: number; readonly leftMm: number; readonly gapBMm: number; readonly gapNMm: number }

/** Fills a row, linear between the samples on either side of a node; false where it stays empty. */
function resample(used: readonly CutPoint[], { firstMm, cellMm, count, rightMm, leftMm, gapBMm, gapNMm }: Resampling, row: Pick<AsLaidRow, "nMm" | "joined">): boolean {
  const isGap = (q: number): boolean => {
    const a = used[q] as CutPoint, b = used[q + 1] as CutPoint;
    return b.bMm - a.bMm > gapBMm || Math.abs(b.nMm - a.nMm) > gapNMm;
  };
  let j = 0, before = -1, any = false; // before: the sample to the right of the node before, where that has a vertex
  for (let k = 0; k < count; k++) {
    const b = firstMm + k * cellMm, from = before;
    before = -1;
    if (b < rightMm || b > leftMm) continue;
    while (j + 1 < used.length && (used[j + 1] as CutPoint).bMm < b) j++;
    const low = used[j], high = used[j + 1];
    if (low === undefined || high === undefined || low.bMm > b || isGap(j)) continue;
    row.nMm[k] = low.nMm + (high.nMm - low.nMm) * (b - low.bMm) / (high.bMm - low.bMm);
    any = true;
    before = j;
    let isJoined = from >= 0;
    for (let q = from; isJoined && q < j; q++) isJoined = !isGap(q);
    if (isJoined) row.joined[k] = 1;
  }
  return any;
}

/** From where to where the surface is the bead's: to its flanks where they were seen, inside the lateral window. */
function beadEdges(strand: StrandStations, cut: SectionCut): { readonly rightMm: number; readonly leftMm: number } {
  const { flanks, window } = cut, half = (strand.widthMm[cut.stationIndex] as number) / 2, least = EDGE_HEIGHTS * (strand.heightMm[cut.stationIndex] as number);
  const outermost = (side: 1 | -1): number => {
    let edge = half;
    for (const point of side > 0 ? cut.points : cut.points.toReversed()) {
      const away = side * point.bMm;
      if (!point.used || away <= half) continue;
      if (point.nMm - supportAt(cut, point.bMm) < least) break;
      edge = away;
    }
    return edge;
  };
  return { rightMm: Math.max(window.rightMm, flanks.rightMm ?? -outermost(-1)), leftMm: Math.min(window.leftMm, flanks.leftMm ?? outermost(1)) };
}

/** Height of what the thickness was counted from there; the planned base, 0, beyond what was kept of it. */
function supportAt({ support }: SectionCut, bMm: number): number {
  const first = support[0], last = support.at(-1);
  if (first === undefined || last === undefined) return 0;
  const k = support.length < 2 ? 0 : Math.round((bMm - first.bMm) / (last.bMm - first.bMm) * (support.length - 1));
  return support[Math.min(support.length - 1, Math.max(0, k))]?.nMm ?? 0;
}

/** The biases that a job states. */
export function surfaceBiasOf({ material, devices }: Pick<Job, "material" | "devices">): BiasOf {
  const stated = new Map(devices.map((device) => [device.id, material.translucent && device.kind === "profiler" ? (device.surfaceBiasMm?.value ?? 0) : 0]));
  return (device) => stated.get(device) ?? 0;
}
