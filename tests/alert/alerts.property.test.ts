import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { alertsFromLog } from "../../lib/alert/alertLog.ts";
import { NO_ALERTS, reduceAlerts, type AlertInput, type AlertsState } from "../../lib/alert/alerts.ts";
import type { Sourced } from "../../lib/alert/life.ts";
import { InputError } from "../../lib/base/errors.ts";
import type { AlertCause, AlertState } from "../../lib/model/alert.ts";
import { alertLines, moreAlertsWords } from "../../lib/report/alertWords.ts";
import { atS, lineOf, madeCause, madeHealth } from "../support/madeAlert.ts";

/**
 * What may lead from where to where. ISA-18.2 / IEC 62682, alarm state diagram, from memory: normal → unacknowledged (occurs); unacknowledged →
 * acknowledged (acknowledge); acknowledged → normal (clears); unacknowledged → returned (clears); returned → normal (acknowledge); returned →
 * unacknowledged (occurs again); acknowledged → unacknowledged (re-alarm: here only where it became more urgent); to and from the shelf. Our own: to
 * decide about an alert is to acknowledge it; a shelved one comes back unacknowledged or returned, so that it is seen once more.
 */
type From = AlertState | "normal";
const TABLE: Readonly<Record<AlertInput["do"], readonly `${From}>${From}`[]>> = {
  conditions: ["normal>unacknowledged", "unacknowledged>returned", "returned>unacknowledged", "acknowledged>normal", "acknowledged>unacknowledged", "shelved>unacknowledged"],
  acknowledge: ["unacknowledged>acknowledged", "returned>normal"],
  dispose: ["unacknowledged>acknowledged", "returned>normal"],
  shelve: ["unacknowledged>shelved", "acknowledged>shelved"],
  unshelve: ["shelved>unacknowledged", "shelved>returned"],
  tick: ["shelved>unacknowledged", "shelved>returned"],
  note: [],
};

const SOURCES = ["strand/1/1", "strand/1/2", "watchdogs"] as const;
const place = fc.record({ fromMm: fc.integer({ min: 0, max: 8 }), longMm: fc.integer({ min: 1, max: 3 }) });
const stretch = fc.record({ kind: fc.constantFrom("gap" as const, "liftedStrand" as const, "unmeasured" as const), severity: fc.constantFrom("act" as const, "watch" as const), place })
  .map(({ kind, severity, place: { fromMm, longMm } }) => madeCause({ kind, severity, place: { layer: 1, strand: 1, fromMm, toMm: fromMm + longMm } }));
const body = fc.record({ xMm: fc.integer({ min: 0, max: 9 }), severity: fc.constantFrom("act" as const, "watch" as const) })
  .map(({ xMm, severity }) => madeCause({ kind: "strayMaterial", severity, subject: `${xMm}.0 2.0 0.4`, place: { layer: 1, strand: null, fromMm: null, toMm: null } }));
const health = fc.constantFrom(madeHealth("profilerSilent", "profiler-1"), madeHealth("profilerSilent", "profiler-2"), madeHealth("backlog"), madeHealth("commandRefused", "3"));
const who = { n: fc.oneof(fc.integer({ min: 1, max: 4 }), fc.integer({ min: 0, max: 14 })), by: fc.constantFrom("Dana Reyes", "Ines Ott") };
const input: fc.Arbitrary<AlertInput> = fc.oneof(
  { weight: 5, arbitrary: fc.record({ do: fc.constant("conditions" as const), source: fc.constantFrom(...SOURCES), causes: fc.array(fc.oneof(stretch, stretch, body, health), { maxLength: 4 }) }) },
  { weight: 3, arbitrary: fc.record({ do: fc.constantFrom("acknowledge" as const, "unshelve" as const), ...who }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant("shelve" as const), forS: fc.oneof({ weight: 3, arbitrary: fc.integer({ min: 30, max: 60 }) }, fc.integer({ min: -1, max: 950 })), reason: fc.constant("known"), note: fc.constant("seen"), ...who }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("note" as const), note: fc.string({ maxLength: 5 }), ...who }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("dispose" as const), disposition: fc.constantFrom("acceptedAsIs" as const, "false" as const, "takenOffAndLaidAgain" as const), reason: fc.constant("r"), note: fc.constant(""), ...who }) },
  { weight: 2, arbitrary: fc.constant({ do: "tick" as const }) },
);
const course = fc.array(fc.tuple(input, fc.oneof({ weight: 4, arbitrary: fc.integer({ min: 0, max: 9 }) }, fc.integer({ min: 0, max: 140 }))), { maxLength: 40, size: "max" });

