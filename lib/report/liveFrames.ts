/** Camera frames of a run that lives, in words. */
import type { LiveFrames } from "../model/liveEvent.ts";
import type { LiveFrameLines } from "../model/liveSheet.ts";
import { usedWords, type FrameLimits } from "./frameWords.ts";
import { ageWords } from "./liveSentence.ts";
import { capital, counted } from "./words.ts";

const number = (count: number): string => (count === 0 ? "none" : counted(count, "", "").trim());

/** Pure. `told` null: nothing is known of frames yet. `ageS` of the newest; null: nobody knows. Paste can be marked where nobody knows yet how it looks. */
export function liveFrameLines(told: LiveFrames | null, ageS: number | null, limits: FrameLimits): LiveFrameLines {
  if (told === null) return { newest: null, countWords: "No frame has come." };
  const { newest, keptCount, measuredCount, skippedCount } = told, skipped = skippedCount === 0 ? "" : `, ${number(skippedCount)} left for the end of the run`;
  return {
    newest: newest === null ? null : { file: newest.file, tS: newest.tS, used: newest.used, words: usedWords(newest, limits), ageWords: ageS === null ? null : ageWords(ageS), mayMark: newest.reason === "nothingLearned" },
    countWords: `${capital(counted(keptCount, "frame"))} kept, ${number(measuredCount)} measured${skipped}.`,
  };
}
