import type { SectionCut } from "./sectionCut.ts";

/** One kept reading of a station, in words that pages print as they are. */
export interface ReadingWords {
  readonly ordinal: number;
  /** "stood", "stands", "not good": what became of it. */
  readonly state: string;
  readonly read: string;
  readonly width: string;
  readonly height: string;
  readonly area: string;
  readonly offset: string;
  readonly ratio: string;
  readonly verdict: string;
}

export interface AttemptWords {
  readonly attempt: number;
  /** "Three readings; the two oldest are not kept one by one." */
  readonly words: string;
  readonly readings: readonly ReadingWords[];
}

/** What is asked for when somebody looks at one station: its section, and every attempt with its readings, newest attempt first. */
export interface StationDetail {
  readonly cut: SectionCut | null;
  readonly attempts: readonly AttemptWords[];
}
