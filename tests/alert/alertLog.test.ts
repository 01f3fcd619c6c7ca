import { describe, expect, it } from "vitest";
import { alertEntry, alertsFromLog, changedEntries, noteTold, type Told } from "../../lib/alert/alertLog.ts";
import type { LogEntry } from "../../lib/model/log.ts";
import { atS, lineOf, madeAlert, MadeAlerts, madeCause, madeHealth } from "../support/madeAlert.ts";

const entry = (change: Partial<Parameters<typeof alertEntry>[0]>) => alertEntry({ kind: "raised", alert: madeAlert(5), by: null, note: "", ...change }, atS(9), (text) => text.toUpperCase());

describe("an alert in the log", () => {
  it("says all of its cause, numbers to a thousandth, and who: the program by itself, or a person", () => {
    const cause = { place: { layer: 2, strand: 7, fromMm: 6.00049, toMm: 8.6006 }, worst: { metric: "areaRatio" as const, value: 1e-7, limit: 0.25 } };
    expect(entry({ alert: madeAlert(5, cause) })).toEqual({
      actor: "aslaid", at: atS(9), kind: "alert.raised",
      payload: { n: 5, source: "strand/2/7", alertKind: "gap", severity: "act", priority: "medium", subject: "", layer: 2, strand: 7, fromMm: 6, toMm: 8.601, metric: "areaRatio", value: 0, limit: 0.25 },
    });
    expect(entry({ kind: "acknowledged", by: "Ines Ott" })).toEqual({ actor: "Ines Ott", at: atS(9), kind: "alert.acknowledged", payload: { n: 5 } });
  });

  it("of health, and of a value that is no number, says null; no number is −0 or has an exponent", () => {
    expect(entry({ alert: madeAlert(5, madeHealth("backlog")) }).payload).toMatchObject({ layer: null, strand: null, fromMm: null, toMm: null, metric: null, value: null, limit: null });
    expect(entry({ alert: madeAlert(5, { worst: { metric: "offsetMm", value: -1e-9, limit: 0.4 } }) }).payload).toMatchObject({ value: 0 });
    expect(Object.is((entry({ alert: madeAlert(5, { worst: { metric: "offsetMm", value: -1e-9, limit: 0.4 } }) }).payload as { value: number }).value, 0)).toBe(true);
    expect(entry({ alert: madeAlert(5, { worst: { metric: "s", value: Infinity, limit: 2 } }) }).payload).toMatchObject({ value: null, limit: 2 });
  });

  it("what a person typed is made printable: reason and note of the shelf and of what was decided, and a note alone", () => {
    const shelf = { until: atS(70), reason: "known", by: "Ines Ott" }, disposition = { disposition: "acceptedAsIs" as const, reason: "cosmetic", note: "", by: "Ines Ott", at: atS(9) };
    expect(entry({ kind: "shelved", by: "Ines Ott", note: "thin", alert: madeAlert(5, {}, { shelf }) }).payload).toEqual({ n: 5, until: atS(70), reason: "KNOWN", note: "THIN" });
    expect(entry({ kind: "disposed", by: "Ines Ott", note: "thin", alert: madeAlert(5, {}, { disposition }) }).payload).toEqual({ n: 5, disposition: "acceptedAsIs", reason: "COSMETIC", note: "THIN" });
    expect(entry({ kind: "noted", by: "Ines Ott", note: "thin" }).payload).toEqual({ n: 5, note: "THIN" });
  });
});

