import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Pose } from "../../lib/model/job.ts";
import type { Message } from "../../lib/model/messages.ts";
import { KeptIndex, RangeSet, TimeSet } from "../../lib/sensing/keptIndex.ts";

describe("RangeSet against a plain set (by properties)", () => {
  it("holds what was added, in any order, and joins neighbours into one range", () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: 0, max: 60 }), { maxLength: 120 }), (values) => {
      const set = new RangeSet(), plain = new Set<number>();
      for (const value of values) {
        expect(set.has(value)).toBe(plain.has(value));
        set.add(value);
        plain.add(value);
      }
      for (let value = -1; value <= 61; value++) expect(set.has(value)).toBe(plain.has(value));
      const runs = [...plain].filter((value) => !plain.has(value - 1)).length;
      expect(set.bounds).toHaveLength(2 * runs);
      expect(new RangeSet(set.bounds).bounds).toEqual(set.bounds);
    }), { seed: 21 });
  });

  it("keeps 10 000 numbers in a row as one range of two bounds, up to 2^53 − 1", () => {
    const set = new RangeSet();
    for (let seq = 0; seq < 10_000; seq++) set.add(seq);
    set.add(Number.MAX_SAFE_INTEGER);
    expect(set.bounds).toEqual([0, 9999, Number.MAX_SAFE_INTEGER, Number.MAX_SAFE_INTEGER]);
  });
});

describe("TimeSet against a plain set (by properties)", () => {
  it("holds what was added in order of time, −0 as 0", () => {
    fc.assert(fc.property(fc.array(fc.double({ noNaN: true, noDefaultInfinity: true }), { maxLength: 80 }), (times) => {
      const set = new TimeSet(), plain = new Set<number>();
      for (const tS of times) {
        expect(set.has(tS)).toBe(plain.has(tS === 0 ? 0 : tS));
        set.add(tS);
        plain.add(tS === 0 ? 0 : tS);
      }
      expect(set.list.map((tS) => tS + 0)).toEqual([...plain].sort((a, b) => a - b));
    }), { seed: 22 });
  });
});

const POSE: Pose = [1, 2, 3, 0, 0, 0, 1];
const profile = (device: string, seq: number): Message => ({ kind: "profile", device, frame: "plan", seq, tS: seq / 7, pose: POSE, zMm: new Float32Array(3), xMm: null, layer: null });
const pose = (tS: number, from: string, to: string): Message => ({ kind: "pose", device: "tracker-1", tS, from, to, pose: POSE });

describe("KeptIndex", () => {
  const kept: Message[] = [
    profile("a", 4), pose(1.5, "marker", "base"), { kind: "signal", name: "pressureKPa", tS: 2.25, value: 3 }, { kind: "frame", device: "camera-1", file: "frames/1.png", tS: 3, pose: POSE, frame: "plan" },
    { kind: "progress", tS: 5, layer: 1, strand: 2, sMm: 3.5, event: "update" }, { kind: "rework", tS: 6, layer: 1, strand: 2, fromMm: 1, toMm: 2, who: "a", reason: "b" }, { kind: "pasteMark", tS: 7, device: "camera-1", file: "frames/1.png", rectPx: [1, 2, 5, 6], who: "a" },
  ];
  const others: Message[] = [
    profile("a", 5), profile("b", 4), pose(1.5, "base", "plan"), pose(1.75, "marker", "base"), { kind: "signal", name: "temperatureC", tS: 2.25, value: 3 },
    { kind: "frame", device: "camera-1", file: "frames/2.png", tS: 3, pose: POSE, frame: "plan" }, { kind: "progress", tS: 5, layer: 1, strand: 2, sMm: 3.5, event: "end" },
    { kind: "progress", tS: 5, layer: 1, strand: 2, sMm: 3.25, event: "update" }, { kind: "rework", tS: 6, layer: 1, strand: 2, fromMm: 1, toMm: 2, who: "a", reason: "c" }, { kind: "pasteMark", tS: 7, device: "camera-1", file: "frames/1.png", rectPx: [1, 2, 5, 7], who: "a" },
  ];
  const index = new KeptIndex();
  for (const message of kept) index.add(message);

  it.each([["as it was filled", index], ["saved and restored", KeptIndex.restored(index.saved())]] as const)("knows each kind by its own identity, %s", (_, known) => {
    expect(kept.map((message) => known.has(message))).toEqual(kept.map(() => true));
    expect(others.map((message) => known.has(message))).toEqual(others.map(() => false));
  });

  it("a signal of another value, or a profile of another time, is the same one", () => {
    expect(index.has({ kind: "signal", name: "pressureKPa", tS: 2.25, value: 99 })).toBe(true);
    expect(index.has({ ...profile("a", 4), tS: 77 })).toBe(true);
  });
});
