import { tmpdir } from "node:os";
import { describe, expect, it } from "vitest";
import type { Device } from "../../../lib/model/job.ts";
import type { KeptState } from "../../../lib/server/live/keeper.ts";
import { healthOf, newestProfileS, referenceS } from "../../../lib/server/live/runHealth.ts";

/** Profiler 1 is 1000 s ahead of the reference clock, profiler 2 half a second behind it. */
const DEVICES = [
  { id: "profiler-1", kind: "profiler", points: 8, x0Mm: -1, dxMm: 0.1, sigmaZMm: 0.01, surfaceBiasMm: null, clockOffsetS: 1000 },
  { id: "profiler-2", kind: "profiler", points: 9, x0Mm: -2, dxMm: 0.2, sigmaZMm: 0.02, surfaceBiasMm: null, clockOffsetS: -0.5 },
] as const satisfies readonly Device[];
const counts = { profile: 5, progress: 4, rework: 0, pasteMark: 0, pose: 0, signal: 0, frame: 0 };
const kept = (profilers: readonly (readonly [string, number])[]): KeptState => ({
  bytes: 900, counts, lastS: { ...counts, profile: 1012.25, progress: 12.5, rework: Number.NaN, pasteMark: Number.NaN, pose: Number.NaN, signal: Number.NaN, frame: Number.NaN }, profilerS: new Map(profilers), cameraS: new Map(),
});
const both = kept([["profiler-1", 1012.25], ["profiler-2", 11.5]]);

describe("how far measuring has come", () => {
  it("is compared on the reference clock: the newest profile is that of 12.25 s, not of 1012.25 s", () => {
    expect(newestProfileS(both, DEVICES)).toBe(12.25);
    expect(newestProfileS(kept([]), DEVICES)).toBeNaN();
    expect(referenceS(both, DEVICES)).toBe(12.5);
  });

  it("measured up to 12 s of it, 0.25 s wait; measured beyond it, none", () => {
    const asked = { dataFolder: tmpdir(), bytesPerS: Number.NaN, devices: DEVICES };
    expect([12, 12.25, 13].map((tS) => healthOf(both, { bytes: 800, tS, lateCount: 0 }, asked).backlogS)).toEqual([0.25, 0, 0]);
  });
});
