/**
 * Sums of stations that were seen wet and hard, with the uncertainty of their ratio (JCGM 100, 5.2). Of a reading's contributions noise, sampling and holes are each station's own and independent;
 * drift is taken as one error along a whole strand and a whole scan, which is its upper bound; the support is the same map both times, so that its error goes out of a difference and
 * enters a ratio by 1 − ratio alone; so does calibration, but of translucent paste, which light enters otherwise once it has set.
 */
import type { Reading } from "../model/reading.ts";
import type { WithU } from "../model/scan.ts";
import { rounded } from "./stationResult.ts";

/** A mean of differences whose doubts may all be one. */
export interface ChangeSums { sum: number; u: number; count: number }

export interface PairSums {
  lengthMm: number;
  wetMm3: number; hardMm3: number;
  /** Independent parts, squared, mm⁶. */
  wetOwn: number; hardOwn: number;
  /** Parts that are one along the strand, mm³. */
  wetDrift: number; hardDrift: number; wetLight: number; hardLight: number;
  /** Common to both, of the wet reading, mm³. */
  support: number; scale: number;
  readonly height: ChangeSums; readonly offset: ChangeSums;
}

const makeChange = (): ChangeSums => ({ sum: 0, u: 0, count: 0 });

export function makePairSums(): PairSums {
  return { lengthMm: 0, wetMm3: 0, hardMm3: 0, wetOwn: 0, hardOwn: 0, wetDrift: 0, hardDrift: 0, wetLight: 0, hardLight: 0, support: 0, scale: 0, height: makeChange(), offset: makeChange() };
}

/** Adds a station that stands for `lengthMm`. */
export function addPair(sums: PairSums, wet: Reading, hard: Reading, { lengthMm, isTranslucent }: { readonly lengthMm: number; readonly isTranslucent: boolean }): void {
  const own = ({ budget: { noise, sampling, holes } }: Reading): number => (noise * noise + sampling * sampling + holes * holes) * lengthMm * lengthMm;
  sums.lengthMm += lengthMm;
  sums.wetMm3 += wet.areaMm2 * lengthMm;
  sums.hardMm3 += hard.areaMm2 * lengthMm;
  sums.wetOwn += own(wet);
  sums.hardOwn += own(hard);
  sums.wetDrift += wet.budget.drift * lengthMm;
  sums.hardDrift += hard.budget.drift * lengthMm;
  sums.support += wet.budget.support * lengthMm;
  if (!isTranslucent && wet.device === hard.device) sums.scale += wet.budget.calibration * lengthMm;
  else {
    sums.wetLight += wet.budget.calibration * lengthMm;
    sums.hardLight += hard.budget.calibration * lengthMm;
  }
  addChange(sums.height, hard.heightMm - wet.heightMm, Math.hypot(hard.uHeightMm, wet.uHeightMm));
  addChange(sums.offset, hard.offsetMm - wet.offsetMm, Math.hypot(hard.uOffsetMm, wet.uOffsetMm));
}

function addChange(sums: ChangeSums, change: number, u: number): void {
  if (!(Number.isFinite(change) && Number.isFinite(u))) return;
  sums.sum += change;
  sums.u += u;
  sums.count++;
}

/** Strands together; what is one along a strand is taken as one along all. */
export function withAllPairs(list: readonly PairSums[]): PairSums {
  const all = makePairSums();
  for (const { height, offset, ...sums } of list) {
    for (const key of Object.keys(sums) as (keyof typeof sums)[]) all[key] += sums[key];
    for (const [into, from] of [[all.height, height], [all.offset, offset]] as const) for (const key of ["sum", "u", "count"] as const) into[key] += from[key];
  }
  return all;
}

/** Hard over wet; null where nothing was compared. */
export function ratioOf(sums: PairSums): WithU | null {
  const { wetMm3, hardMm3 } = sums;
  if (!(wetMm3 > 0)) return null;
  const ratio = hardMm3 / wetMm3, common = (1 - ratio) * Math.hypot(sums.support, sums.scale), hard = Math.hypot(Math.sqrt(sums.hardOwn), sums.hardDrift, sums.hardLight), wet = Math.hypot(Math.sqrt(sums.wetOwn), sums.wetDrift, sums.wetLight);
  return { value: rounded(ratio), u: rounded(Math.hypot(hard, ratio * wet, common) / wetMm3) };
}

/** Hard − wet volume over the compared length. */
export function volumeOf(sums: PairSums): WithU | null {
  const { wetMm3, hardMm3 } = sums;
  if (!(wetMm3 > 0)) return null;
  const scaleMm3 = (1 - hardMm3 / wetMm3) * sums.scale;
  return { value: rounded(hardMm3 - wetMm3), u: rounded(Math.hypot(Math.sqrt(sums.hardOwn + sums.wetOwn), sums.hardDrift, sums.wetDrift, sums.hardLight, sums.wetLight, scaleMm3)) };
}

/** Mean change; its doubt is that of one station: an upper bound. */
export function changeOf({ sum, u, count }: ChangeSums): WithU | null {
  return count === 0 ? null : { value: rounded(sum / count), u: rounded(u / count) };
}
