import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { StretchFinding } from "../../lib/model/result.ts";
import { SECTION, type Sweep } from "../../lib/rehearsal/body.ts";
import { NotNow } from "../../lib/rehearsal/liveCauseDeeds.ts";
import { CAUSES, parseCause, readCause, type CauseKind } from "../../lib/rehearsal/liveCauses.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { MadeCell } from "../support/madeCell.ts";

/** Two strands of 20 mm, 6 mm apart, seen finely and without noise. */
const SEEN: Partial<RehearsalSettings> = { strands: 2, lengthMm: 20, pitchMm: 6, points: 221, dxMm: 0.06, sigmaMm: 0.003, dropoutFraction: 0, variationFraction: 0, wanderMm: 0, seed: 9 };
const cause = (made: MadeCell, kind: CauseKind, undo = false): string => made.cell.cause({ kind, undo, place: null });

/** A cell in which something goes wrong when 8 mm of strand 1 lie; what is to be done later is done when 14 mm lie. */
function caused(kind: CauseKind, undone: boolean, settings: Partial<RehearsalSettings> = {}): MadeCell {
  const made = new MadeCell({ ...SEEN, ...settings }).untilLaid(1, 1, 8);
  cause(made, kind);
  made.untilLaid(1, 1, 14);
  if (undone) cause(made, kind, true);
  return made.toEnd();
}
/** Area ratio measured at places of strand 1. */
function ratios(made: MadeCell, places: readonly number[]): number[] {
  const { stations } = made.measured();
  return places.map((sMm) => stations.find((one) => one.strand === 1 && Math.abs(one.sMm - sMm) < 1e-6)?.areaRatio ?? Number.NaN);
}

