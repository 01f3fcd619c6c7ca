import { describe, expect, it } from "vitest";
import { lightOf, placeOf, soundOf, stateWords, topmost } from "../../app/runs/[id]/live/alertWords.ts";
import type { AlertCause, AlertLine, AlertState } from "../../lib/model/alert.ts";

const cause = (place: AlertCause["place"], kind: AlertCause["kind"] = "gap"): AlertCause => ({ kind, severity: "act", subject: "", place, worst: null });
const line = (n: number, state: AlertState): AlertLine => ({
  n, cause: cause(null), priority: "medium", state, isOn: true, raisedAt: "2026-02-03T09:10:00.000Z", since: "2026-02-03T09:11:00.000Z", acknowledgedBy: null, shelf: null, escalations: 0, disposition: null, title: `alert ${n}`, advice: null,
});

describe("an alert's state in words", () => {
  it("names who acknowledged it, and until when and why it is shelved", () => {
    expect(stateWords({ ...line(1, "acknowledged"), acknowledgedBy: "Dana Reyes" })).toBe("acknowledged by Dana Reyes");
    expect(stateWords({ ...line(1, "shelved"), shelf: { until: "2026-02-03T09:20:30.000Z", reason: "waitsForCell", by: "Dana Reyes" } })).toBe("shelved until 09:20:30: waits for the cell");
    expect([stateWords(line(1, "unacknowledged")), stateWords(line(1, "returned"))]).toEqual(["not acknowledged", "over, not acknowledged"]);
  });
});

it("the topmost alert is the first that waits for somebody, one that is over included", () => {
  expect(topmost([line(4, "acknowledged"), line(2, "returned"), line(3, "unacknowledged")])?.n).toBe(2);
  expect(topmost([line(4, "acknowledged"), line(5, "shelved")])).toBeNull();
});

describe("an alert's place", () => {
  it("is the middle of its stretch, its one end where there is one, and none off the path", () => {
    expect(placeOf({ cause: cause({ layer: 2, strand: 7, fromMm: 6, toMm: 8.6 }) })).toEqual({ layer: 2, strand: 7, sMm: 7.3 });
    expect(placeOf({ cause: cause({ layer: 2, strand: 7, fromMm: 4.5, toMm: null }) })).toEqual({ layer: 2, strand: 7, sMm: 4.5 });
    expect([placeOf({ cause: cause({ layer: 2, strand: null, fromMm: null, toMm: null }) }), placeOf({ cause: cause(null) })]).toEqual([null, null]);
  });
});

describe("light and sound", () => {
  const high = { ...line(1, "unacknowledged"), priority: "high" as const }, gone = { ...high, n: 2, state: "returned" as const, isOn: false };
  it("are those of the first alert that stands: what has gone lights nothing beside it, and is silent", () => {
    expect([lightOf([gone, line(3, "unacknowledged")]), soundOf([gone, line(3, "unacknowledged")])]).toEqual([{ priority: "medium", isFlashing: true }, "medium"]);
    expect([lightOf([high, line(3, "unacknowledged")]), soundOf([high, line(3, "unacknowledged")])]).toEqual([{ priority: "high", isFlashing: true }, "high"]);
  });

  it("what a person has accepted as it is lights nothing; what is to be laid again does", () => {
    const decided = (disposition: "acceptedAsIs" | "takenOffAndLaidAgain") => ({ ...high, state: "acknowledged" as const, disposition: { disposition, reason: "r", note: "", by: "Dana Reyes", at: "2026-02-03T09:12:09.000Z" } });
    expect([lightOf([decided("acceptedAsIs")]), lightOf([decided("takenOffAndLaidAgain")])]).toEqual([null, { priority: "high", isFlashing: false }]);
  });

  it("what has gone and waits is lit and still; what is acknowledged is lit, still and silent; what is shelved is neither", () => {
    expect([lightOf([gone]), soundOf([gone])]).toEqual([{ priority: "high", isFlashing: false }, null]);
    expect([lightOf([line(3, "acknowledged")]), soundOf([line(3, "acknowledged")])]).toEqual([{ priority: "medium", isFlashing: false }, null]);
    expect([lightOf([line(3, "shelved")]), soundOf([line(3, "shelved")])]).toEqual([null, null]);
  });
});
