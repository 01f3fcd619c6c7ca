/** Where a print goes on, and the plan's rows from there. */
import type { NozzleFacts } from "../model/liveFacts.ts";
import type { StrandPlace } from "../model/liveSheet.ts";
import type { Plan, PlanStrand } from "../model/plan.ts";

/** A stretch that was taken off and waits to be laid again. */
export interface Removed { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }

/** What a station's reading says of the paste there; null: none stands. */
export interface StationSeen { readonly sMm: number; readonly isGood: boolean | null }

/** Why it goes on there. */
export type ResumeWhy = "takenOff" | "strandDone" | "midStrand" | "nothingLaid";
export interface ResumePlace extends StrandPlace {
  readonly why: ResumeWhy;
  /** Good without a gap from the strand's start up to here, mm; null: nothing is proven of it. */
  readonly provenToMm: number | null;
}

const PLACE_MM = 1e-3;
const inPlanOrder = (a: Removed, b: Removed): number => a.layer - b.layer || a.strand - b.strand || a.fromMm - b.fromMm;

/** How far a strand is good without a gap from its start, mm; null: not even there. `stations` in order. */
export function provenTo(stations: readonly StationSeen[]): number | null {
  const first = stations.findIndex(({ isGood }) => isGood !== true);
  return stations[(first < 0 ? stations.length : first) - 1]?.sMm ?? null;
}

/** First what was taken off, in plan order; then on the nozzle's strand, where the paste there ends; and where it is laid, with the next one that is not. null: the plan is laid. */
export function resumePlace(nozzle: NozzleFacts | null, removed: readonly Removed[], stations: readonly StationSeen[]): ResumePlace | null {
  const provenToMm = provenTo(stations), [first] = removed.toSorted(inPlanOrder);
  if (first !== undefined) return { layer: first.layer, strand: first.strand, sMm: first.fromMm, why: "takenOff", provenToMm };
  if (nozzle === null) return { layer: 1, strand: 1, sMm: 0, why: "nothingLaid", provenToMm: null };
  if (nozzle.laidToMm < nozzle.lengthMm - PLACE_MM) return { layer: nozzle.layer, strand: nozzle.strand, sMm: nozzle.laidToMm, why: "midStrand", provenToMm };
  return nozzle.next === null ? null : { ...nozzle.next, why: "strandDone", provenToMm };
}

/** A row of plan.csv, keys in camelCase. Width null and flow 0: nothing is laid from here to the next row, since good paste lies there. */
export interface PlanRow {
  readonly layer: number; readonly strand: number; readonly xMm: number; readonly yMm: number; readonly zMm: number; readonly nx: number; readonly ny: number; readonly nz: number;
  readonly widthMm: number | null; readonly heightMm: number; readonly speedMmS: number; readonly flowMm3S: number; readonly approach: number;
}

export interface ResumeAsk {
  readonly from: StrandPlace;
  readonly overlapMm: number;
  /** A stretch that was taken off ends here, mm; null: to the strand's end. */
  readonly toMm: number | null;
  /** Where the print had stopped; null: it goes on from the strand alone. */
  readonly stoppedAt: StrandPlace | null;
}

/** The plan's rows from there on: the strand from the overlap before the place, then all that was not begun when the print stopped. RangeError: no such strand. */
export function resumeRows({ strands }: Plan, { from, overlapMm, toMm, stoppedAt }: ResumeAsk): PlanRow[] {
  const index = strands.findIndex(({ layer, strand }) => layer === from.layer && strand === from.strand), strand = strands[index];
  if (strand === undefined) throw new RangeError(`no strand ${from.strand} in layer ${from.layer}`);
  const stopped = stoppedAt === null ? -1 : strands.findIndex(({ layer, strand: number }) => layer === stoppedAt.layer && number === stoppedAt.strand);
  const first = onStrand(strand, Math.max(0, from.sMm - overlapMm), toMm, stopped === index ? stoppedAt?.sMm ?? null : null);
  const rest = strands.slice(Math.max(index + 1, stopped)).filter((each) => each !== strand);
  return [...first, ...rest.flatMap((each, i) => rowsBetween(each, i === 0 && stopped > index && stoppedAt !== null ? stoppedAt.sMm : 0, each.lengthMm))];
}

/** What is to be laid of the strand that it goes on with: the stretch that was taken off, and where the print had stopped on the same strand what was never laid of it. */
function onStrand(strand: PlanStrand, fromMm: number, toMm: number | null, stoppedMm: number | null): PlanRow[] {
  if (stoppedMm === null) return rowsBetween(strand, fromMm, toMm ?? strand.lengthMm);
  if (toMm === null || toMm >= stoppedMm - PLACE_MM) return rowsBetween(strand, fromMm, strand.lengthMm);
  const taken = rowsBetween(strand, fromMm, toMm), left = rowsBetween(strand, stoppedMm, strand.lengthMm);
  if (taken.length === 0 || left.length === 0) return [...taken, ...left];
  const over = rowsBetween(strand, toMm, stoppedMm).map((row) => ({ ...row, widthMm: null, flowMm3S: 0 })); // along the good paste between them, and not straight over it
  return [...taken.slice(0, -1), ...over.slice(0, -1), ...left];
}

/** Waypoints between two arc lengths, with points of their own at both; at a waypoint it begins there, with the bead from there on. None where nothing is left. */
function rowsBetween(strand: PlanStrand, fromMm: number, toMm: number): PlanRow[] {
  if (toMm - fromMm < PLACE_MM) return [];
  const waypoints = Array.from(strand.arcMm.subarray(0, strand.pointCount)), first = waypoints.find((sMm) => Math.abs(sMm - fromMm) <= PLACE_MM) ?? fromMm;
  const places = [first, ...waypoints.filter((sMm) => sMm > first + PLACE_MM && sMm < toMm - PLACE_MM), toMm];
  return places.map((sMm) => rowAt(strand, sMm));
}

/** A millionth is enough, and short. */
const inRow = (value: number): number => Math.round(1e6 * value) / 1e6 + 0;

/** A point between two waypoints has the bead of the one before it, and a normal turned in between. */
function rowAt({ layer, strand, approach, pointCount, arcMm, pointsMm, normals, widthMm, heightMm, speedMmS, flowMm3S }: PlanStrand, sMm: number): PlanRow {
  let i = 0;
  while (i < pointCount - 2 && (arcMm[i + 1] as number) <= sMm) i++;
  const spanMm = (arcMm[i + 1] as number) - (arcMm[i] as number), f = Math.min(1, Math.max(0, (sMm - (arcMm[i] as number)) / spanMm));
  const at = (packed: Float64Array, k: number): number => (packed[3 * i + k] as number) * (1 - f) + (packed[3 * i + 3 + k] as number) * f;
  const [nx, ny, nz] = [at(normals, 0), at(normals, 1), at(normals, 2)], long = Math.hypot(nx, ny, nz), bead = f === 1 ? i + 1 : i;
  return {
    layer, strand, xMm: inRow(at(pointsMm, 0)), yMm: inRow(at(pointsMm, 1)), zMm: inRow(at(pointsMm, 2)), nx: inRow(nx / long), ny: inRow(ny / long), nz: inRow(nz / long),
    widthMm: widthMm[bead] as number, heightMm: heightMm[bead] as number, speedMmS: speedMmS[bead] as number, flowMm3S: flowMm3S[bead] as number, approach,
  };
}
