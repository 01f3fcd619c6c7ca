/** What is said of the charts across runs. */
import { RULE_WORDS, RUN_RULES, type RunRule } from "../formula/runRules.ts";
import type { AcrossMetric, AcrossQuery } from "../model/across.ts";
import type { Fact } from "../model/sheet.ts";
import { rangeSignals, signalsOf, type ChartValues } from "./acrossChart.ts";
import { numberText } from "./plot.ts";
import { counted } from "./words.ts";

/** Fewer runs than that give limits that mean little (common practice, no source). */
export const LEAST_RUNS = 8;
export const METRIC_NAMES: Readonly<Record<AcrossMetric, string>> = { areaRatio: "area ratio", inBand: "in-band length, of the laid length" };

const capital = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}`;

/** " with lot “A1”, a nozzle of 0.84 mm"; "" for all runs. */
function groupWords({ lot, nozzleMm, cell, source }: AcrossQuery): string {
  const parts = [lot === null ? null : `lot “${lot}”`, nozzleMm === null ? null : `a nozzle of ${nozzleMm} mm`, cell === null ? null : `the cell “${cell}”`].filter((part) => part !== null);
  const of = source === null ? "" : source === "real" ? " of real cells" : " of rehearsals and demonstrations";
  return parts.length === 0 ? of : `${of} with ${parts.join(", ")}`;
}

function signalWords(chart: ChartValues, query: AcrossQuery, signals: readonly number[]): string {
  const [first] = signals;
  if (!(chart.sd > 0) && !(query.chart === "cusum" && chart.decision > 0)) return "no limits can be drawn yet.";
  if (first === undefined) return query.chart === "individuals" ? "no run lies beyond its limits, and no pattern is met." : query.chart === "ewma" ? "the weighted average stays within its limits." : "neither sum comes to the decision limit.";
  const more = signals.length === 1 ? "" : `, and at ${counted(signals.length - 1, "more run")}`;
  return query.chart === "individuals" ? `patterns that chance seldom makes are met first at run ${first + 1}${more}.` : query.chart === "ewma" ? `the weighted average leaves its limits first at run ${first + 1}${more}.` : `the sum comes beyond its decision limit first at run ${first + 1}${more}.`;
}

/** "Area ratio across 20 runs with lot “A1”: no run lies beyond its limits, and no pattern is met." `chart` null: no run is left. */
export function acrossSentence(chart: ChartValues | null, query: AcrossQuery): string {
  const name = capital(METRIC_NAMES[query.metric]);
  if (chart === null) return `${name}: no run${groupWords(query)} has a value to chart.`;
  return `${name} across ${counted(chart.values.length, "run")}${groupWords(query)}: ${signalWords(chart, query, signalsOf(chart, query))}`;
}

/** Runs that are not charted, by reason; and how many of those that are were simulated. */
export interface Counts { readonly withoutMeans: number; readonly unmeasured: number; readonly older: number; readonly rehearsals: number }

/** What the reader has to know beside the sentence. */
export function acrossCautions(chart: ChartValues | null, query: AcrossQuery, { withoutMeans, unmeasured, older, rehearsals }: Counts): string[] {
  const count = chart?.values.length ?? 0, isOwn = query.centre === null || query.sd === null;
  return [
    count > 0 && count < LEAST_RUNS && isOwn ? `Limits from ${counted(count, "run")} mean little: with fewer than ${LEAST_RUNS} one run more may move them far.` : null,
    rehearsals === 0 ? null : rehearsals === count ? "All of them are rehearsals or demonstrations: no real cell printed them." : `${capital(counted(rehearsals, "run"))} of the ${count} ${rehearsals === 1 ? "is a rehearsal or a demonstration" : "are rehearsals or demonstrations"}: no real cell printed ${rehearsals === 1 ? "it" : "them"}.`,
    query.centre === null ? query.sd === null ? null : "The standard deviation was stated, and does not come from these runs."
      : query.sd === null ? "The centre line was stated, and does not come from these runs." : "Centre line and standard deviation were stated, and do not come from these runs.",
    withoutMeans === 0 ? null : `${capital(counted(withoutMeans, "run"))} ${withoutMeans === 1 ? "is" : "are"} left out: ${withoutMeans === 1 ? "its result was" : "their results were"} made before strand means were kept.`,
    unmeasured === 0 ? null : `${capital(counted(unmeasured, "run"))} ${unmeasured === 1 ? "is" : "are"} left out: nothing was ${query.metric === "areaRatio" ? "measured" : "laid or measured"} there.`,
    older === 0 ? null : `Charted are the newest runs; ${counted(older, "older run")} ${older === 1 ? "is" : "are"} not.`,
    query.chart === "individuals" && (chart?.hits.length ?? 0) > 0 ? "Twelve patterns that are looked for at once are met by chance more often than one alone: a pattern asks for a look, it proves no cause." : null,
  ].filter((caution) => caution !== null);
}

/** Each pattern that is met, with the runs by which it is whole. */
export function ruleLines(chart: ChartValues): string[] {
  const line = (name: string, runs: readonly number[]): string[] => (runs.length === 0 ? [] : [`${name}: at run ${runs.slice(0, 12).join(", ")}${runs.length > 12 ? ` and ${runs.length - 12} more` : ""}.`]);
  const nameOf = (rule: RunRule): string => (rule.startsWith("WE") ? `Western Electric ${rule.slice(2)}` : `Nelson ${rule.slice(1)}`);
  const patterns = [...new Set(RUN_RULES.map((rule) => RULE_WORDS[rule]))].flatMap((words) => {
    const alike = RUN_RULES.filter((rule) => RULE_WORDS[rule] === words); // two authors, one pattern
    return line(`${alike.map(nameOf).join(" and ")}, ${words}`, chart.hits.filter(({ rule }) => rule === alike[0]).map(({ at }) => at + 1));
  });
  return [...patterns, ...line("Moving range beyond its limit", rangeSignals(chart).map((i) => i + 1))];
}

/** The chart's numbers. */
export function acrossFacts(chart: ChartValues, query: AcrossQuery, decimals: number): Fact[] {
  const text = (value: number): string => numberText(value, decimals), { individuals, ewma } = chart;
  const common = [{ name: query.chart === "cusum" ? "target" : "centre line", value: text(chart.centre) }, { name: "standard deviation of a run", value: text(chart.sd) }];
  if (query.chart === "ewma") return [...common, { name: "weight λ", value: String(query.lambda) }, { name: "limits in the long run", value: `${text(ewma.lower)} and ${text(ewma.upper)}` }, { name: "upper limit at the first run", value: text(ewma.points[0]?.upper ?? Number.NaN) }];
  if (query.chart === "cusum") return [...common, { name: "slack k", value: text(chart.slack) }, { name: "decision limit h", value: text(chart.decision) }];
  return [...common, { name: "limits", value: `${text(chart.lower)} and ${text(chart.upper)}` }, { name: "mean moving range", value: text(individuals.meanRange) }, { name: "limit of the moving range", value: text(chart.rangeUpper) }];
}
