/** The chart across runs as numbers: centre line, limits, what each run adds, and which patterns are met. */
import { chartConstants } from "../formula/chartConstants.ts";
import { cusumChart, ewmaChart, individualsChart, type CusumPoint, type EwmaChart, type IndividualsChart } from "../formula/controlCharts.ts";
import { ruleHits, type RuleHit } from "../formula/runRules.ts";
import type { AcrossQuery } from "../model/across.ts";

export interface ChartValues {
  /** In the order of time. */
  readonly values: readonly number[];
  readonly individuals: IndividualsChart;
  /** Centre line and standard deviation in force: stated, or out of the values; NaN where there are too few. */
  readonly centre: number;
  readonly sd: number;
  readonly lower: number;
  readonly upper: number;
  /** Of the moving range, by the standard deviation in force. */
  readonly rangeCentre: number;
  readonly rangeUpper: number;
  readonly ewma: EwmaChart;
  readonly cusum: readonly CusumPoint[];
  readonly slack: number;
  readonly decision: number;
  /** Empty where there are no limits. */
  readonly hits: readonly RuleHit[];
}

/** Slack and decision limit in standard deviations where none is stated (common practice, from memory). */
const CUSUM_SD = { slack: 0.5, decision: 5 } as const;

/** `values`: one or more. */
export function chartOf(values: readonly number[], query: AcrossQuery): ChartValues {
  const individuals = individualsChart(values), centre = query.centre ?? individuals.centre, sd = query.sd ?? individuals.sd;
  const pairs = chartConstants(2), rangeCentre = pairs.d2 * sd;
  const slack = query.slack ?? CUSUM_SD.slack * sd, decision = query.decision ?? CUSUM_SD.decision * sd;
  return {
    values, individuals, centre, sd, slack, decision, rangeCentre, rangeUpper: pairs.d4Limit * rangeCentre, lower: centre - 3 * sd, upper: centre + 3 * sd,
    ewma: ewmaChart(values, { centre, sd, lambda: query.lambda, width: query.width }), cusum: cusumChart(values, { target: centre, slack, decision }),
    hits: sd > 0 ? ruleHits(values.map((value) => (value - centre) / sd)) : [],
  };
}

/** Indices of runs whose range to the one before is beyond its limit. */
export function rangeSignals({ individuals: { ranges }, rangeUpper }: ChartValues): number[] {
  return ranges.map((range, i) => (range > rangeUpper ? i + 1 : null)).filter((i) => i !== null);
}

/** Indices of runs at which the chart that was asked for signals. */
export function signalsOf(chart: ChartValues, { chart: kind }: Pick<AcrossQuery, "chart">): number[] {
  const signals = (isOut: (i: number) => boolean): number[] => chart.values.map((_, i) => i).filter(isOut);
  if (kind === "individuals") return [...new Set([...chart.hits.map(({ at }) => at), ...rangeSignals(chart)])].toSorted((a, b) => a - b);
  if (kind === "cusum") return signals((i) => chart.cusum[i]?.isOut ?? false);
  return signals((i) => { const point = chart.ewma.points[i]; return point !== undefined && (point.value > point.upper || point.value < point.lower); });
}
