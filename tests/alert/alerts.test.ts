import { describe, expect, it } from "vitest";
import type { AlertInput } from "../../lib/alert/alerts.ts";
import { InputError } from "../../lib/base/errors.ts";
import type { AlertKind } from "../../lib/model/alert.ts";
import { atS, MadeAlerts, madeCause, madeHealth } from "../support/madeAlert.ts";

const DANA = "Dana Reyes", INES = "Ines Ott";
const ONE_OF = { high: "liftedStrand", medium: "gap", low: "closedPore" } as const satisfies Record<string, AlertKind>;
const raised = (kind: AlertKind = "gap") => new MadeAlerts().stands([madeCause({ kind })], 10);
const shelve = (forS: number, n = 1): AlertInput => ({ do: "shelve", n, by: DANA, forS, reason: "known", note: "" });
const acknowledge: AlertInput = { do: "acknowledge", n: 1, by: INES };
const refusal = (alerts: MadeAlerts, input: AlertInput): string => {
  try { alerts.take(input, 900); } catch (error) { return (error as InputError).code; }
  return "none";
};
const only = (alerts: MadeAlerts) => alerts.state.alerts[0];

describe("an alert", () => {
  it("comes, is acknowledged, and is normal once its cause is gone", () => {
    const alerts = raised();
    expect(only(alerts)).toMatchObject({ n: 1, source: "strand/2/7", priority: "medium", state: "unacknowledged", isOn: true, raisedAt: atS(10), since: atS(10), acknowledgedBy: null });
    alerts.take(acknowledge, 12);
    expect(only(alerts)).toMatchObject({ state: "acknowledged", since: atS(12), acknowledgedBy: INES });
    alerts.stands([], 15);
    expect([alerts.state.alerts, alerts.kinds]).toEqual([[], ["raised", "acknowledged", "returned"]]);
  });

  it("that goes before anybody saw it stays listed until somebody has, or comes again under its own number", () => {
    const alerts = raised().stands([], 15);
    expect(only(alerts)).toMatchObject({ state: "returned", isOn: false, since: atS(15) });
    alerts.stands([madeCause()], 19);
    expect(only(alerts)).toMatchObject({ n: 1, state: "unacknowledged", isOn: true, raisedAt: atS(10), since: atS(19) });
    alerts.stands([], 23).take(acknowledge, 31);
    expect([alerts.state, alerts.kinds]).toEqual([{ alerts: [], lastN: 1 }, ["raised", "returned", "again", "returned", "acknowledged"]]);
  });

  it("grows with its cause, and is told anew only where it becomes more urgent; less urgent it keeps its priority", () => {
    const watch = madeCause({ severity: "watch" }), alerts = new MadeAlerts().stands([watch], 10).take(acknowledge, 11);
    alerts.stands([madeCause({ severity: "watch", place: { layer: 2, strand: 7, fromMm: 5, toMm: 9 } })], 12);
    expect([only(alerts)?.cause.place?.toMm, only(alerts)?.priority, alerts.kinds]).toEqual([9, "low", ["raised", "acknowledged"]]);
    alerts.stands([madeCause()], 13);
    expect(only(alerts)).toMatchObject({ state: "unacknowledged", priority: "medium", acknowledgedBy: null, since: atS(13) });
    alerts.take(acknowledge, 14).stands([watch], 15);
    expect(only(alerts)).toMatchObject({ state: "acknowledged", priority: "medium" });
    expect(alerts.kinds).toEqual(["raised", "acknowledged", "urgent", "acknowledged"]);
  });

  it("of one source is not touched by what another says", () => {
    const alerts = raised().stands([madeHealth("backlog")], 12, "watchdogs").stands([], 13);
    expect(alerts.state.alerts.map(({ n, state }) => [n, state])).toEqual([[1, "returned"], [2, "unacknowledged"]]);
  });
});

describe("the shelf", () => {
  it.each([["high", 60], ["medium", 300], ["low", 900]] as const)("takes an alert of %s priority for up to %d s, and not for 1 s more, 0 s or no number", (priority, mostS) => {
    for (const forS of [mostS + 1, 0, -5, Number.NaN]) expect(refusal(raised(ONE_OF[priority]), shelve(forS))).toBe("alert.badDeed");
    const alerts = raised(ONE_OF[priority]).take(shelve(mostS), 20);
    expect(only(alerts)).toMatchObject({ state: "shelved", since: atS(20), shelf: { until: atS(20 + mostS), reason: "known", by: DANA } });
  });

  it("holds it until its time is over to the millisecond, silent, and gives it back to be acknowledged", () => {
    const alerts = raised().take(acknowledge, 12).take(shelve(90), 20).take({ do: "tick" }, 109.999);
    expect(only(alerts)?.state).toBe("shelved");
    alerts.take({ do: "tick" }, 110);
    expect(only(alerts)).toMatchObject({ state: "unacknowledged", since: atS(110), shelf: null, acknowledgedBy: null });
    expect(alerts.kinds).toEqual(["raised", "acknowledged", "shelved", "unshelved"]);
  });

  it("ends at once where the clock was set back: nothing stays silent for as long as that more; a second of it is within a clock's own corrections", () => {
    const alerts = raised().take(shelve(90), 2000).take({ do: "tick" }, 1999.1);
    expect(only(alerts)?.state).toBe("shelved");
    alerts.take({ do: "tick" }, 1998.9);
    expect(only(alerts)).toMatchObject({ state: "unacknowledged", since: atS(1998.9), shelf: null });
  });

  it("keeps what goes and comes meanwhile, and gives back what has gone as returned", () => {
    const alerts = raised().take(shelve(90), 20).stands([], 25).stands([madeCause()], 30);
    expect(only(alerts)).toMatchObject({ state: "shelved", isOn: true });
    alerts.stands([], 35).take({ do: "unshelve", n: 1, by: INES }, 40);
    expect(only(alerts)).toMatchObject({ state: "returned", isOn: false, since: atS(40) });
  });

  it("does not hide what becomes more urgent, and never makes one escalate", () => {
    const alerts = new MadeAlerts().stands([madeCause({ severity: "watch" })], 10).take(shelve(800), 20).take({ do: "tick" }, 700);
    expect(alerts.kinds).toEqual(["raised", "shelved"]);
    alerts.stands([madeCause()], 710);
    expect(only(alerts)).toMatchObject({ state: "unacknowledged", shelf: null, priority: "medium" });
  });
});

