import { expect, it } from "vitest";
import { liveFrames } from "../../lib/report/liveFrames.ts";
import { MADE_FRAME } from "../support/madeFrame.ts";

const limits = { separability: 0.9, poseErrorMm: 0.5 };

it("the newest measured frame with its age, and how many are kept, measured and passed over", () => {
  expect(liveFrames({ newest: MADE_FRAME, ageS: 2.4, keptCount: 12, measuredCount: 11, skippedCount: 1 }, limits)).toEqual({
    newest: { file: "frames/004.png", tS: 12.34, used: true, words: "used", ageWords: "2.4 s", mayMark: false }, countWords: "Twelve frames kept, eleven measured, one passed over until the end.",
  });
  expect(liveFrames({ newest: null, ageS: null, keptCount: 1, measuredCount: 0, skippedCount: 0 }, limits)).toEqual({ newest: null, countWords: "One frame kept, none measured." });
});

it("paste can be marked where nothing was learned, and nowhere else", () => {
  const of = (reason: "nothingLearned" | "blurred") => liveFrames({ newest: { ...MADE_FRAME, used: false, reason }, ageS: 1, keptCount: 1, measuredCount: 1, skippedCount: 0 }, limits).newest?.mayMark;
  expect([of("nothingLearned"), of("blurred")]).toEqual([true, false]);
});
