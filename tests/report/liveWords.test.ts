import { describe, expect, it } from "vitest";
import { UNUSED_REASONS } from "../../lib/model/frame.ts";
import type { LiveFrames, LiveHealth } from "../../lib/model/liveEvent.ts";
import type { BodyFinding, StretchFinding } from "../../lib/model/result.ts";
import type { SheetLayer, SheetStrand } from "../../lib/model/sheet.ts";
import { REASON_LABELS } from "../../lib/report/frameWords.ts";
import { commandWords, healthFacts, liveFindings, outcomeWords } from "../../lib/report/liveWords.ts";
import { madeStrand } from "../support/madeStrand.ts";

const under: StretchFinding = { kind: "underExtrusion", severity: "act", proven: false, layer: 1, strand: 4, fromMm: 2, toMm: 5, lengthMm: 3, position: [1, 2, 3], worst: { metric: "areaRatio", value: 0.71, limit: 0.8 } };
const gap: StretchFinding = { ...under, kind: "gap", proven: true, strand: 7, fromMm: 9.5, toMm: 12.1, worst: { metric: "areaRatio", value: 0.03, limit: 0.25 } };

describe("findings as they stand", () => {
  it("come worst first with place, value and limit, at most as many as are asked for", () => {
    const [first, second] = liveFindings([under, gap], [], 2);
    expect(first).toMatchObject({ rank: 0, findingIndex: 1, kind: "gap", strand: 7, whereWords: "strand 7", rangeWords: "9.5–12.1 mm", valueWords: "area ratio 0.03", limitWords: "limit 0.25", sMm: 10.8 });
    expect(second).toMatchObject({ rank: 1, findingIndex: 0, kind: "underExtrusion", valueWords: "area ratio 0.71", limitWords: "limit 0.80" });
    expect(liveFindings([under, gap], [], 1).map(({ kind }) => kind)).toEqual(["gap"]);
  });
});

describe("a body off the path", () => {
  it("lies by the station nearest to it in its layer's map, and has a place there", () => {
    const body: BodyFinding = { kind: "detachedStrand", severity: "act", proven: true, layer: 2, areaMm2: 3.2, volumeMm3: 1.4, lengthMm: 4, position: [3.1, 2.2, 9], worst: { metric: "areaMm2", value: 3.2, limit: 0.5 } };
    const layers: SheetLayer[] = [{ layer: 2, frame: { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] }, frameWords: "", strands: [madeStrand([{ s: 0 }, { s: 1.5 }, { s: 3 }], { layer: 2, strand: 6 })] }];
    const at = { ...layers[0]?.strands[0] as SheetStrand, xMm: Float32Array.of(0, 1.5, 3), yMm: Float32Array.of(2, 2, 2) };
    expect(liveFindings([body], [{ ...layers[0] as SheetLayer, strands: [at] }], 3)[0]).toMatchObject({ offPath: true, strand: 6, sMm: 3, fromMm: 1, toMm: 5, xMm: 3.1, yMm: 2.2, areaMm2: 3.2, whereWords: "by strand 6", rangeWords: "3.0 mm" });
  });
});

describe("keeping and measuring", () => {
  const health: LiveHealth = { keptBytes: 2_460_000, measuredBytes: 411_000, backlogS: 34.97, counts: { profile: 1, progress: 535, rework: 2, pose: 0, signal: 7, frame: 0 }, lateCount: 3, freeBytes: 83.1e9, lastsS: 40_000 };

  it("says what is kept of each kind, how far measuring is, what was too late and how long the disk lasts", () => {
    expect(healthFacts(health, null).map(({ value }) => value)).toEqual([
      "2.46 MB on the disk: 1 profile, 535 rows of progress, 2 stretches taken off, 7 values of signals", "411 kB of it", "35.0 s of the print", "three messages: kept, and measured once the run is over", "83.1 GB free, lasts 11 h at this rate",
    ]);
  });

  it("all measured, nothing late, no rate yet; and before anything came", () => {
    expect(healthFacts({ ...health, measuredBytes: 2_460_000, backlogS: 0, lateCount: 0, lastsS: null }, null).map(({ value }) => value).slice(1)).toEqual(["all of it", "0.0 s of the print", "no message", "83.1 GB free"]);
    expect(healthFacts(null, null)).toEqual([{ name: "kept", value: "nothing has come yet" }]);
  });

  it("says of frames how many were measured at once and what the newest settles; every reason has its words", () => {
    const newest = { file: "frames/7.png", device: "camera-1", tS: 3.5, used: true, reason: null, separability: 0.97, poseErrorMm: 0.1 }, frames: LiveFrames = { keptCount: 1284, measuredCount: 12, skippedCount: 1272, newest, findings: [] };
    expect(healthFacts(health, frames).slice(-2)).toEqual([{ name: "frames", value: "1\u2009284 kept, 12 of them measured, 1\u2009272 left until the run is over" }, { name: "newest frame", value: "frames/7.png, used" }]);
    expect(healthFacts(health, { ...frames, keptCount: 1, measuredCount: 0, skippedCount: 0, newest: null }).slice(5)).toEqual([{ name: "frames", value: "1 kept, 0 of them measured" }]);
    const words = UNUSED_REASONS.map((reason) => healthFacts(health, { ...frames, newest: { ...newest, used: false, reason } }).at(-1)?.value ?? "");
    expect(words[0]).toBe("frames/7.png, not used: paste not told from target");
    expect(words).toEqual(UNUSED_REASONS.map((reason) => `frames/7.png, not used: ${REASON_LABELS[reason]}`));
    expect(new Set(words).size).toBe(UNUSED_REASONS.length);
  });
});

describe("what the cell was asked for", () => {
  it("is said in words for every kind", () => {
    expect(commandWords({ kind: "pause", at: "strandEnd", retractMm: 0, reason: "x" })).toBe("pause at the strand’s end");
    expect(commandWords({ kind: "pause", at: "layerEnd", retractMm: 6.5, reason: "x" })).toBe("pause at the layer’s end, nozzle drawn back 6.5 mm");
    expect(commandWords({ kind: "pause", at: "now", retractMm: 0, reason: "x" })).toBe("pause now");
    expect(commandWords({ kind: "resume", layer: 2, strand: 9, sMm: 3.54, overlapMm: 1.2, rows: [] })).toBe("resume at layer 2, strand 9, 3.5 mm with 1.2 mm of overlap");
    expect(commandWords({ kind: "resume", layer: 2, strand: 9, sMm: 0, overlapMm: 0, rows: [] })).toBe("resume at layer 2, strand 9, 0.0 mm");
    expect(commandWords({ kind: "abort", reason: "x" })).toBe("abort");
    expect(commandWords({ kind: "flowFactor", factor: 1.07, layer: 1, strand: 6, fromMm: 4.2 })).toBe("flow × 1.07 from layer 1, strand 6, 4.2 mm");
  });

  it("an answer with its note, one without, and none before and after it was fetched", () => {
    expect(outcomeWords({ outcome: "refused", note: "the arm is homing", sentAt: "t" })).toBe("refused: the arm is homing");
    expect(outcomeWords({ outcome: "done", note: "", sentAt: "t" })).toBe("done");
    expect(outcomeWords({ outcome: null, note: null, sentAt: "t" })).toBe("with the cell, no answer yet");
    expect(outcomeWords({ outcome: null, note: null, sentAt: null })).toBe("the cell has not fetched it yet");
  });
});