describe("one that nobody acknowledges", () => {
  it.each([["high", 60, "high"], ["medium", 120, "high"]] as const)("escalates after %s: %d s, then is %s, counted, and begins again", (priority, afterS, then) => {
    const alerts = raised(ONE_OF[priority]).take({ do: "tick" }, 10 + afterS - 0.001);
    expect(only(alerts)).toMatchObject({ priority, escalations: 0 });
    alerts.take({ do: "tick" }, 10 + afterS);
    expect(only(alerts)).toMatchObject({ priority: then, escalations: 1, since: atS(10 + afterS), state: "unacknowledged" });
    alerts.take({ do: "tick" }, 10 + afterS + 119.999).take({ do: "tick" }, 10 + afterS + 120);
    expect([only(alerts)?.escalations, alerts.kinds]).toEqual([2, ["raised", "escalated", "escalated"]]);
  });

  it("of low priority never does, nor one that is acknowledged or has returned", () => {
    for (const alerts of [raised("closedPore"), raised().take(acknowledge, 11), raised().stands([], 11)]) expect(only(alerts.take({ do: "tick" }, 90_000))?.escalations).toBe(0);
  });

  it("escalates once where the clock was set back by an hour, and then goes by the clock as it is", () => {
    const alerts = new MadeAlerts().stands([madeCause()], 3600).take({ do: "tick" }, 8);
    expect(alerts.kinds).toEqual(["raised", "escalated"]);
    alerts.take({ do: "tick" }, 8.1).take({ do: "tick" }, 127.9);
    expect(only(alerts)).toMatchObject({ escalations: 1, since: atS(8) });
    expect(only(raised("closedPore").take({ do: "tick" }, 8))?.escalations).toBe(0);
  });

  it("and has escalated is of high priority also for the shelf: 61 s are too long", () => {
    const alerts = raised().take({ do: "tick" }, 130);
    expect(refusal(alerts, shelve(61))).toBe("alert.badDeed");
    expect(only(alerts.take(shelve(60), 140))?.state).toBe("shelved");
  });
});

describe("what a person does", () => {
  it("is refused where the alert's state does not allow it, or there is no such alert", () => {
    const unshelve: AlertInput = { do: "unshelve", n: 1, by: DANA };
    expect(refusal(raised(), { ...acknowledge, n: 2 })).toBe("alert.badDeed");
    expect(refusal(raised(), unshelve)).toBe("alert.badDeed");
    expect(refusal(raised().take(acknowledge, 11), acknowledge)).toBe("alert.badDeed");
    expect(refusal(raised().take(shelve(70), 11), acknowledge)).toBe("alert.badDeed");
    expect(refusal(raised().take(shelve(70), 11), shelve(71))).toBe("alert.badDeed");
    expect(refusal(raised().stands([], 11), shelve(70))).toBe("alert.badDeed");
  });

  it("a note changes nothing and is kept with who wrote it", () => {
    const alerts = raised(), before = alerts.state.alerts;
    alerts.take({ do: "note", n: 1, by: INES, note: "air in the line" }, 13);
    expect(alerts.state.alerts).toEqual(before);
    expect(alerts.changes.at(-1)).toMatchObject({ kind: "noted", by: INES, note: "air in the line" });
  });

  it("to decide about a finding is to have seen it; about health nothing is to be decided", () => {
    const accepts = (n: number): AlertInput => ({ do: "dispose", n, by: INES, disposition: "acceptedAsIs", reason: "cosmetic", note: "thin" });
    const alerts = raised().take(accepts(1), 14).stands([madeHealth("backlog")], 15, "watchdogs");
    expect(only(alerts)).toMatchObject({ state: "acknowledged", acknowledgedBy: INES, disposition: { disposition: "acceptedAsIs", reason: "cosmetic", note: "thin", by: INES, at: atS(14) } });
    expect(refusal(alerts, accepts(2))).toBe("alert.badDeed");
    const returned = raised().stands([], 20).take(accepts(1), 21);
    expect([returned.state.alerts, returned.changes.at(-1)?.alert.disposition?.by]).toEqual([[], INES]);
  });

  it("what was decided holds no more where the finding comes again or becomes more urgent", () => {
    const accepts: AlertInput = { do: "dispose", n: 1, by: INES, disposition: "acceptedAsIs", reason: "cosmetic", note: "" };
    const alerts = new MadeAlerts().stands([madeCause({ severity: "watch" })], 10).take(accepts, 11).stands([madeCause()], 12);
    expect(only(alerts)).toMatchObject({ state: "unacknowledged", disposition: null });
  });
});
