import { describe, expect, it } from "vitest";
import { proposedPause, wantedPause, type OpenFinding } from "../../lib/control/pause.ts";
import type { PauseAt, Policy } from "../../lib/model/job.ts";
import { FINDING_KINDS, type FindingKind } from "../../lib/model/result.ts";
import { madeJob } from "../support/madePlan.ts";

const found = (n: number, kind: FindingKind, change: Partial<OpenFinding> = {}): OpenFinding => ({ n, kind, severity: "act", layer: 2, isSettled: false, ...change });
/** The job's defaults with every kind asking for a pause, at its default place, but gaps at the layer's end. */
const ALL: Policy = madeJob("stadium", (json) => {
  json["policy"] = { onFinding: Object.fromEntries(FINDING_KINDS.map((kind) => [kind, "pause"])), pauseAt: { gap: "layerEnd" } };
}).policy;
const DEFAULT: Policy = madeJob().policy;
const wanted = (findings: readonly OpenFinding[], { asked = [], inForce = [], policy = ALL }: { asked?: number[]; inForce?: PauseAt[]; policy?: Policy } = {}) => {
  const pause = wantedPause(policy, findings, { asked: new Set(asked), inForce });
  return pause === null ? null : [pause.at, pause.finding.n];
};

describe("the pause that the policy asks for by itself", () => {
  it("is the soonest of all that stand, in the name of the first finding that asks for it", () => {
    expect(wanted([found(3, "gap")])).toEqual(["layerEnd", 3]);
    expect(wanted([found(3, "gap"), found(4, "underExtrusion"), found(5, "displacedStrand")])).toEqual(["strandEnd", 4]);
    expect(wanted([found(3, "gap"), found(4, "underExtrusion"), found(6, "strayMaterial"), found(7, "liftedStrand")])).toEqual(["now", 6]);
  });

  it("is asked once for each alert: a person who goes on over one is not stopped for it again", () => {
    expect(wanted([found(3, "liftedStrand")], { asked: [3] })).toBeNull();
    expect(wanted([found(3, "liftedStrand"), found(4, "gap")], { asked: [3] })).toEqual(["layerEnd", 4]);
  });

  it.each<[PauseAt, FindingKind, boolean]>([
    ["now", "gap", false], ["strandEnd", "gap", false], ["layerEnd", "gap", false], ["now", "overExtrusion", false], ["strandEnd", "overExtrusion", false], ["layerEnd", "overExtrusion", true],
    ["now", "detachedStrand", false], ["strandEnd", "detachedStrand", true], ["layerEnd", "detachedStrand", true],
  ])("with one at %s in force, %s asks for another: %s", (at, kind, asks) => {
    expect(wanted([found(8, kind)], { inForce: [at] }) !== null).toBe(asks);
  });

  it("is none for what is settled, for watch, and for kinds that the policy logs or advises about", () => {
    expect(wanted([found(3, "liftedStrand", { isSettled: true })])).toBeNull();
    expect(wanted([found(3, "liftedStrand", { severity: "watch" })])).toBeNull();
    expect(wanted([found(3, "gap"), found(4, "strayMaterial")], { policy: DEFAULT })).toBeNull();
    expect(wanted([found(5, "detachedStrand")], { policy: DEFAULT })).toEqual(["now", 5]);
    expect(wanted([])).toBeNull();
  });

  it("is none for a closed pore and a camera off its place: nothing is gained by stopping for them; paste at the nozzle and a contradiction ask as others do", () => {
    expect(wanted([found(9, "closedPore"), found(10, "cameraPose")])).toBeNull();
    expect(wanted([found(11, "nozzleHang")])).toEqual(["strandEnd", 11]);
    expect(wanted([found(12, "sensorsDisagree")])).toEqual(["strandEnd", 12]);
  });
});

describe("where the first touch pauses", () => {
  it("is the strand's end, since a stop in mid-strand leaves a blob, unless an open act finding's policy says now", () => {
    expect(proposedPause(DEFAULT, [])).toBe("strandEnd");
    expect(proposedPause(DEFAULT, [found(3, "gap"), found(4, "underExtrusion")])).toBe("strandEnd");
    expect(proposedPause(DEFAULT, [found(3, "gap"), found(4, "strayMaterial")])).toBe("now");
  });

  it("does not heed what is settled or watch, nor wait for a layer's end that a policy names", () => {
    expect(proposedPause(DEFAULT, [found(3, "liftedStrand", { isSettled: true }), found(4, "liftedStrand", { severity: "watch" })])).toBe("strandEnd");
    expect(proposedPause(ALL, [found(3, "gap")])).toBe("strandEnd");
  });
});
