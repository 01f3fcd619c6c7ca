/** Camera frames of a run that lives, in words. */
import type { FrameResult } from "../model/frame.ts";
import type { LiveFrames } from "../model/liveSheet.ts";
import { usedWords, type FrameLimits } from "./frameWords.ts";
import { ageWords } from "./liveSentence.ts";
import { capital, counted } from "./words.ts";

export interface SeenFrames {
  /** The newest that was measured; null: none yet. */
  readonly newest: FrameResult | null;
  /** How old it is, s; null: nobody knows. */
  readonly ageS: number | null;
  readonly keptCount: number;
  readonly measuredCount: number;
  /** Passed over live, since frames came faster than they can be measured; the end of the run measures them. */
  readonly skippedCount: number;
}

/** Pure. Paste can be marked where nobody knows yet how it looks. */
export function liveFrames({ newest, ageS, keptCount, measuredCount, skippedCount }: SeenFrames, limits: FrameLimits): LiveFrames {
  const skipped = skippedCount === 0 ? "" : `, ${counted(skippedCount, "", "").trim()} passed over until the end`;
  return {
    newest: newest === null ? null : { file: newest.file, tS: newest.tS, used: newest.used, words: usedWords(newest, limits), ageWords: ageS === null ? null : ageWords(ageS), mayMark: newest.reason === "nothingLearned" },
    countWords: `${capital(counted(keptCount, "frame"))} kept, ${measuredCount === 0 ? "none" : counted(measuredCount, "", "").trim()} measured${skipped}.`,
  };
}
