import { describe, expect, it } from "vitest";
import { CLOCK_JUMP_S, isRegular, toldJumpS, watch, watchClock, type ClockState, type WatchFacts } from "../../lib/alert/watchdogs.ts";
import { RUN_STATES, type RunState } from "../../lib/model/liveRun.ts";

const LIMITS = { profilerSilentS: 1.5, progressSilentS: 2.5, receiptS: 0.75, cellSilenceS: 3, diskFreeFraction: 0.06, backlogS: 4, workingTimeLeftS: 45 };
const NOW_MS = 1_770_109_920_000;
const ago = (s: number): number => NOW_MS - 1000 * s;
/** A print that goes well: everything was heard just now. */
const facts = (change: Partial<WatchFacts> = {}): WatchFacts => ({
  state: "live", nowMs: NOW_MS, profilersMs: new Map([["profiler-1", ago(0.1)]]), camerasMs: new Map([["camera-1", ago(0.4)]]), progressMs: ago(0.2), isLaying: true, pollMs: ago(0.3), liveMs: ago(90), openCommands: [], refused: null,
  diskFreeFraction: 0.4, backlogS: 0.5, isEngineLost: false, unseen: null, pasteLeftS: 600, clockJumpsS: new Map(), ...change,
});
const told = (change: Partial<WatchFacts>) => watch(facts(change), LIMITS);
const kinds = (change: Partial<WatchFacts>): string[] => told(change).map(({ kind }) => kind);
const statesThatTell = (change: Partial<WatchFacts>, kind: string): RunState[] => RUN_STATES.filter((state) => kinds({ ...change, state }).includes(kind));

describe("a print that goes well", () => {
  it("says nothing, in any state", () => {
    for (const state of RUN_STATES) expect(kinds({ state })).toEqual([]);
  });
});

describe("each watchdog on its limit, just under and just over", () => {
  it.each<[string, (value: number) => Partial<WatchFacts>, number, number]>([
    ["profilerSilent", (s) => ({ profilersMs: new Map([["profiler-1", ago(s)]]) }), 1.5, 0.001],
    ["cameraSilent", (s) => ({ camerasMs: new Map([["camera-1", ago(s)]]) }), 1.5, 0.001],
    ["progressSilent", (s) => ({ progressMs: ago(s) }), 2.5, 0.001],
    ["progressSilent", (s) => ({ progressMs: ago(s), isLaying: false }), 25, 0.001],
    ["cellSilent", (s) => ({ pollMs: ago(s) }), 3, 0.001],
    ["cellSilent", (s) => ({ pollMs: Number.NaN, liveMs: ago(s) }), 3, 0.001],
    ["receiptOverdue", (s) => ({ openCommands: [{ n: 4, askedMs: ago(s), dueMs: Number.NaN }] }), 0.75, 0.001],
    ["receiptOverdue", (s) => ({ openCommands: [{ n: 4, askedMs: ago(s + 20), dueMs: ago(s) }] }), 0.75, 0.001],
    ["backlog", (s) => ({ backlogS: s }), 4, 0.01],
    ["diskLow", (s) => ({ diskFreeFraction: -s }), -0.06, 0.0001],
    ["workingTimeLow", (s) => ({ pasteLeftS: -s }), -45, 0.001],
    ["workingTimeOver", (s) => ({ pasteLeftS: -s }), -0.001, 0.001],
  ])("%s: over its limit alone (case %#)", (kind, at, limit, step) => {
    expect(kinds(at(limit - step))).not.toContain(kind);
    expect(kinds(at(limit))).not.toContain(kind);
    expect(kinds(at(limit + step))).toEqual([kind]);
  });

  it("what is told says what was measured, and the job's limit", () => {
    expect(told({ backlogS: 7.5 })[0]).toEqual({ kind: "backlog", severity: "act", subject: "", place: null, worst: { metric: "s", value: 7.5, limit: 4 } });
    expect(told({ diskFreeFraction: 0.02 })[0]?.worst).toEqual({ metric: "fraction", value: 0.02, limit: 0.06 });
    expect(told({ pasteLeftS: 30 })[0]?.worst).toEqual({ metric: "s", value: 30, limit: 45 });
  });
});

describe("a camera is watched", () => {
  it("once five gaps in a row were each at most half of the profiler's limit of 1.5 s: frames come regularly, and not one a strand", () => {
    expect(isRegular([0.1, 0.75, 0.2, 0.1, 0.1], 5, 1.5)).toBe(true);
    expect(isRegular([0.1, 0.751, 0.2, 0.1, 0.1], 5, 1.5)).toBe(false);
    expect(isRegular([0.1, 0.2, 0.1, 0.1], 5, 1.5)).toBe(false);
  });

  it("while the print is live alone", () => {
    expect(statesThatTell({ camerasMs: new Map([["camera-1", ago(9)]]) }, "cameraSilent")).toEqual(["live"]);
  });
});

describe("silence", () => {
  it("is told of each device alone", () => {
    expect(told({ profilersMs: new Map([["profiler-1", ago(9)], ["profiler-2", ago(1)], ["profiler-3", ago(2)]]) }).map(({ kind, subject }) => [kind, subject])).toEqual([["profilerSilent", "profiler-1"], ["profilerSilent", "profiler-3"]]);
  });

  it("of profilers and progress is told while the print is live alone; between two strands ten times as long may go by", () => {
    expect(statesThatTell({ profilersMs: new Map([["profiler-1", ago(60)]]) }, "profilerSilent")).toEqual(["live"]);
    expect(statesThatTell({ progressMs: ago(60) }, "progressSilent")).toEqual(["live"]);
    expect(kinds({ progressMs: Number.NaN })).toEqual([]);
  });

  it("of the cell is told also while the print stands: a resume would not reach it; not before it is live nor after its end", () => {
    expect(statesThatTell({ pollMs: ago(60) }, "cellSilent")).toEqual(["live", "paused", "onHold"]);
  });

  it("a strand that must be in the profiles and is not is told with its place, while the print is live", () => {
    const unseen = { layer: 3, strand: 8, overdueMm: 4.5 };
    expect(told({ unseen })).toEqual([{ kind: "strandNotSeen", severity: "act", subject: "", place: { layer: 3, strand: 8, fromMm: null, toMm: null }, worst: null }]);
    expect(statesThatTell({ unseen }, "strandNotSeen")).toEqual(["live"]);
  });
});

