import { describe, expect, it } from "vitest";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { Triple } from "../support/madePath.ts";
import type { MadeStrand } from "../support/madePlan.ts";
import { preflightPlan } from "../../lib/plan/preflight.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { itemsOf, judged, wholeJob } from "../support/madePreflight.ts";

const line = (strand: number, from: Triple, to: Triple, more: Partial<MadeStrand> = {}): MadeStrand => ({ strand, points: [from, to], ...more });

describe("strands of a layer that cross", () => {
  const across = (endMm: number, zMm = 0.5) => itemsOf(judged([line(1, [0, 0, 0.5], [8, 0, 0.5]), line(2, [3, -4, zMm], [3, endMm, zMm])]), "strandsCross");

  it("0.05 mm over the other's centre line is an item at 4 mm of the later one, both beads in one place 0.5 mm deep", () => {
    expect(across(0.05)).toMatchObject([{ layer: 1, strand: 2, sMm: 4, position: [3, 0, 0.5], value: 0.5, limit: 0, other: { layer: 1, strand: 1, sMm: 3 } }]);
  });

  it("an end 0.05 mm short of it, or on it, does not cross", () => {
    expect([across(-0.05), across(0)]).toEqual([[], []]);
  });

  it("over it by its own height, 0.5 mm, it passes; by 0.45 mm it is 0.05 mm deep in it", () => {
    expect(across(4, 1)).toEqual([]);
    expect(across(4, 0.95)).toMatchObject([{ value: 0.05 }]);
  });

  it("a strand that crosses itself does, its own turns do not", () => {
    expect(itemsOf(judged([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5], [8, 4, 0.5], [5, 4, 0.5], [5, -3, 0.5]] }]), "strandsCross")).toMatchObject([{ sMm: 19, other: { strand: 1, sMm: 5 } }]);
    expect(itemsOf(judged([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5], [8, 1.5, 0.5], [0, 1.5, 0.5]] }]), "strandsCross")).toEqual([]);
  });

  it("two strands in one line for 3 mm are one item; laid end to end, or side by side, they are none", () => {
    const beside = (from: number, y: number) => itemsOf(judged([line(1, [0, 0, 0.5], [8, 0, 0.5]), line(2, [from, y, 0.5], [from + 8, y, 0.5])]), "strandsCross");
    const [item, ...more] = beside(5, 0.1);
    expect([item?.strand, more.length]).toEqual([2, 0]);
    expect(item!.toMm).toBeGreaterThan(2.9);
    expect(item!.toMm).toBeLessThan(3.8);
    expect([beside(8, 0), beside(5, 0.9)]).toEqual([[], []]);
  });

  it("strands of two layers cross as they like", () => {
    expect(itemsOf(judged([line(1, [0, 0, 0.5], [8, 0, 0.5]), { ...line(1, [3, -4, 1], [3, 4, 1]), layer: 2 }]), "strandsCross")).toEqual([]);
  });
});

describe("what a layer lies on", () => {
  /** Four strands 2 mm apart along x, and one across them whose base is `offMm` over their tops. */
  const lattice = (offMm: number, fromMm = -0.3, toMm = 6.3) => judged([
    ...[0, 2, 4, 6].map((y, i) => line(i + 1, [0, y, 0.5], [8, y, 0.5])), { ...line(1, [4, fromMm, 1 + offMm], [4, toMm, 1 + offMm]), layer: 2 },
  ]);

  it("on the beads beneath, over the hollows between them: nothing", () => {
    expect([itemsOf(lattice(0), "baseOff"), itemsOf(lattice(0), "nothingBeneath")]).toEqual([[], []]);
  });

  it("0.12 mm over or under them is off at each of the four, 0.09 mm is not", () => {
    expect(itemsOf(lattice(0.12), "baseOff").map((i) => [i.value, i.limit, i.other?.layer, i.other?.strand])).toEqual([1, 2, 3, 4].map((s) => [0.12, 0.1, 1, s]));
    expect(itemsOf(lattice(-0.12), "baseOff").map((i) => [i.value, i.limit])).toEqual([1, 2, 3, 4].map(() => [-0.12, -0.1]));
    expect([itemsOf(lattice(0.09), "baseOff"), itemsOf(lattice(-0.09), "baseOff")]).toEqual([[], []]);
  });

  it("an end that hangs 2 mm beyond the last bead's reach has nothing beneath; 0.7 mm beyond its centre has", () => {
    const items = itemsOf(lattice(0, 0, 8.75), "nothingBeneath");
    expect(items).toMatchObject([{ layer: 2, strand: 1, toMm: 8.75, limit: 0.75, severity: "watch" }]);
    expect(items[0]!.value).toBeGreaterThan(1.7);
    expect(itemsOf(lattice(0, 0, 6.7), "nothingBeneath")).toEqual([]);
  });

  it("a strand that lies in the gap between two, or beside all, has nothing beneath it over its whole 8 mm", () => {
    const aside = (y: number) => itemsOf(judged([line(1, [0, 0, 0.5], [8, 0, 0.5]), line(2, [0, 2, 0.5], [8, 2, 0.5]), { ...line(1, [0, y, 1], [8, y, 1]), layer: 2 }]), "nothingBeneath");
    expect([aside(1), aside(5)].map(([item]) => [item?.fromMm, item?.toMm, item?.value])).toEqual([[0, 8, 8], [0, 8, 8]]);
    expect(aside(0.4)).toEqual([]);
  });
});

