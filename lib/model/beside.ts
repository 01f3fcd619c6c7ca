/** Two results side by side, as a page shows them: words, tables and drawings. A and B are the two sides; differences are B − A. */
import type { Drawing, ReportTable } from "./report.ts";

/** What names a side: a run, and a recompute of it (null: its own result). */
export interface BesideAsk { readonly runId: string; readonly resultId: string | null }

export interface BesideFact { readonly name: string; readonly a: string; readonly b: string; readonly isSame: boolean }

/** One layer on both sides, to one scale; null: that side has no such layer. */
export interface BesideMaps { readonly layer: number; readonly a: Drawing | null; readonly b: Drawing | null }

/** Findings in words; those in `both` are of one kind at overlapping places. */
export interface BesideFindings { readonly onlyA: readonly string[]; readonly onlyB: readonly string[]; readonly both: readonly { readonly a: string; readonly b: string }[] }

export interface BesideMeans { readonly drawing: Drawing; readonly table: ReportTable }

export interface Beside {
  /** What differs most, in a sentence. */
  readonly headline: string;
  readonly detail: string;
  readonly facts: readonly BesideFact[];
  readonly amounts: ReportTable;
  /** All that one of the two has; of many, `maps` has one. */
  readonly layers: readonly number[];
  readonly maps: readonly BesideMaps[];
  /** null: the plans differ, so places cannot be compared. */
  readonly findings: BesideFindings | null;
  /** null: the plans differ, or no strand means are kept of one of the two. */
  readonly means: BesideMeans | null;
}
