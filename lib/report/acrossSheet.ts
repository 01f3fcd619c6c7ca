/** The page across runs as plain data. Pure: runs and findings are handed in. */
import { RULE_WORDS } from "../formula/runRules.ts";
import { chartConstants } from "../formula/chartConstants.ts";
import type { AcrossChoices, AcrossForm, AcrossQuery, AcrossRow, AcrossSheet } from "../model/across.ts";
import type { ReportTable } from "../model/report.ts";
import { chartOf, rangeSignals, signalsOf, type ChartValues } from "./acrossChart.ts";
import { METRIC_NAMES, acrossCautions, acrossFacts, acrossSentence, ruleLines } from "./acrossWords.ts";
import { controlDrawing } from "./controlDrawing.ts";
import { numberText } from "./plot.ts";
import { recurrenceOf, type PlacedFinding } from "./recurrence.ts";
import { counted } from "./words.ts";

/** A run as it is charted. */
export interface AcrossRun { readonly runId: string; readonly name: string; readonly runAt: string; readonly inBandFraction: number | null; readonly areaRatio: number | null; readonly meanCount: number; /** 1: a rehearsal or a demonstration. */ readonly isRehearsal: number }

export interface AcrossInput {
  readonly form: AcrossForm;
  readonly query: AcrossQuery;
  readonly choices: AcrossChoices;
  /** Oldest first. */
  readonly runs: readonly AcrossRun[];
  /** Runs that match and are older than those. */
  readonly olderCount: number;
  readonly findings: readonly PlacedFinding[];
}

/** Decimals of everything on the page. */
const DECIMALS = 4;

/** Constants behind the limits, for whoever checks them. */
export function constantsTable(): ReportTable {
  return {
    caption: "Constants of control charts for subgroups of n, by integration; moving ranges are those of n = 2",
    columns: ["n", "d2", "d3", "c4", "A2", "D3", "D4"].map((title) => ({ title, isNumber: true })),
    rows: [2, 3, 4, 5, 6, 7, 8, 9, 10].map(chartConstants).map((each) => [String(each.n), each.d2.toFixed(5), each.d3.toFixed(4), each.c4.toFixed(5), each.a2.toFixed(4), each.d3Limit.toFixed(4), each.d4Limit.toFixed(4)]),
  };
}

interface Charted { readonly run: AcrossRun; readonly value: number }

const dayOf = (iso: string): string => iso.slice(0, 10);

function columnsOf({ metric, chart }: AcrossQuery): string[] {
  const name = METRIC_NAMES[metric];
  return chart === "individuals" ? [name, "moving range"] : chart === "ewma" ? [name, "weighted average", "its limits"] : [name, "sum above", "sum below"];
}

function cellsOf(chart: ChartValues, kind: AcrossQuery["chart"], i: number): string[] {
  const text = (value: number | undefined): string => (value === undefined ? "–" : numberText(value, DECIMALS)), value = text(chart.values[i]), point = chart.ewma.points[i], sums = chart.cusum[i];
  if (kind === "ewma") return [value, text(point?.value), point === undefined || !Number.isFinite(point.upper) ? "–" : `${text(point.lower)} to ${text(point.upper)}`];
  return kind === "cusum" ? [value, text(sums?.high), text(sums?.low)] : [value, text(i === 0 ? undefined : chart.individuals.ranges[i - 1])];
}

function saidOf(chart: ChartValues, kind: AcrossQuery["chart"], i: number, isSignal: boolean): string {
  if (kind !== "individuals") return isSignal ? (kind === "ewma" ? "beyond its limits" : "beyond the decision limit") : "";
  const range = rangeSignals(chart).includes(i) ? ["moving range beyond its limit"] : [];
  return [...chart.hits.filter((hit) => hit.at === i).map(({ rule }) => `${rule}: ${RULE_WORDS[rule]}`), ...range].join("; ");
}

function rowsOf(charted: readonly Charted[], chart: ChartValues, query: AcrossQuery, signals: readonly number[]): AcrossRow[] {
  return charted.map(({ run: { runId, name, runAt } }, i) => ({ n: i + 1, runId, name, runAt, cells: cellsOf(chart, query.chart, i), said: saidOf(chart, query.chart, i, signals.includes(i)) })).toReversed();
}

/** A form that cannot be read draws nothing. */
export function acrossErrorSheet(form: AcrossForm, errors: AcrossSheet["errors"], choices: AcrossChoices): AcrossSheet {
  const count = Object.keys(errors).length;
  return {
    form, errors, choices, sentence: `Nothing was charted: ${count === 1 ? "one field" : counted(count, "field")} cannot be read.`, cautions: [], drawing: null, facts: [], columns: [], rows: [], rules: [],
    recurrence: { sentence: "", table: null, drawing: null }, constants: constantsTable(),
  };
}

export function acrossSheet({ form, query, choices, runs, olderCount, findings }: AcrossInput): AcrossSheet {
  const withoutMeans = query.metric === "areaRatio" ? runs.filter(({ meanCount }) => meanCount === 0).length : 0;
  const charted = runs.flatMap((run): Charted[] => { const value = query.metric === "areaRatio" ? run.areaRatio : run.inBandFraction; return value === null ? [] : [{ run, value }]; });
  const leftOut = { withoutMeans, unmeasured: runs.length - charted.length - withoutMeans, older: olderCount, rehearsals: charted.filter(({ run }) => run.isRehearsal === 1).length };
  const first = charted[0], last = charted.at(-1), chart = first === undefined ? null : chartOf(charted.map(({ value }) => value), query), signals = chart === null ? [] : signalsOf(chart, query);
  const sentence = acrossSentence(chart, query);
  return {
    form, errors: {}, choices, sentence, cautions: acrossCautions(chart, query, leftOut), columns: columnsOf(query), constants: constantsTable(), recurrence: recurrenceOf(findings, runs.length),
    drawing: chart === null || first === undefined || last === undefined ? null
      : controlDrawing(query.chart, { chart, metricName: METRIC_NAMES[query.metric], decimals: DECIMALS, dates: [dayOf(first.run.runAt), dayOf(last.run.runAt)], signals }, sentence),
    facts: chart === null ? [] : acrossFacts(chart, query, DECIMALS), rows: chart === null ? [] : rowsOf(charted, chart, query, signals), rules: chart === null || query.chart !== "individuals" ? [] : ruleLines(chart),
  };
}