describe("the nozzle's cone", () => {
  const BETA = 10 * Math.PI / 180;
  /** A wall 2.0 mm high and 2.2 wide, then a bead 0.5 high `awayMm` beside its centre line. */
  const beside = (awayMm: number, swap = false) => {
    const wall = line(1, [0, 0, 2], [8, 0, 2], { widthMm: 2.2, heightMm: 2 }), low = line(2, [0, awayMm, 0.5], [8, awayMm, 0.5]);
    return itemsOf(judged(swap ? [{ ...low, strand: 1 }, { ...wall, strand: 2 }] : [wall, low]), "coneTouchesBead");
  };
  // the wall's flank is a cylinder of radius 1 about y = 0.1, z = 1: 0.5 over the tip
  const clearance = (awayMm: number): number => Math.cos(BETA) * (awayMm - 0.1 - 0.635 - 0.5 * Math.tan(BETA)) - 1;

  it("1.80 mm beside a wall laid before touches its flank by the closed form of a cone and a cylinder", () => {
    const [item, ...more] = beside(1.8);
    expect(item).toMatchObject({ layer: 1, strand: 2, fromMm: 0, toMm: 8, limit: -0.02, unit: "mm", severity: "act", other: { layer: 1, strand: 1 } });
    expect(item!.value).toBeCloseTo(clearance(1.8), 4);
    expect([more, clearance(1.8) < -0.02]).toEqual([[], true]);
  });

  it("1.83 mm beside it is 0.008 mm in and still none, and a wall that is laid later is none", () => {
    expect([clearance(1.83) < 0, clearance(1.83) > -0.02, beside(1.83), beside(1.8, true)]).toEqual([true, true, [], []]);
  });

  it("a nozzle of 0.2 mm ends below the wall's bulge: at 1.80 mm it is clear, at 1.70 mm its top's rim is 0.023 mm in", () => {
    const job = wholeJob((json) => { json["nozzle"].lengthMm = 0.2; });
    const at = (awayMm: number) => itemsOf(judged([line(1, [0, 0, 2], [8, 0, 2], { widthMm: 2.2, heightMm: 2 }), line(2, [0, awayMm, 0.5], [8, awayMm, 0.5])], job), "coneTouchesBead");
    expect(at(1.8)).toEqual([]);
    expect(at(1.7)[0]?.value).toBeCloseTo(Math.hypot(1.7 - 0.635 - 0.2 * Math.tan(BETA) - 0.1, 0.3) - 1, 4);
  });

  it("its own strand counts where that comes back beside it higher up", () => {
    const points: Triple[] = [[0, 0, 1.2], [8, 0, 1.2], [8, 1.1, 0.5], [0, 1.1, 0.5]];
    expect(itemsOf(judged([{ strand: 1, points }]), "coneTouchesBead")).toMatchObject([{ strand: 1, other: { strand: 1 } }]);
    expect(itemsOf(judged([{ strand: 1, points: points.map(([x, y]): Triple => [x, y, 0.5]) }]), "coneTouchesBead")).toEqual([]);
  });

  /** A path 0.3 mm over a trough of radius R + 0.3, along its hollow: at the tip's rim, 3 mm aside, the target is R + 0.3 − √((R + 0.3)² − 9) higher. */
  const trough = (radius: number) => {
    const at = (i: number): number => (i - 16) / 40;
    const wide = wholeJob((json) => { Object.assign(json["nozzle"], { outerDiameterMm: 6, lengthMm: 4 }); json["stationSpacingMm"] = 0.25; });
    return itemsOf(judged([{
      strand: 1, heightMm: 0.3, widthMm: 0.9, points: Array.from({ length: 33 }, (_, i): Triple => [radius * Math.sin(at(i)), 0, radius * (1 - Math.cos(at(i)))]),
      normals: Array.from({ length: 33 }, (_, i): Triple => [-Math.sin(at(i)), 0, Math.cos(at(i))]),
    }], wide), "coneTouchesTarget");
  };

  it("a tip of 6 mm in a trough of 13.9 mm touches the target by 0.028 mm, in one of 14.4 mm by less than 0.02 mm, which is none", () => {
    const [item] = trough(13.6);
    expect(item).toMatchObject({ layer: 1, strand: 1, limit: -0.02, severity: "act" });
    expect(item!.value).toBeGreaterThan(-0.034);
    expect(item!.value).toBeLessThan(-0.022);
    expect(trough(14.1)).toEqual([]);
  });
});

describe("rehearsals as planned", () => {
  it.each([["plane", "raster", 2], ["plane", "lattice", 3], ["sphere", "raster", 2], ["cylinder", "lattice", 2], ["saddle", "raster", 2], ["mandibleAngle", "open", 2], ["plane", "ring", 2]] as const)(
    "%s, %s, %i layers (seed 3): nothing is found in space", (surface, pattern, layers) => {
      const { jobJson, planCsv } = simulate({ seed: 3, surface, pattern, layers });
      const { job } = resolveJob(jobJson, "job.json");
      expect(preflightPlan(readPlanCsv(planCsv, job, "plan.csv").plan, job).items).toEqual([]);
    });
});
