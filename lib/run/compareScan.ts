/** Compares what a scan shows of a set specimen with what lay there wet, strand by strand. */
import { limitsAt } from "../judge/bands.ts";
import { addComponent, makePlanarSums, planarShift } from "../kernel/planarShift.ts";
import { add, cross, scale, tripleAt, unit, type Vec3 } from "../kernel/vec.ts";
import type { Job } from "../model/job.ts";
import { NOT_COMPARED, type LostStretch, type NotCompared, type ScanComparison, type ScanShift, type ScanStrand } from "../model/scan.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { rounded } from "./stationResult.ts";
import { stationKey, type ScanReadings, type Seen } from "./measureScan.ts";
import { addPair, changeOf, makePairSums, ratioOf, volumeOf, withAllPairs, type PairSums } from "./scanSums.ts";

export interface Comparing {
  readonly job: Job;
  readonly device: string;
  /** Whether a station of a strand was laid and not taken off again. */
  readonly isLaid: (strand: StrandStations, station: number) => boolean;
}

/** What became of a station. */
type Fate = NotCompared | "compared" | "notLaid";

export function compareScan(readings: ScanReadings, { job, device, isLaid }: Comparing): ScanComparison {
  const { plan, wet, hard, profileCount } = readings, topLayer = Math.max(0, ...[...hard.keys()].map((key) => plan.strands[Number(key.split("/")[0])]?.layer ?? 0));
  const isTranslucent = job.material.translucent, shift = makePlanarSums(), axes = planeOf(plan), all: PairSums[] = [], onTarget: PairSums[] = [];
  let stationCount = 0, offsetU2 = 0;
  const strands = plan.strands.map((strand): ScanStrand => {
    const at = (i: number): { readonly w: Seen | undefined; readonly h: Seen | undefined } => ({ w: wet.get(stationKey(strand, i)), h: hard.get(stationKey(strand, i)) });
    const fates = fatesOf(strand, { at, topLayer, isLaid, job }), sums = makePairSums();
    for (const [i, fate] of fates.entries()) {
      const { w, h } = at(i);
      if (fate !== "compared" || w === undefined || h === undefined) continue;
      addPair(sums, w.reading, h.reading, { lengthMm: lengthOf(strand, i), isTranslucent });
      const movedMm = h.reading.offsetMm - w.reading.offsetMm, lateral = tripleAt(strand.frames, 4 * i + 3);
      if (movedMm !== movedMm) continue;
      addComponent(shift, dotOf(lateral, axes.right), dotOf(lateral, axes.up), movedMm);
      offsetU2 += h.reading.uOffsetMm ** 2 + w.reading.uOffsetMm ** 2;
      stationCount++;
    }
    all.push(sums);
    if (strand.layer === 1) onTarget.push(sums);
    return strandOf(strand, fates, sums, at);
  });
  return {
    contract: "aslaid/1", device, profileCount, strands, areaRatio: ratioOf(withAllPairs(onTarget)), volumeChangeMm3: volumeOf(withAllPairs(all)), lostMm3: rounded(strands.reduce((sum, { lostMm3 }) => sum + lostMm3, 0)),
    shift: stationCount === 0 ? null : shiftOf(planarShift(shift), axes, { stationCount, uMm: Math.sqrt(offsetU2 / stationCount) }), shiftLeftMm: null,
  };
}

interface Deciding extends Pick<Comparing, "isLaid" | "job"> { readonly at: (i: number) => { readonly w: Seen | undefined; readonly h: Seen | undefined }; readonly topLayer: number }

function fatesOf(strand: StrandStations, { at, topLayer, isLaid, job }: Deciding): Fate[] {
  const fates = Array.from({ length: strand.count }, (_, i): Fate => {
    const { w, h } = at(i);
    if (!isLaid(strand, i)) return "notLaid";
    if (h === undefined) return strand.layer < topLayer ? "buried" : "notSeenHard";
    const { gapRatio } = limitsAt(job.tolerance, strand.widthMm[i] as number, strand.heightMm[i] as number), leastMm2 = gapRatio * (strand.visibleAreaMm2[i] as number);
    if (w === undefined || w.attempt !== h.attempt || w.reading.areaMm2 < leastMm2) return "notSeenWet"; // a gap that was one already has nothing to lose
    if (h.reading.areaMm2 < gapRatio * w.reading.areaMm2) return h.verdict === "displaced" ? "moved" : "lost";
    return h.verdict === "displaced" && w.verdict !== "displaced" ? "moved" : "compared";
  });
  return fates.map((fate, i) => (fate === "compared" && isBeside(strand, fates, i) ? "besideLoss" : fate));
}

