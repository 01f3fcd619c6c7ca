/** What is charted across runs: what may be asked, and the page as plain data. */
import type { Drawing, ReportTable } from "./report.ts";
import type { Fact } from "./sheet.ts";

export const ACROSS_FIELDS = ["metric", "chart", "lot", "nozzle", "cell", "source", "centre", "sd", "lambda", "width", "slack", "decision"] as const;
export type AcrossField = (typeof ACROSS_FIELDS)[number];
/** As it was typed or chosen; "": not asked. */
export type AcrossForm = Readonly<Record<AcrossField, string>>;

/** `areaRatio`: mean of a run's strand means; `inBand`: its in-band length over its laid length, 0..1. */
export const ACROSS_METRICS = ["areaRatio", "inBand"] as const;
export type AcrossMetric = (typeof ACROSS_METRICS)[number];
export const ACROSS_CHARTS = ["individuals", "ewma", "cusum"] as const;
export type AcrossChart = (typeof ACROSS_CHARTS)[number];

export const ACROSS_SOURCES = ["real", "rehearsal"] as const;
export type AcrossSource = (typeof ACROSS_SOURCES)[number];

export interface AcrossQuery {
  readonly metric: AcrossMetric;
  readonly chart: AcrossChart;
  readonly lot: string | null;
  /** Inner diameter, mm. */
  readonly nozzleMm: number | null;
  /** Ids of the run's profilers and arms, in order, joined by " + ". */
  readonly cell: string | null;
  /** Prints of real cells alone, or rehearsals and demonstrations alone; null: both. */
  readonly source: AcrossSource | null;
  /** null: out of the runs themselves. */
  readonly centre: number | null;
  readonly sd: number | null;
  /** Of EWMA: weight of the newest run, and half width of the limits in standard deviations. */
  readonly lambda: number;
  readonly width: number;
  /** Of CUSUM, in the unit of the metric; null: half and five standard deviations. */
  readonly slack: number | null;
  readonly decision: number | null;
}

/** One run in the order of time, n from 1. */
export interface AcrossRow { readonly n: number; readonly runId: string; readonly name: string; readonly runAt: string; readonly cells: readonly string[]; readonly said: string }

/** What can be chosen among. */
export interface AcrossChoices { readonly lots: readonly string[]; readonly nozzlesMm: readonly number[]; readonly cells: readonly string[] }

export interface AcrossSheet {
  readonly form: AcrossForm;
  readonly errors: Partial<Readonly<Record<AcrossField, string>>>;
  readonly choices: AcrossChoices;
  readonly sentence: string;
  /** What limits the sentence: how few runs, which were left out. */
  readonly cautions: readonly string[];
  readonly drawing: Drawing | null;
  readonly facts: readonly Fact[];
  /** Titles of the rows' cells. */
  readonly columns: readonly string[];
  /** Newest first. */
  readonly rows: readonly AcrossRow[];
  /** Patterns that are met, in words, each with its runs. */
  readonly rules: readonly string[];
  readonly recurrence: { readonly sentence: string; readonly table: ReportTable | null; readonly drawing: Drawing | null };
  readonly constants: ReportTable;
}