describe("the log again as alerts", () => {
  it("gives what stands, with its cause as it was when it was raised, and the number that comes next", () => {
    const made = new MadeAlerts().stands([madeCause()], 10).stands([madeHealth("profilerSilent", "profiler-1")], 11, "watchdogs").take({ do: "acknowledge", n: 1, by: "Dana Reyes" }, 12)
      .stands([], 13, "watchdogs").stands([], 14).stands([madeCause({ kind: "liftedStrand" })], 15);
    const again = alertsFromLog(made.log);
    expect(again).toEqual(made.state);
    expect(again.alerts.map(({ n, state }) => [n, state])).toEqual([[2, "returned"], [3, "unacknowledged"]]);
  });

  it("takes no heed of other entries, nor of an alert that is not there any more", () => {
    const other = { kind: "run.state", payload: { from: "live", to: "paused", reason: "" }, actor: "aslaid", at: atS(3), hash: "", prev: "", runId: "run-3", seq: 1 } as LogEntry;
    const gone = lineOf({ kind: "acknowledged", alert: madeAlert(9), by: "Dana Reyes", note: "" }, atS(5));
    expect(alertsFromLog([other, gone])).toEqual({ alerts: [], lastN: 0 });
  });

  it("goes on counting where all alerts are gone", () => {
    const made = new MadeAlerts().stands([madeCause()], 10).take({ do: "acknowledge", n: 1, by: "Dana Reyes" }, 12).stands([], 13);
    expect(alertsFromLog(made.log)).toEqual({ alerts: [], lastN: 1 });
  });
});

describe("an alert that has become another since the log was told of it", () => {
  const told = (fromMm: number, toMm: number): Told => {
    const said: Told = new Map();
    noteTold(said, entry({ alert: madeAlert(5, { place: { layer: 2, strand: 7, fromMm, toMm } }) }));
    return said;
  };
  const changed = (said: Told, fromMm: number, toMm: number, change: Parameters<typeof madeAlert>[1] = {}): number[] =>
    changedEntries(said, [madeAlert(5, { place: { layer: 2, strand: 7, fromMm, toMm }, ...change })], atS(9)).map(({ payload }) => payload.n);

  it("is told at twice the length and at half of it, not just under: 2.6 mm to 5.2 and to 1.3", () => {
    expect([changed(told(6, 8.6), 6, 11.19), changed(told(6, 8.6), 6, 11.2), changed(told(6, 8.6), 6, 7.31), changed(told(6, 8.6), 6, 7.3)]).toEqual([[], [5], [], [5]]);
  });

  it("is told where it is milder, and of one station only from 1 mm on; health without a place, and an alert that is gone, never", () => {
    expect(changed(told(6, 8.6), 6, 8.6, { severity: "watch" })).toEqual([5]);
    expect([changed(told(6, 6), 6, 6.99), changed(told(6, 6), 6, 7)]).toEqual([[], [5]]);
    expect(changedEntries(told(6, 8.6), [madeAlert(5, { place: { layer: 2, strand: 7, fromMm: 0, toMm: 20 } }, { isOn: false })], atS(9))).toEqual([]);
    const silent: Told = new Map();
    noteTold(silent, entry({ alert: madeAlert(6, madeHealth("profilerSilent", "profiler-1")) }));
    expect(changedEntries(silent, [madeAlert(6, { ...madeHealth("profilerSilent", "profiler-1"), worst: { metric: "s", value: 90, limit: 2 } })], atS(9))).toEqual([]);
  });

  it("growing station by station from 0.5 to 40 mm is told 6 times, and read back as it was told last", () => {
    const said = told(0, 0.5), lines: LogEntry[] = [lineOf({ kind: "raised", alert: madeAlert(5, { place: { layer: 2, strand: 7, fromMm: 0, toMm: 0.5 } }), by: null, note: "" }, atS(4))];
    for (let toMm = 1; toMm <= 40; toMm += 0.5) {
      for (const each of changedEntries(said, [madeAlert(5, { place: { layer: 2, strand: 7, fromMm: 0, toMm } })], atS(toMm))) {
        noteTold(said, each);
        lines.push({ ...each, hash: "", prev: "", runId: "run-3", seq: 1 });
      }
    }
    expect(lines).toHaveLength(1 + 6);
    expect(alertsFromLog(lines).alerts.map(({ n, cause: { place } }) => [n, place?.toMm])).toEqual([[5, 32]]);
  });
});
