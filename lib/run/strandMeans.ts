/** Strand by strand what a result came to, with the uncertainty of its areas by contribution. */
import { mean } from "../kernel/statistics.ts";
import { CONTRIBUTIONS, type Budget } from "../model/reading.ts";
import type { StationResult } from "../model/result.ts";
import { BUDGET_KEYS, type StrandMean } from "../model/strandMean.ts";

/** Of the reading that stands at a station: when it was laid, reference clock, s (NaN without progress), and its uncertainty by contribution. */
export interface StandingFacts { readonly laidS: number; readonly budget: Budget }
/** undefined: no reading stands. `station`: place in the strand, from 0. */
export type FactsAt = (layer: number, strand: number, attempt: number, station: number) => StandingFacts | undefined;

const present = (values: readonly (number | null | undefined)[]): number[] => values.filter((value): value is number => value !== null && value !== undefined && value === value);
const meanOrNull = (values: readonly (number | null | undefined)[]): number | null => {
  const those = present(values);
  return those.length === 0 ? null : mean(those);
};
const rmsOrNull = (values: readonly (number | undefined)[]): number | null => {
  const square = meanOrNull(values.map((value) => (value === undefined ? undefined : value * value)));
  return square === null ? null : Math.sqrt(square);
};

function meanOf(stations: readonly StationResult[], factsAt: FactsAt): StrandMean {
  const { layer, strand } = stations[0] as StationResult, facts = stations.map((at, i) => (at.measured === null ? undefined : factsAt(layer, strand, at.attempt, i)));
  const budget = Object.fromEntries(CONTRIBUTIONS.map((name) => [BUDGET_KEYS[name], rmsOrNull(facts.map((each) => each?.budget[name]))])) as Pick<StrandMean, (typeof BUDGET_KEYS)[keyof typeof BUDGET_KEYS]>;
  return {
    layer, strand, laidCount: stations.filter((at) => at.laid).length, measuredCount: stations.filter((at) => at.measured !== null).length, inBandCount: stations.filter((at) => at.verdict === "inBand").length,
    areaRatio: meanOrNull(stations.map((at) => at.areaRatio)),
    widthDevMm: meanOrNull(stations.map((at) => (at.measured?.widthMm === undefined || at.measured.widthMm === null ? null : at.measured.widthMm - at.planned.widthMm))),
    heightDevMm: meanOrNull(stations.map((at) => (at.measured?.heightMm === undefined || at.measured.heightMm === null ? null : at.measured.heightMm - at.planned.heightMm))),
    offsetMm: meanOrNull(stations.map((at) => at.measured?.offsetMm ?? null)),
    laidS: meanOrNull(facts.map((each) => each?.laidS)), ...budget,
  };
}

/** `stations` of the newest attempts, in order of layer, strand and s. */
export function strandMeans(stations: readonly StationResult[], factsAt: FactsAt): StrandMean[] {
  const means: StrandMean[] = [];
  for (let from = 0; from < stations.length;) {
    const { layer, strand } = stations[from] as StationResult;
    let to = from + 1;
    while (stations[to]?.layer === layer && stations[to]?.strand === strand) to++;
    means.push(meanOf(stations.slice(from, to), factsAt));
    from = to;
  }
  return means;
}
