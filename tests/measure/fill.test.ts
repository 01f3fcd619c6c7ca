import { describe, expect, it } from "vitest";
import { mapHeight, OLD_PASTE } from "../../lib/measure/chart.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { cellAt, madeChart, scanInto } from "../support/madeChart.ts";
import type { Ground } from "../support/madeScene.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

const SCAN = { fromMm: -1, toMm: 9, stepMm: 0.25 };

/** Map height over z = 0 minus the ground at places off the cells' and profiles' grids, and how many of the cells there are holes. */
function errorsOf(ground: Ground, scan: Parameters<typeof scanInto>[2]): { errors: number[]; holes: number } {
  const { chart } = madeChart();
  scanInto(chart, ground, scan);
  const errors: number[] = [];
  let holes = 0;
  for (let x = 0.03; x < 8; x += 0.137) {
    for (let y = -4.1; y < 4.1; y += 0.193) {
      const { uMm, vMm } = cellAt(chart, x, y);
      const h = mapHeight(chart, chart.top, uMm, vMm) + chart.origin[2];
      if (Number.isNaN(h)) holes++;
      else errors.push(h - ground(x, y));
    }
  }
  return { errors, holes };
}

describe("the map of newest tops, profiles every 0.25 mm", () => {
  it.each<[string, Ground]>([["a level plane", () => 0.12], ["a plane that rises 0.3 mm per mm across and 0.2 along", (x, y) => 0.2 * x - 0.3 * y]])("%s without noise is right to 8 µm everywhere, and has no holes", (_what, ground) => {
    const { errors, holes } = errorsOf(ground, SCAN);
    expect(holes).toBe(0);
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.008);
  });

  it("a sphere of 45 mm without noise is right to 3 µm on average and 10 µm everywhere, without holes", () => {
    const { errors, holes } = errorsOf((x, y) => Math.sqrt(45 * 45 - (x - 4) ** 2 - y * y) - 45, SCAN);
    expect(holes).toBe(0);
    expect(Math.abs(meanOf(errors))).toBeLessThan(0.003);
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.01);
  });

  it("σ 0.010 mm leaves at most that in the map, and no bias over 1 µm (seed 51)", () => {
    const random = makeRandom(51, "fill");
    const { errors } = errorsOf(() => 0, { ...SCAN, noise: () => 0.01 * random.gauss() });
    expect(sdOf(errors)).toBeLessThan(0.0101);
    expect(Math.abs(meanOf(errors))).toBeLessThan(0.001);
  });

  it("a second scan of the same ground is averaged: less noise; one 0.2 mm higher takes its place at once", () => {
    const random = makeRandom(52, "seen again");
    const { chart } = madeChart();
    const noise = (): number => 0.01 * random.gauss();
    const heights = (): number[] => { const h: number[] = []; for (let x = 0.4; x < 7.6; x += 0.31) for (let y = -4; y < 4; y += 0.23) { const { cell } = cellAt(chart, x, y); h.push(chart.top[cell]! + chart.origin[2]); } return h; };
    scanInto(chart, () => 0, { ...SCAN, noise });
    const once = sdOf(heights());
    scanInto(chart, () => 0, { ...SCAN, noise });
    expect(sdOf(heights())).toBeLessThan(0.9 * once);
    scanInto(chart, () => 0.2, { ...SCAN, noise });
    expect(Math.abs(meanOf(heights()) - 0.2)).toBeLessThan(0.001);
  });

  it("a jump of 0.5 mm from one profile to the next is not smeared: every cell is low or high, none between", () => {
    const { chart } = madeChart();
    scanInto(chart, (x) => (x < 4.1 ? 0 : 0.5), SCAN);
    for (let x = 3.7; x < 4.6; x += 0.04) {
      const h = chart.top[cellAt(chart, x, 1.07).cell]! + chart.origin[2];
      expect(Math.min(Math.abs(h), Math.abs(h - 0.5)), `x ${x}`).toBeLessThan(0.001);
    }
    expect(chart.top[cellAt(chart, 4.02, 1.07).cell]! + chart.origin[2]).toBeCloseTo(0, 3); // the nearer profile, at 4.0 mm
    expect(chart.top[cellAt(chart, 4.22, 1.07).cell]! + chart.origin[2]).toBeCloseTo(0.5, 3);
  });

  it("bare target seen three times is settled and looked at again only where profiles lie; paste of an earlier layer that slumps by 0.02 mm is followed everywhere", () => {
    const between = (mark: number): number => {
      const { chart } = madeChart();
      for (let i = 0; i < 3; i++) scanInto(chart, () => 0, SCAN);
      chart.mark.fill(mark);
      for (let i = 0; i < 12; i++) scanInto(chart, () => -0.02, SCAN);
      return meanOf([0.6, 2.1, 3.9, 5.4].map((x) => chart.top[cellAt(chart, x + 0.01, 1.07).cell]! + chart.origin[2]));
    };
    expect(between(OLD_PASTE)).toBeCloseTo(-0.02, 3);
    expect(between(0)).toBeCloseTo(0, 3);
  });

  it("a bead that comes to lie on settled target is written at once", () => {
    const { chart } = madeChart();
    for (let i = 0; i < 4; i++) scanInto(chart, () => 0, SCAN);
    scanInto(chart, (_x, y) => (Math.abs(y - 1) < 0.5 ? 0.5 : 0), SCAN);
    for (let x = 0.31; x < 7.6; x += 0.07) expect(chart.top[cellAt(chart, x, 1.07).cell]! + chart.origin[2], `x ${x}`).toBeCloseTo(0.5, 3);
  });

  it("profiles 0.9 mm apart are joined, 1.1 mm apart are not (limit 1 mm): holes between", () => {
    expect(errorsOf(() => 0, { ...SCAN, stepMm: 0.9, toMm: 9.5 }).holes).toBe(0);
    expect(errorsOf(() => 0, { ...SCAN, stepMm: 1.1, toMm: 9.5 }).holes).toBeGreaterThan(500);
  });

  it("a missing sample or two along a profile is bridged, 0.5 mm of them stays a hole", () => {
    const { chart } = madeChart();
    scanInto(chart, (_x, y) => (Math.abs(y - 1) < 0.06 || Math.abs(y + 2) < 0.26 ? Number.NaN : 0.1), SCAN);
    expect(chart.top[cellAt(chart, 3, 1).cell]! + chart.origin[2]).toBeCloseTo(0.1, 4);
    expect(chart.top[cellAt(chart, 3, -2).cell]).toBeNaN();
  });

  it("heights over 8 mm from the planned sheet are not of the target: 7.9 mm is kept, 8.1 mm is not", () => {
    const { chart } = madeChart();
    scanInto(chart, (_x, y) => (y > 0 ? 7.9 : 8.1), SCAN);
    expect(chart.top[cellAt(chart, 3, 2).cell]! + chart.origin[2]).toBeCloseTo(7.9, 4);
    expect(chart.top[cellAt(chart, 3, -2).cell]).toBeNaN();
  });

  it("an offset of 0.03 mm that is known is taken out", () => {
    const { chart } = madeChart();
    scanInto(chart, () => 0.13, { ...SCAN, offsetMm: 0.03 });
    expect(chart.top[cellAt(chart, 3, 2).cell]! + chart.origin[2]).toBeCloseTo(0.1, 4);
  });
});
