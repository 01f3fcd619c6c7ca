import { expect, it } from "vitest";
import type { LiveFrames } from "../../lib/model/liveEvent.ts";
import { liveFrameLines } from "../../lib/report/liveFrames.ts";

const limits = { separability: 0.9, poseErrorMm: 0.5 };
const newest = { file: "frames/004.png", device: "camera-1", tS: 12.34, used: true, reason: null, separability: 0.97, poseErrorMm: 0.1 } as const;
const told = (change: Partial<LiveFrames>): LiveFrames => ({ keptCount: 12, measuredCount: 11, skippedCount: 1, newest, findings: [], ...change });

it("the newest measured frame with its age, and how many are kept, measured and left for the end", () => {
  expect(liveFrameLines(told({}), 2.4, limits)).toEqual({
    newest: { file: "frames/004.png", tS: 12.34, used: true, words: "used", ageWords: "2.4 s", mayMark: false }, countWords: "Twelve frames kept, eleven measured, one left for the end of the run.",
  });
  expect(liveFrameLines(told({ keptCount: 1, measuredCount: 0, skippedCount: 0, newest: null }), null, limits)).toEqual({ newest: null, countWords: "One frame kept, none measured." });
  expect(liveFrameLines(null, null, limits).countWords).toBe("No frame has come.");
});

it("paste can be marked where nothing was learned, and nowhere else", () => {
  const of = (reason: "nothingLearned" | "blurred") => liveFrameLines(told({ newest: { ...newest, used: false, reason } }), 1, limits).newest?.mayMark;
  expect([of("nothingLearned"), of("blurred")]).toEqual([true, false]);
});