interface Step { readonly input: AlertInput; readonly before: AlertsState; readonly after: AlertsState; readonly isRefused: boolean }

/** Every step of a course, and the log that it left. A deed that is refused changes nothing. */
function run(steps: readonly (readonly [AlertInput, number])[]) {
  const taken: Step[] = [], log: ReturnType<typeof lineOf>[] = [];
  let state = NO_ALERTS, s = 0;
  for (const [one, afterS] of steps) {
    const before = state, kept = structuredClone(before), at = atS(s += afterS);
    let isRefused = false;
    try {
      const { state: after, changes } = reduceAlerts(before, one, at);
      state = after;
      log.push(...changes.map((change) => lineOf(change, at)));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      expect(error.code).toBe("alert.badDeed");
      isRefused = true;
    }
    expect(before).toEqual(kept); // it is a reducer: what went in is not touched
    taken.push({ input: one, before, after: state, isRefused });
  }
  return { taken, log, state };
}

const stateOf = (state: AlertsState, n: number): From => state.alerts.find((alert) => alert.n === n)?.state ?? "normal";
const numbers = ({ alerts }: AlertsState): number[] => alerts.map(({ n }) => n);
/** All that a log tells again: what has grown since is told anew by its source. */
const withoutCause = (alerts: readonly Sourced[]) => alerts.map(({ cause: { kind }, ...rest }) => ({ kind, ...rest }));
const inText = (causes: readonly AlertCause[]): string[] => causes.map((cause) => JSON.stringify(cause)).sort();
const holds = (check: (made: ReturnType<typeof run>) => void) => { fc.assert(fc.property(course, (steps) => { check(run(steps)); }), { seed: 41, numRuns: 250 }); };