describe("causes, as profiles show them", () => {
  it("clog: 0.3 of the area from 8 mm on, whole before; cleared at 14 mm, whole again", () => {
    const [before, clogged, deep, again] = ratios(caused("clog", true), [6.5, 10, 13.5, 16.5]);
    expect(Math.abs(before! - 1)).toBeLessThan(0.04);
    expect(Math.abs(clogged! - 0.3)).toBeLessThan(0.04);
    expect(Math.abs(deep! - 0.3)).toBeLessThan(0.04);
    expect(Math.abs(again! - 1)).toBeLessThan(0.04);
  });

  it("overFlow: 1.5 of the area until it is put right", () => {
    const [before, over, again] = ratios(caused("overFlow", true), [6.5, 11, 16.5]);
    expect(Math.abs(before! - 1)).toBeLessThan(0.04);
    expect(Math.abs(over! - 1.5)).toBeLessThan(0.06);
    expect(Math.abs(again! - 1)).toBeLessThan(0.04);
  });

  it("airBubble: one gap of 2.5 mm that begins 1 mm ahead, at 9 mm, edges within 0.6 mm (the flow lags)", () => {
    const gaps = caused("airBubble", false).measured().findings.filter((one): one is StretchFinding => one.kind === "gap");
    expect(gaps).toHaveLength(1);
    expect(Math.abs(gaps[0]!.fromMm - 9.1)).toBeLessThan(0.6);
    expect(Math.abs(gaps[0]!.toMm - gaps[0]!.fromMm - 2.5)).toBeLessThan(0.6);
  });

  it("airBubble taken out before it comes: no gap", () => {
    const made = new MadeCell(SEEN).untilLaid(1, 1, 8);
    cause(made, "airBubble");
    cause(made, "airBubble", true);
    expect(made.toEnd().measured().findings.filter((one) => one.severity === "act")).toEqual([]);
  });

  it("drag, with the nozzle at 14 mm: a gap from 7.5 to 12.5 mm, and a detached strand beside it", () => {
    const made = new MadeCell(SEEN).untilLaid(1, 1, 14);
    expect(cause(made, "drag")).toMatch(/strand 1 of layer 1, 7\.5 to 12\.5 mm/);
    const found = made.toEnd().measured().findings.filter((one) => one.severity === "act"), gap = found.find((one): one is StretchFinding => one.kind === "gap");
    expect(found.map((one) => one.kind).sort()).toEqual(["detachedStrand", "gap"]);
    expect([Math.abs(gap!.fromMm - 7.5) < 0.4, Math.abs(gap!.toMm - 12.5) < 0.4]).toEqual([true, true]);
  });

  it("jolt: poses are 0.4 mm off sideways from then on, the heights the same, until registered again", () => {
    const made = caused("jolt", true), twin = new MadeCell(SEEN).toEnd();
    const offs = made.profiles.map((one, i) => [0, 1, 2].map((j) => (one.pose[j] as number) - (twin.profiles[i]!.pose[j] as number)));
    const first = offs.findIndex((off) => Math.hypot(...off) > 0), last = offs.findLastIndex((off) => Math.hypot(...off) > 0);
    for (const off of offs.slice(first, last + 1)) expect(off).toEqual([expect.closeTo(0, 9), expect.closeTo(0.4, 9), expect.closeTo(0, 9)]); // strand 1 runs along x
    expect(made.profiles[first]!.tS).toBeGreaterThan(made.progress.find((row) => row.sMm > 7.9)!.tS - 0.05);
    expect(made.profiles[last]!.tS).toBeLessThan(made.progress.find((row) => row.sMm > 14)!.tS + 0.05);
    expect(made.profiles.map((one) => [...one.zMm])).toEqual(twin.profiles.map((one) => [...one.zMm]));
  });

  it("cover: no returns at all until it is uncovered, and the stations seen meanwhile are unmeasured", () => {
    const made = caused("cover", true), dark = made.profiles.map((one) => one.zMm.every((z) => Number.isNaN(z)));
    const [first, last] = [dark.indexOf(true), dark.lastIndexOf(true)];
    expect([dark.slice(first, last + 1).every((one) => one), last - first > 20]).toEqual([true, true]);
    const { stations } = made.measured();
    expect(stations.filter((one) => one.strand === 1 && one.sMm > 2 && one.sMm < 5).map((one) => one.verdict)).toEqual(Array.from({ length: 5 }, () => "unmeasured"));
    expect(stations.filter((one) => one.strand === 1 && one.sMm > 8 && one.sMm < 18).every((one) => one.verdict !== "unmeasured")).toBe(true);
  });

  it("takeOff: nothing lies there any more, a rework row says so, and the layer is scanned before anything more of it is laid", () => {
    const made = new MadeCell(SEEN).untilLaid(1, 2, 3);
    made.cell.cause({ kind: "takeOff", undo: false, place: { layer: 1, strand: 1, fromMm: 5, toMm: 9 } });
    made.toEnd();
    expect(made.sent.find((one) => one.kind === "rework")).toMatchObject({ layer: 1, strand: 1, fromMm: 5, toMm: 9, who: "rehearsal operator" });
    const { stations } = made.measured();
    expect(stations.filter((one) => one.strand === 1 && one.sMm > 5.4 && one.sMm < 8.6).map((one) => one.verdict)).toEqual(Array.from({ length: 7 }, () => "removed"));
  });

  it("what the nozzle laid already does not change, whatever is caused (clog, overFlow, airBubble)", () => {
    for (const kind of ["clog", "overFlow", "airBubble"] as const) {
      const made = new MadeCell(SEEN).untilLaid(1, 1, 8), bead = made.cell.work.paste.bodies[0] as Sweep, laid = SECTION * (bead.arcMm.findIndex((s) => s > 8) + 1), before = bead.sections.slice(0, laid);
      cause(made, kind);
      made.untilLaid(1, 1, 15);
      expect(bead.sections.slice(0, laid)).toEqual(before);
      expect(bead.sections.slice(laid, 2 * laid)).not.toEqual((new MadeCell(SEEN).untilLaid(1, 1, 15).cell.work.paste.bodies[0] as Sweep).sections.slice(laid, 2 * laid));
    }
  });

  it("pressure rises with a clog to 1.9 times what the flow adds, and falls with air in the nozzle", () => {
    const highest = (kind: CauseKind | null): number => {
      const made = new MadeCell({ ...SEEN, points: 16 }).untilLaid(1, 1, 8);
      if (kind !== null) cause(made, kind);
      return Math.max(...made.untilLaid(1, 1, 19).signals("pressureKPa").slice(-6, -1).map((row) => row.value));
    };
    expect((highest("clog") - 12) / (highest(null) - 12)).toBeCloseTo(1.9, 2);
    expect(Math.min(...caused("airBubble", false, { points: 16 }).signals("pressureKPa").filter((row) => row.value > 12.1).map((row) => row.value))).toBeCloseTo(12 + 0.4 * 208, 0);
  });

  it("what has nothing to take hold of is not now: a drag before 3 mm lie, a stretch that was never laid, the strand under the nozzle", () => {
    const made = new MadeCell(SEEN);
    expect(() => cause(made, "drag")).toThrow(NotNow);
    made.untilLaid(1, 1, 2.9);
    expect(() => cause(made, "drag")).toThrow(NotNow);
    const takeOff = (strand: number) => () => made.cell.cause({ kind: "takeOff", undo: false, place: { layer: 1, strand, fromMm: 1, toMm: 2 } });
    expect(takeOff(1)).toThrow("laying that strand");
    expect(takeOff(2)).toThrow("nothing lies there");
    expect(takeOff(3)).toThrow("no strand 3");
    made.untilLaid(1, 1, 3.1);
    expect(cause(made, "drag")).toMatch(/dragged off/);
  });
});

describe("reading causes", () => {
  it("JSON and text say the same", () => {
    expect(readCause({ kind: "clog" })).toEqual(parseCause("clog", false));
    expect(readCause({ kind: "jolt", undo: true })).toEqual(parseCause("jolt", true));
    expect(readCause({ kind: "takeOff", layer: 1, strand: 3, fromMm: 2.5, toMm: 7 })).toEqual(parseCause("takeOff@1/3/2.5-7", false));
  });

  it("every cause has a label of its own", () => {
    const labels = Object.values(CAUSES).map((one) => one.label);
    expect(new Set(labels).size).toBe(8);
  });

  it.each<[string, () => unknown]>([
    ["an unknown kind", () => readCause({ kind: "fire" })], ["no object", () => readCause("clog")], ["an undo that cannot be", () => readCause({ kind: "drag", undo: true })],
    ["takeOff without a place", () => readCause({ kind: "takeOff" })], ["takeOff backwards", () => readCause({ kind: "takeOff", layer: 1, strand: 2, fromMm: 5, toMm: 5 })],
    ["takeOff as text without a place", () => parseCause("takeOff", false)], ["a place with clog", () => parseCause("clog@1/2/3-4", false)], ["an empty text", () => parseCause("", false)],
  ])("%s is command.usage", (_what, read) => {
    let code = "none";
    try {
      read();
    } catch (error) {
      if (error instanceof InputError) code = error.code;
    }
    expect(code).toBe("command.usage");
  });
});
