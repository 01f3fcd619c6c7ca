import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { HistoryReading } from "../../lib/model/history.ts";
import { VERDICTS, type Verdict } from "../../lib/model/result.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { RunKeeper } from "../../lib/run/keepRun.ts";
import { madePlan } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

const PLAN = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [4, 0, 0.5]] }, { strand: 2, points: [[0, 3, 0.5], [3, 3, 0.5]] }]), 0.5);
const [FIRST, SECOND] = PLAN.strands as [typeof PLAN.strands[0], typeof PLAN.strands[0]];

function kept(verdicts: readonly Verdict[]): HistoryReading[] {
  const keeper = new RunKeeper();
  verdicts.forEach((verdict, i) => keeper.reading(FIRST, 3, 1, { reading: madeReading({ seq: 100 + i, tS: 20 + i }), judgement: { verdict, proven: false, cause: null }, ageS: 1 + i, stands: true }));
  return [...keeper.history()];
}
const ordinals = (verdicts: readonly Verdict[]): number[] => kept(verdicts).map((r) => r.ordinal);
const same = (n: number, verdict: Verdict = "inBand"): Verdict[] => Array.from({ length: n }, () => verdict);

describe("readings of one station that are kept", () => {
  it("all of nine; of twelve alike the first and the newest eight, three dropped in between", () => {
    expect(ordinals(same(9))).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(ordinals(same(12))).toEqual([1, 5, 6, 7, 8, 9, 10, 11, 12]);
  });

  it("each whose verdict differs from the one before stays: watch at 3, inBand again at 5 of twenty", () => {
    expect(ordinals([...same(2), ...same(2, "watch"), ...same(16)])).toEqual([1, 3, 5, 13, 14, 15, 16, 17, 18, 19, 20]);
  });

  it("of 200 that change every time 25 are kept: the first, sixteen changes, the newest eight", () => {
    const flip = Array.from({ length: 200 }, (_, i): Verdict => (i % 2 === 0 ? "watch" : "inBand"));
    expect(ordinals(flip)).toEqual([1, ...Array.from({ length: 24 }, (_, i) => 177 + i)]);
  });

  it("for any course of verdicts: first and newest eight are there, every change among the newest is, never more than 25, in order, each itself", () => {
    fc.assert(fc.property(fc.array(fc.constantFrom(...VERDICTS.slice(0, 4)), { minLength: 1, maxLength: 90 }), (verdicts) => {
      const list = kept(verdicts), n = verdicts.length, there = new Set(list.map((r) => r.ordinal));
      expect(list.length).toBeLessThanOrEqual(25);
      expect(list.map((r) => r.ordinal)).toEqual([...there].sort((a, b) => a - b));
      for (const i of [1, ...Array.from({ length: Math.min(8, n) }, (_, k) => n - k)]) expect(there.has(i)).toBe(true);
      const changes = verdicts.flatMap((v, i) => (i > 0 && v !== verdicts[i - 1] ? [i + 1] : []));
      for (const i of changes.filter((c) => c <= n - 8).slice(-16)) expect(there.has(i)).toBe(true);
      for (const r of list) expect([r.seq, r.tS, r.verdict]).toEqual([99 + r.ordinal, 19 + r.ordinal, verdicts[r.ordinal - 1]]);
    }), { seed: 21, numRuns: 200 });
  });
});

describe("what is kept of a reading", () => {
  it("all that was seen, null where it was not; stations, strands and attempts apart", () => {
    const keeper = new RunKeeper();
    const judgement = { verdict: "under" as const, proven: true, cause: null };
    keeper.reading(SECOND, 2, 3, { reading: madeReading({ device: "b", seq: 8, tS: 31.5, widthMm: Number.NaN, uWidthMm: Number.NaN, support: "spanned", sagMm: 0.07, coverage: 0.71 }), judgement, ageS: Number.NaN, stands: true });
    keeper.reading(SECOND, 2, 2, { reading: madeReading({ device: "a", good: false }), judgement: { verdict: "unmeasured", proven: false, cause: null }, ageS: 4, stands: false });
    const [one, two] = [...keeper.history()];
    expect(one).toEqual({
      layer: 1, strand: 2, attempt: 3, stationIndex: 2, ordinal: 1, device: "b", seq: 8, tS: 31.5, ageS: null, good: true, stood: true, widthMm: null, heightMm: 0.5, areaMm2: 0.473, offsetMm: 0,
      uWidthMm: null, uHeightMm: 0.0022, uAreaMm2: 0.0031, uOffsetMm: 0.0041, areaRatio: 0.473 / SECOND.visibleAreaMm2[2]!, coverage: 0.71, support: "spanned", sagMm: 0.07, verdict: "under", proven: true,
    });
    expect(two).toMatchObject({ attempt: 2, ordinal: 1, device: "a", ageS: 4, good: false, stood: false, sagMm: null, verdict: "unmeasured" });
  });
});