describe("whatever comes in whatever order (250 courses of up to 40 steps, seed 41)", () => {
  it("what stands of a source is one alert each that is on: none lost and none doubled", () => {
    holds(({ taken }) => {
      const newest = new Map<string, readonly AlertCause[]>();
      for (const { input: one, after } of taken) {
        if (one.do === "conditions") newest.set(one.source, one.causes);
        for (const [source, causes] of newest) expect(inText(after.alerts.filter((alert) => alert.source === source && alert.isOn).map(({ cause }) => cause))).toEqual(inText(causes));
        expect(after.alerts.filter(({ isOn, source }) => isOn && !newest.has(source))).toEqual([]);
      }
    });
  });

  it("a state changes only along the table, and only where something was taken", () => {
    holds(({ taken }) => {
      for (const { input: one, before, after, isRefused } of taken) {
        if (isRefused) expect(after).toBe(before);
        const moves = [...new Set([...numbers(before), ...numbers(after)])].map((n) => [stateOf(before, n), stateOf(after, n)] as const).filter(([from, to]) => from !== to);
        for (const [from, to] of moves) expect([one.do, ...TABLE[one.do]]).toContain(`${from}>${to}`);
        if (one.do !== "conditions" && one.do !== "tick") expect(moves.length).toBeLessThanOrEqual(1);
      }
    });
  });

  it("every row of the table comes about in these courses", () => {
    const seen = new Set<string>();
    holds(({ taken }) => {
      for (const { input: one, before, after } of taken) for (const n of new Set([...numbers(before), ...numbers(after)])) if (stateOf(before, n) !== stateOf(after, n)) seen.add(`${one.do}: ${stateOf(before, n)}>${stateOf(after, n)}`);
    });
    expect([...seen].sort()).toEqual(Object.entries(TABLE).flatMap(([does, rows]) => rows.map((row) => `${does}: ${row}`)).sort());
  });

  it("an acknowledged alert is to be acknowledged again only where it became more urgent", () => {
    holds(({ taken, log }) => {
      const again = taken.flatMap(({ before, after }) => numbers(before).filter((n) => stateOf(before, n) === "acknowledged" && stateOf(after, n) === "unacknowledged"));
      expect(again.filter((n) => !log.some(({ kind, payload }) => kind === "alert.urgent" && (payload as { n: number }).n === n))).toEqual([]);
    });
  });

  // oxlint-disable-next-line vitest/expect-expect -- the property asserts
  it("one that has returned unacknowledged leaves by a person alone, and is on no more", () => {
    holds(({ taken }) => {
      for (const { input: one, before, after } of taken) {
        const gone = before.alerts.filter(({ n, state }) => state === "returned" && stateOf(after, n) === "normal");
        if (gone.length > 0) expect(["acknowledge", "dispose"]).toContain(one.do);
        for (const { state, isOn } of after.alerts) if (state !== "shelved") expect(isOn).toBe(state !== "returned");
      }
    });
  });

  it("who has acknowledged it is said of an acknowledged alert, and of no other but one on the shelf", () => {
    holds(({ taken }) => {
      for (const { after } of taken) {
        for (const { state, acknowledgedBy, shelf } of after.alerts) {
          expect(shelf === null).toBe(state !== "shelved");
          if (state !== "shelved") expect(acknowledgedBy === null).toBe(state !== "acknowledged");
        }
      }
    });
  });

  it("numbers only grow, in steps of one, and none is given twice", () => {
    holds(({ taken }) => {
      const given: number[] = [];
      for (const { before, after } of taken) {
        expect(after.lastN).toBeGreaterThanOrEqual(before.lastN);
        given.push(...numbers(after).filter((n) => !numbers(before).includes(n)));
        expect(numbers(after)).toEqual(numbers(after).toSorted((a, b) => a - b));
      }
      expect(given).toEqual(given.map((_, i) => i + 1));
    });
  });

  it("the log gives the same alerts again, but for what has grown since", () => {
    holds(({ log, state }) => {
      const again = alertsFromLog(log);
      expect(withoutCause(again.alerts)).toEqual(withoutCause(state.alerts));
      expect(again.lastN).toBe(state.lastN);
    });
  });

  it("time that goes on twice at one instant changes nothing the second time", () => {
    fc.assert(fc.property(course, fc.integer({ min: 0, max: 900 }), (steps, laterS) => {
      const { state } = run(steps), at = atS(40 * 140 + laterS), once = reduceAlerts(state, { do: "tick" }, at), twice = reduceAlerts(once.state, { do: "tick" }, at);
      expect(twice.changes).toEqual([]);
      expect(twice.state).toBe(once.state);
    }), { seed: 43, numRuns: 100 });
  });
});

describe("a flood of 1 000 findings at once", () => {
  const gaps = Array.from({ length: 900 }, (_, i) => madeCause({ place: { layer: 1 + (i % 9), strand: 1 + Math.floor(i / 9), fromMm: 3, toMm: 4.5 } }));
  const lifted = Array.from({ length: 100 }, (_, i) => madeCause({ kind: "liftedStrand", place: { layer: 4, strand: 200 + i, fromMm: 1, toMm: 7 } }));
  const { state } = reduceAlerts(NO_ALERTS, { do: "conditions", source: "strand/1/1", causes: [...gaps, ...lifted] }, atS(5));

  it("is 1 000 alerts, of which a page is told 40, the most urgent and newest, and the rest in one sentence of fewer than 60 characters", () => {
    expect([state.alerts.length, state.lastN]).toEqual([1000, 1000]);
    const lines = alertLines(state.alerts, 40), more = moreAlertsWords(state.alerts, 40);
    expect(lines.map(({ n }) => n)).toEqual(Array.from({ length: 40 }, (_, i) => 1000 - i));
    expect(lines.every(({ priority }) => priority === "high")).toBe(true);
    expect(more).toBe("960 more: 900 gaps, 60 lifted stretches");
  });

  it("is not doubled where its source says it again, and goes as one where it is gone", () => {
    const same = reduceAlerts(state, { do: "conditions", source: "strand/1/1", causes: [...lifted, ...gaps] }, atS(6));
    expect(same.changes).toEqual([]);
    const gone = reduceAlerts(same.state, { do: "conditions", source: "strand/1/1", causes: [] }, atS(7));
    expect(gone.changes.map(({ kind }) => kind)).toEqual(Array.from({ length: 1000 }, () => "returned"));
    expect(gone.state.alerts.length).toBe(1000);
  });
});
