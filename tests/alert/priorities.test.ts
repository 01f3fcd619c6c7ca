import { describe, expect, it } from "vitest";
import { escalateAfterS, priorityOf } from "../../lib/alert/priorities.ts";
import { ALERT_KINDS, ALERT_PRIORITIES, SHELF_LIMIT_S, SHELF_TIMES_S, type AlertKind, type AlertPriority } from "../../lib/model/alert.ts";

/**
 * What could come of each if nobody did anything. IEC 60601-1-8, table 1: death or irreversible injury, immediate or prompt → high; reversible, immediate
 * or prompt → high or medium; minor → medium or low; delayed onset: medium, low, or none (these cells from memory). Which kind has which outcome is ours.
 */
type Harm = "irreversible, prompt" | "reversible, prompt" | "minor, prompt" | "minor, delayed";
const MAY_BE: Readonly<Record<Harm, readonly AlertPriority[]>> = {
  "irreversible, prompt": ["high"], "reversible, prompt": ["high", "medium"], "minor, prompt": ["medium", "low"], "minor, delayed": ["low"],
};
const HARM: Readonly<Record<AlertKind, Harm>> = {
  detachedStrand: "irreversible, prompt", liftedStrand: "irreversible, prompt", strayMaterial: "irreversible, prompt", // loose material goes where it does harm
  profilerSilent: "irreversible, prompt", strandNotSeen: "irreversible, prompt", engineLost: "irreversible, prompt", // nobody sees any of those above
  cellSilent: "irreversible, prompt", receiptOverdue: "irreversible, prompt", gateOverrun: "irreversible, prompt", workingTimeOver: "irreversible, prompt", // nothing stops it
  gap: "reversible, prompt", underExtrusion: "reversible, prompt", overExtrusion: "reversible, prompt", displacedStrand: "reversible, prompt",
  nozzleHang: "reversible, prompt", // a hanging drop is dragged over what is laid
  sensorsDisagree: "reversible, prompt", // nobody knows which is right: at worst it is a gap
  progressSilent: "minor, prompt", cameraSilent: "minor, prompt", clockJumped: "minor, prompt", commandRefused: "minor, prompt", backlog: "minor, prompt", diskLow: "minor, prompt", workingTimeLow: "minor, prompt",
  closedPore: "minor, delayed", unmeasured: "minor, delayed", cameraPose: "minor, delayed", layerHeld: "minor, delayed",
};

describe("priorities (IEC 60601-1-8, table 1)", () => {
  it.each(ALERT_KINDS)("%s of severity act has one that the table allows for what could come of it", (kind) => {
    expect(MAY_BE[HARM[kind]]).toContain(priorityOf(kind, "act"));
  });

  it("what is a harm at the moment of printing and can be taken off while soft is medium, and never high from the start", () => {
    expect(new Set((["gap", "underExtrusion", "overExtrusion", "displacedStrand", "nozzleHang", "sensorsDisagree"] as const).map((kind) => priorityOf(kind, "act")))).toEqual(new Set(["medium"]));
  });

  it("of severity watch everything is low", () => {
    expect(new Set(ALERT_KINDS.map((kind) => priorityOf(kind, "watch")))).toEqual(new Set(["low"]));
  });

  it("the more urgent, the sooner it escalates, and the shorter it may be shelved; one of the three times offered fits each", () => {
    const [high, medium, low] = ALERT_PRIORITIES;
    expect([escalateAfterS(high, 0), escalateAfterS(medium, 0), escalateAfterS(low, 0)]).toEqual([60, 120, Infinity]);
    expect([1, 2, 3].map((times) => escalateAfterS(high, times))).toEqual([120, 240, Infinity]);
    expect(ALERT_PRIORITIES.map((priority) => SHELF_TIMES_S.filter((s) => s <= SHELF_LIMIT_S[priority]))).toEqual([[60], [60, 300], [60, 300, 900]]);
  });
});
