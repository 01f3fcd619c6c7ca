import { describe, expect, it } from "vitest";
import { causeOf, healthCause, isSameCause } from "../../lib/alert/causes.ts";
import type { BodyFinding, CameraPoseFinding, DisagreementFinding, HangFinding, PoreFinding, StretchFinding } from "../../lib/model/result.ts";
import { MadeAlerts, madeCause, madeHealth } from "../support/madeAlert.ts";

const GAP: StretchFinding = { kind: "gap", severity: "act", proven: true, layer: 2, strand: 7, fromMm: 6, toMm: 8.6, lengthMm: 2.6, position: [1, 3, 5], worst: { metric: "areaRatio", value: 0.03, limit: 0.25 } };
const BODY: BodyFinding = { kind: "strayMaterial", severity: "act", proven: false, layer: 4, areaMm2: 1.7, volumeMm3: null, lengthMm: 2.2, position: [12.34, -5.06, 0.5], worst: { metric: "areaMm2", value: 1.7, limit: 0.6 } };
const PORE: PoreFinding = { kind: "closedPore", severity: "watch", proven: true, layer: 3, strand: 9, position: [2, 4, 6], areaMm2: 0.1 };
const CONTRADICTION: DisagreementFinding = { kind: "sensorsDisagree", severity: "act", proven: true, layer: 2, strand: 7, fromMm: 1, toMm: 4.5, lengthMm: 3.5, position: [2, 0, 1], camera: "absent", verdict: "inBand", worst: { metric: "pasteFraction", value: 0.04, limit: 0.25 }, file: "frames/1.png" };
const DROP: HangFinding = { kind: "nozzleHang", severity: "act", proven: true, layer: 3, areaMm2: 1.3, position: [4, 3, 2], worst: { metric: "areaMm2", value: 1.3, limit: 0 }, file: "frames/2.png" };
const ASTRAY: CameraPoseFinding = { kind: "cameraPose", severity: "watch", proven: false, layer: 3, device: "camera-1", position: [4, 3, 2], worst: { metric: "poseErrorMm", value: 0.83, limit: 0.5 }, file: "frames/3.png" };
const body = (x: number, y = 2, z = 0.4) => madeCause({ kind: "strayMaterial", subject: `${x.toFixed(1)} ${y.toFixed(1)} ${z.toFixed(1)}`, place: { layer: 1, strand: null, fromMm: null, toMm: null } });
const stretch = (fromMm: number, toMm: number, change = {}) => madeCause({ place: { layer: 2, strand: 7, fromMm, toMm, ...change } });

describe("a finding as a cause", () => {
  it("has the stretch it lies on; of a body the subject is its place in the plan to 0.1 mm", () => {
    expect(causeOf(GAP)).toEqual({ kind: "gap", severity: "act", subject: "", place: { layer: 2, strand: 7, fromMm: 6, toMm: 8.6 }, worst: GAP.worst });
    expect(causeOf(BODY)).toEqual({ kind: "strayMaterial", severity: "act", subject: "12.3 -5.1 0.5", place: { layer: 4, strand: null, fromMm: null, toMm: null }, worst: BODY.worst });
    expect(causeOf(PORE)).toEqual({ kind: "closedPore", severity: "watch", subject: "2.0 4.0 6.0", place: { layer: 3, strand: 9, fromMm: null, toMm: null }, worst: null });
  });

  it("of the camera: a contradiction has its stretch, a drop at the nozzle is one a layer wherever the nozzle goes, a camera off its place is one wherever it looks", () => {
    expect(causeOf(CONTRADICTION)).toEqual({ kind: "sensorsDisagree", severity: "act", subject: "", place: { layer: 2, strand: 7, fromMm: 1, toMm: 4.5 }, worst: CONTRADICTION.worst });
    expect(isSameCause(causeOf(DROP), causeOf({ ...DROP, position: [40, 3, 5] }))).toBe(true);
    expect(isSameCause(causeOf(DROP), causeOf({ ...DROP, layer: 4 }))).toBe(false);
    expect(isSameCause(causeOf(ASTRAY), causeOf({ ...ASTRAY, layer: 4, position: [9, 9, 9] }))).toBe(true);
    expect(isSameCause(causeOf(ASTRAY), causeOf({ ...ASTRAY, device: "camera-2" }))).toBe(false);
  });
});

describe("stretches are one cause", () => {
  it("where they overlap or touch within 0.001 mm, and two where 0.0011 mm lie between them, whichever is named first", () => {
    for (const [other, isOne] of [[stretch(8, 11), true], [stretch(8.6, 9), true], [stretch(8.6009, 9), true], [stretch(8.6011, 9), false], [stretch(3, 5.9985), false], [stretch(6.5, 7), true]] as const) {
      expect(isSameCause(stretch(6, 8.6), other)).toBe(isOne);
      expect(isSameCause(other, stretch(6, 8.6))).toBe(isOne);
    }
  });

  it("never of two kinds, strands or layers, and not where one has no place", () => {
    expect(isSameCause(stretch(6, 8), madeCause({ kind: "liftedStrand", place: { layer: 2, strand: 7, fromMm: 6, toMm: 8 } }))).toBe(false);
    expect(isSameCause(stretch(6, 8), stretch(6, 8, { strand: 6 }))).toBe(false);
    expect(isSameCause(stretch(6, 8), stretch(6, 8, { layer: 1 }))).toBe(false);
    expect(isSameCause(stretch(6, 8), madeHealth("gap"))).toBe(false);
  });
});

describe("bodies off the path are one cause", () => {
  it.each([[2.9, true], [3, true], [3.1, false]])("%d mm from where it was seen before: %s", (mm, isOne) => {
    expect(isSameCause(body(1), body(1 + mm))).toBe(isOne);
    expect(isSameCause(body(1 + mm), body(1))).toBe(isOne);
  });

  it("by their distance in space: 2 mm aside each way are 3.46 mm", () => {
    expect(isSameCause(body(0, 1, 0), body(2, 3, 0))).toBe(true);
    expect(isSameCause(body(0, 1, 0), body(2, 3, 2))).toBe(false);
  });

  it("two that lie 2 mm apart keep their own alerts, and what was decided about one, in whatever order they are told", () => {
    const both = new MadeAlerts().stands([body(1), body(3)], 5).take({ do: "dispose", n: 1, by: "Dana Reyes", disposition: "acceptedAsIs", reason: "cannotReach", note: "" }, 6).stands([body(3), body(1)], 7);
    expect(both.state.alerts.map(({ n, cause: { subject }, disposition }) => [n, subject, disposition?.disposition ?? null])).toEqual([[1, "1.0 2.0 0.4", "acceptedAsIs"], [2, "3.0 2.0 0.4", null]]);
  });
});

describe("causes of health", () => {
  it("are one where kind and subject are", () => {
    expect(isSameCause(healthCause("profilerSilent", "profiler-1", { metric: "s", value: 2, limit: 1 }), healthCause("profilerSilent", "profiler-1", { metric: "s", value: 5, limit: 1 }))).toBe(true);
    expect(isSameCause(healthCause("profilerSilent", "profiler-1"), healthCause("profilerSilent", "profiler-2"))).toBe(false);
    expect(isSameCause(healthCause("profilerSilent"), healthCause("progressSilent"))).toBe(false);
    expect(healthCause("backlog")).toMatchObject({ severity: "act", subject: "", place: null, worst: null });
  });
});
