import type { SupportKind, Verdict } from "./result.ts";

/** One reading of a station that was kept. null: not seen; one standard uncertainty each; areas mm², lengths mm. */
export interface HistoryReading {
  readonly layer: number; readonly strand: number; readonly attempt: number;
  /** Place in the strand, from 0. */
  readonly stationIndex: number;
  /** Which reading of this attempt of the station it was, from 1. */
  readonly ordinal: number;
  /** The newest profile in it: its device, its number within the device, its reference time in s. */
  readonly device: string; readonly seq: number; readonly tS: number;
  /** Seconds from laying to the reading; null without progress. */
  readonly ageS: number | null;
  /** Its whole window was in view and enough of it returned light; only such a reading can stand. */
  readonly good: boolean;
  /** It was the one that stood, until a later one did. */
  readonly stood: boolean;
  readonly widthMm: number | null; readonly heightMm: number | null; readonly areaMm2: number; readonly offsetMm: number | null;
  readonly uWidthMm: number | null; readonly uHeightMm: number | null; readonly uAreaMm2: number; readonly uOffsetMm: number | null;
  readonly areaRatio: number;
  readonly coverage: number;
  readonly support: SupportKind;
  readonly sagMm: number | null;
  readonly verdict: Verdict;
  readonly proven: boolean;
}

/** The readings of one attempt of a station that were kept, oldest first, and how many there were in all: `count` − `readings.length` were dropped. */
export interface StationHistory {
  readonly count: number;
  readonly readings: readonly HistoryReading[];
}
