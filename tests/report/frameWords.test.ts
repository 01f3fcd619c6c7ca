/** Frames in words. The frames are made. */
import { describe, expect, it } from "vitest";
import { UNUSED_REASONS, type FrameResult } from "../../lib/model/frame.ts";
import type { Finding } from "../../lib/model/result.ts";
import { frameShowing, layerOfFrame } from "../../lib/report/frameShowing.ts";
import { frameAlt, frameFacts, stateMm, unusedCounts, usedWords } from "../../lib/report/frameWords.ts";
import { MADE_FRAME } from "../support/madeFrame.ts";

const limits = { separability: 0.9, poseErrorMm: 0.5 };
const unused = (reason: FrameResult["reason"], change: Partial<FrameResult> = {}): FrameResult => ({ ...MADE_FRAME, file: `frames/${reason}.png`, used: false, reason, stretches: [], bodies: [], ...change });

describe("a frame in words", () => {
  it("20 + 7 mm present, 2 mm absent, 10 mm hidden, one body, a clean nozzle", () => {
    expect((["present", "absent", "hidden"] as const).map((state) => stateMm(MADE_FRAME, state))).toEqual([27, 2, 10]);
    expect(Object.fromEntries(frameFacts(MADE_FRAME, limits).map(({ name, value }) => [name, value]))).toMatchObject({
      "taken at": "12.34 s", frame: "used", separability: "0.973, at least 0.9 asked", "off its place": "0.12 mm, at most 0.5 mm allowed",
      shows: "27.0 mm present, 2.0 mm absent, 10.0 mm hidden", "off the path": "one body: 3.1 mm²", nozzle: "clean",
    });
    expect(frameAlt(MADE_FRAME, limits)).toBe("Camera frame frames/004.png, taken at 12.34 s: 27.0 mm of strands are seen, 10.0 mm are hidden. Absent: strand 2 of layer 1 from 7.5 to 9.5 mm. One body off the path.");
  });

  it("each reason of an unused frame has words of its own, with what was asked where it is a number", () => {
    expect(new Set(UNUSED_REASONS.map((reason) => usedWords(unused(reason), limits))).size).toBe(UNUSED_REASONS.length);
    expect(usedWords(unused("notSeparable", { separability: 0.71 }), limits)).toBe("not used: paste and target look too alike in it, separability 0.71: at least 0.9 is asked");
    // on the limit it is separable, and something else was wrong
    expect([0.9, 0.94].map((separability) => usedWords(unused("notSeparable", { separability }), limits))).toEqual(Array.from({ length: 2 }, () => "not used: light sets off what looks like paste in it, and not its colour: beads are not as wide there as the profiler knows them"));
    expect(usedWords(unused("poseDisagrees", { poseErrorMm: 0.83 }), limits)).toBe("not used: its beads lie 0.83 mm from where they ought to: at most 0.5 mm is allowed");
    expect(frameAlt(unused("blurred"), limits)).toBe("Camera frame frames/blurred.png, taken at 12.34 s, not used: it is blurred. Only planned centre lines are drawn over it.");
    expect(unusedCounts([MADE_FRAME, unused("blurred"), unused("badExposure"), unused("blurred")])).toBe("two blurred, one too dark or too bright");
  });
});

describe("which frame shows a place", () => {
  const gap = { kind: "gap", severity: "act", layer: 1, strand: 2, fromMm: 7.5, toMm: 9.5 } as unknown as Finding, at = (sMm: number) => ({ layer: 1, strand: 2, sMm });
  const frames = [MADE_FRAME, { ...MADE_FRAME, file: "frames/005.png", stretches: MADE_FRAME.stretches.map((each) => ({ ...each, state: "hidden" as const })) }, unused("blurred")];
  it("the newest used one that does not hide it; the one that the finding names before all; none where it is hidden in all", () => {
    expect(frameShowing(frames, gap, at(8.5))).toBe(0);
    expect(frameShowing(frames, { ...gap, file: "frames/005.png" } as Finding, at(8.5))).toBe(1);
    expect(frameShowing(frames, gap, at(12))).toBeNull();
  });
  it("a frame without stretches is of the layer of the nearest one that has some", () => {
    const second = { ...MADE_FRAME, stretches: MADE_FRAME.stretches.map((each) => ({ ...each, layer: 2 })) };
    expect([0, 1, 2, 3].map((i) => layerOfFrame([MADE_FRAME, unused("blurred"), unused("blurred"), second], i))).toEqual([1, 1, 2, 2]);
    expect(layerOfFrame([unused("unreadable")], 0)).toBe(1);
  });
});