/** What is gone ends in ramps about a width long: whether anything within that is gone. */
function isBeside({ sMm, widthMm, count }: StrandStations, fates: readonly Fate[], i: number): boolean {
  const reachMm = (widthMm[i] as number) + 1e-9, here = sMm[i] as number;
  for (let j = i - 1; j >= 0 && here - (sMm[j] as number) <= reachMm; j--) if (fates[j] === "lost") return true;
  for (let j = i + 1; j < count && (sMm[j] as number) - here <= reachMm; j++) if (fates[j] === "lost") return true;
  return false;
}

function strandOf(strand: StrandStations, fates: readonly Fate[], sums: PairSums, at: Deciding["at"]): ScanStrand {
  const count = (fate: Fate): number => fates.filter((each) => each === fate).length;
  const lostMm3 = fates.reduce((sum, fate, i) => sum + (fate === "lost" ? (at(i).w?.reading.areaMm2 ?? 0) * lengthOf(strand, i) : 0), 0);
  return {
    layer: strand.layer, strand: strand.strand, laidCount: fates.length - count("notLaid"), comparedCount: count("compared"),
    notCompared: Object.fromEntries(NOT_COMPARED.map((why) => [why, count(why)])) as Record<NotCompared, number>,
    comparedMm: rounded(sums.lengthMm), wetMm3: rounded(sums.wetMm3), hardMm3: rounded(sums.hardMm3), isOverPaste: strand.layer > 1, areaRatio: ratioOf(sums), volumeChangeMm3: volumeOf(sums),
    heightChangeMm: changeOf(sums.height), offsetChangeMm: changeOf(sums.offset), lost: lostStretches(strand, fates), lostMm3: rounded(lostMm3),
  };
}

/** Half the way to the stations on either side. */
function lengthOf({ sMm }: StrandStations, i: number): number {
  return ((sMm[Math.min(sMm.length - 1, i + 1)] as number) - (sMm[Math.max(0, i - 1)] as number)) / 2;
}

function lostStretches({ sMm }: StrandStations, fates: readonly Fate[]): LostStretch[] {
  const stretches: LostStretch[] = [], half = (i: number, j: number): number => rounded(((sMm[Math.max(0, i)] as number) + (sMm[Math.min(sMm.length - 1, j)] as number)) / 2);
  for (let i = 0; i < fates.length; i++) {
    if (fates[i] !== "lost") continue;
    let end = i;
    while (fates[end + 1] === "lost") end++;
    stretches.push({ fromMm: half(i - 1, i), toMm: half(end, end + 1) });
    i = end;
  }
  return stretches;
}

interface Plane { readonly right: Vec3; readonly up: Vec3 }

const dotOf = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Two directions across the mean normal of all stations; where normals cancel, across the plan's z. */
function planeOf({ strands }: StationPlan): Plane {
  let sum: Vec3 = [0, 0, 1e-9];
  for (const strand of strands) for (let i = 0; i < strand.count; i++) sum = add(sum, tripleAt(strand.frames, 4 * i + 2));
  const normal = unit(sum), right = unit(cross(Math.abs(normal[1]) < 0.9 ? [0, 1, 0] : [0, 0, 1], normal));
  return { right, up: cross(normal, right) };
}

function shiftOf([x, y]: readonly [number, number], { right, up }: Plane, { stationCount, uMm }: Pick<ScanShift, "stationCount" | "uMm">): ScanShift {
  const vector = add(scale(right, x), scale(up, y));
  return { vectorMm: vector.map(rounded) as unknown as ScanShift["vectorMm"], sizeMm: rounded(Math.hypot(x, y)), uMm: rounded(uMm), stationCount };
}