describe("commands", () => {
  it("a pause at a strand's end is overdue after it is due, not after it was asked; of several the oldest alone is told", () => {
    const openCommands = [{ n: 5, askedMs: ago(40), dueMs: NOW_MS + 2000 }, { n: 6, askedMs: ago(40), dueMs: ago(1.25) }, { n: 7, askedMs: ago(3), dueMs: ago(9) }];
    expect(told({ openCommands }).map(({ kind, subject, worst }) => [kind, subject, worst?.value])).toEqual([["receiptOverdue", "6", 1.25]]);
  });

  it("the newest that was refused is told, in any state; of several overdue ones the oldest alone", () => {
    expect(told({ refused: 11, state: "paused" }).map(({ kind, subject }) => [kind, subject])).toEqual([["commandRefused", "11"]]);
    const open = [3, 5, 8].map((n) => ({ n, askedMs: ago(n === 3 ? 0.5 : 20), dueMs: Number.NaN }));
    expect(told({ openCommands: open }).map(({ kind, subject }) => [kind, subject])).toEqual([["receiptOverdue", "5"]]);
  });
});

describe("what else is told", () => {
  it("an engine that was lost; a paste without a clock says nothing, nor one before the print", () => {
    expect(kinds({ isEngineLost: true })).toEqual(["engineLost"]);
    expect(kinds({ pasteLeftS: Number.NaN })).toEqual([]);
    expect(kinds({ pasteLeftS: -5, state: "prepared" })).toEqual([]);
    expect(kinds({ pasteLeftS: -5 })).toEqual(["workingTimeOver"]);
  });

  it("a jump of a clock with its size, whichever way", () => {
    expect(told({ clockJumpsS: new Map([["profiler-1", -7.25], ["profiler-2", 3]]) }).map(({ kind, subject, worst }) => [kind, subject, worst])).toEqual([
      ["clockJumped", "profiler-1", { metric: "s", value: 7.25, limit: CLOCK_JUMP_S }], ["clockJumped", "profiler-2", { metric: "s", value: 3, limit: CLOCK_JUMP_S }],
    ]);
  });
});

/** Arrivals [stamp s, arrival s] one after another. */
function clock(arrivals: readonly (readonly [number, number])[]): ClockState {
  let state: ClockState | null = null;
  for (const [tS, atS] of arrivals) state = watchClock(state, tS, 1000 * atS);
  return state as ClockState;
}
/** A clock 500 s behind the server's, its messages 0.02 s on the way, ten times a second for 2 s: the last is stamped 2 s. */
const STEADY = Array.from({ length: 21 }, (_, i): [number, number] => [i / 10, 500.02 + i / 10]);
const jump = (...more: readonly (readonly [number, number])[]): number | null => toldJumpS(clock([...STEADY, ...more]), 1000 * (more.at(-1)?.[1] ?? 502.02));

describe("the clock of a device", () => {
  it("is told as no jump while stamps go on as the server's clock does", () => {
    expect(jump()).toBeNull();
  });

  it("a batch that comes 8 s late is no jump, nor is the next that comes in time again, nor a device that was silent for 60 s", () => {
    expect(jump([2.1, 510.12])).toBeNull();
    expect(jump([2.1, 510.12], [10.2, 510.22])).toBeNull();
    expect(jump([62, 562.02])).toBeNull();
  });

  it.each([[0.999, null], [1.001, 1.001]])("stamps that run ahead by %d s: %s", (aheadS, isTold) => {
    const got = jump([2.1 + aheadS, 502.12]);
    if (isTold === null) expect(got).toBeNull();
    else expect(got).toBeCloseTo(isTold, 6);
  });

  it.each([[0.999, null], [1.001, -1.001]])("a stamp that lies %d s before the newest: %s", (backS, isTold) => {
    const got = jump([2 - backS, 502.12]);
    if (isTold === null) expect(got).toBeNull();
    else expect(got).toBeCloseTo(isTold, 6);
  });

  it("a jump is told for 30 s, and once: what follows goes by the clock as it is now", () => {
    const jumped = clock([...STEADY, [42.1, 502.12], [42.2, 502.22]]);
    expect(toldJumpS(jumped, 502_120 + 29_999)).toBeCloseTo(40, 6);
    expect(toldJumpS(jumped, 502_120 + 30_000)).toBeNull();
    expect(jumped.jumpedMs).toBe(502_120);
  });

  it("what had waited 60 s, as after a start of the server, is no jump when the next come in time; a jump after five that came in time is one", () => {
    const caughtUp: [number, number][] = [[3, 563], [9.5, 563.1], [63.1, 563.2]];
    expect(toldJumpS(clock(caughtUp), 563_200)).toBeNull();
    const steady = Array.from({ length: 4 }, (_, i): [number, number] => [63.2 + i / 10, 563.3 + i / 10]);
    expect(toldJumpS(clock([...caughtUp, ...steady.slice(0, 3), [70, 563.6]]), 563_600)).toBeNull();
    expect(toldJumpS(clock([...caughtUp, ...steady, [70, 563.7]]), 563_700)).toBeCloseTo(6.4, 6);
  });
});
