import { describe, expect, it } from "vitest";
import type { PreflightKind } from "../../lib/model/preflight.ts";
import { preflightPlan } from "../../lib/plan/preflight.ts";
import { itemsOf, judged, planOfRows, wholeJob } from "../support/madePreflight.ts";

const CLEAN = [{ strand: 1, points: [[0, 0, 0.5], [9, 0, 0.5]] as const }, { strand: 2, points: [[9, 2, 0.5], [0, 2, 0.5]] as const }];
/** Area of a stadium 1.0 × 0.5 mm. */
const AREA = 0.5 * 0.5 + Math.PI * 0.25 / 4;

describe("a clean plan", () => {
  it("has no item, and everything was checked but for what a plan cannot tell", () => {
    const preflight = judged(CLEAN);
    expect(preflight.items).toEqual([]);
    expect(preflight.checked.map((c) => c.itemCount)).toEqual(Array.from({ length: 15 }, () => 0));
    expect(preflight.notChecked.map((n) => n.kind)).toEqual(["timeOver", "baseOff", "nothingBeneath", "coneTouchesTarget"]);
  });

  it("of a job that says little names each check that was not made, with its reason", () => {
    const job = wholeJob((json) => { for (const [block, key] of [["nozzle", "lengthMm"], ["material", "syringeVolumeMm3"], ["material", "workingTimeS"], ["tolerance", "judgeWithinS"]] as const) delete json[block][key]; delete json["mounts"]; });
    const preflight = judged(CLEAN, job);
    const reasons = new Map(preflight.notChecked.map((n) => [n.kind, n.reason]));
    const expected: Partial<Record<PreflightKind, string>> = { volumeOver: "syringeVolumeMm3", timeOver: "workingTimeS", coneTouchesBead: "lengthMm", coneTouchesTarget: "lengthMm", neverSeen: "mounts", seenAfterNext: "mounts", seenTooOld: "mounts" };
    for (const [kind, word] of Object.entries(expected) as [PreflightKind, string][]) {
      expect(reasons.get(kind)).toContain(word);
      expect(preflight.checked.some((c) => c.kind === kind)).toBe(false);
    }
    expect([preflight.items, preflight.detours]).toEqual([[], []]);
  });
});

describe("the bead itself", () => {
  it("a segment higher than half its chord: 0.52 of 1.0 mm is an item of its stretch 4–8 mm, 0.5 is none", () => {
    const job = wholeJob(() => {}, "segment");
    const items = itemsOf(preflightPlan(planOfRows([[1, 0.5, 6, ""], [1, 0.52, 6, ""], [1, 0.48, 6, ""]], job), job), "segmentTooHigh");
    expect(items).toMatchObject([{ layer: 1, strand: 1, fromMm: 4, toMm: 8, sMm: 4, position: [4, 0, 0.5], value: 0.52, limit: 0.5, unit: "mm", severity: "watch" }]);
  });

  it("a width of 0.62 mm under 0.75 of a bore of 0.84 mm (0.63), and of 1.92 over 1.5 of a tip of 1.27 mm (1.905); 0.63 and 1.905 are none", () => {
    const job = wholeJob();
    const preflight = preflightPlan(planOfRows([[0.63, 0.4, 6, ""], [0.62, 0.4, 6, ""], [1.905, 0.4, 6, ""], [1.92, 0.4, 6, ""]], job), job);
    expect(itemsOf(preflight, "beadTooNarrow")).toMatchObject([{ fromMm: 3, toMm: 6, value: 0.62, limit: 0.63 }]);
    expect(itemsOf(preflight, "beadTooWide")).toMatchObject([{ fromMm: 9, toMm: 12, value: 1.92, limit: 1.905 }]);
  });

  it("flow 2.1 % over and 2.2 % under what width, height and speed take are items, 1.9 % and a blank are none", () => {
    const job = wholeJob(), flow = (factor: number): number => AREA * 6 * factor;
    const items = itemsOf(preflightPlan(planOfRows([[1, 0.5, 6, flow(1.021)], [1, 0.5, 6, flow(1.019)], [1, 0.5, 6, ""], [1, 0.5, 6, flow(0.978)]], job), job), "flowDisagrees");
    expect(items.map(({ fromMm, toMm, value, limit, unit }) => [fromMm, toMm, Number(value.toFixed(6)), limit, unit])).toEqual([[0, 3, 2.1, 2, "%"], [9, 12, -2.2, -2, "%"]]);
  });

  it("neighbouring pieces are one item at their worst", () => {
    const job = wholeJob();
    const items = itemsOf(preflightPlan(planOfRows([[1.95, 0.4, 6, ""], [2.4, 0.4, 6, ""], [2.1, 0.4, 6, ""]], job), job), "beadTooWide");
    expect(items).toMatchObject([{ fromMm: 0, toMm: 12, sMm: 4, value: 2.4 }]);
  });
});

describe("what the whole plan needs, by hand", () => {
  const strand = (speed: number, factor: number) => [[1, 0.5, speed, AREA * speed * factor], [1, 0.5, 2 * speed, AREA * 2 * speed * factor]] as const;
  // 12 mm: 6 mm at 4 mm/s and 6 mm at 8 mm/s: 2.25 s; the flow is 1 % over, so 12 · A · 1.01 mm³
  const volume = 12 * AREA * 1.01, time = 2.25;

  it("totals are the sums of length, flow · time and length / speed", () => {
    const job = wholeJob(), { totals } = preflightPlan(planOfRows(strand(4, 1.01), job), job);
    expect(totals.lengthMm).toBeCloseTo(12, 6);
    expect(totals.volumeMm3).toBeCloseTo(volume, 6);
    expect(totals.layingTimeS).toBeCloseTo(time, 6);
  });

  it("a syringe of three quarters of the volume is empty at 9 mm; one that just holds it is no item", () => {
    const at = (syringeVolumeMm3: number) => {
      const job = wholeJob((json) => { json["material"].syringeVolumeMm3 = syringeVolumeMm3; });
      return itemsOf(preflightPlan(planOfRows(strand(4, 1.01), job), job), "volumeOver");
    };
    const [item] = at(0.75 * volume);
    expect([item?.sMm, item?.fromMm, item?.toMm, item?.position[0]].map((v) => v?.toFixed(5))).toEqual(["9.00000", "9.00000", "12.00000", "9.00000"]);
    expect([item?.value.toFixed(5), item?.limit.toFixed(5), item?.unit]).toEqual([volume.toFixed(5), (0.75 * volume).toFixed(5), "mm³"]);
    expect(at(volume * 1.0001)).toEqual([]);
  });

  it("a working time of 1.8 s is over at 8.4 mm (0.3 s into the faster half); 2.2501 s is none", () => {
    const at = (workingTimeS: number) => {
      const job = wholeJob((json) => { json["material"].workingTimeS = workingTimeS; });
      return itemsOf(preflightPlan(planOfRows(strand(4, 1.01), job), job), "timeOver");
    };
    expect(at(1.8)).toMatchObject([{ sMm: 8.4, value: time, limit: 1.8, unit: "s", severity: "act" }]);
    expect(at(2.2501)).toEqual([]);
  });
});

describe("turns of the normal", () => {
  const turned = (deg: number) => [{ strand: 1, points: [[0, 0, 0.5], [2, 0, 0.5], [2.5, 0, 0.5], [5, 0, 0.5]] as const, normals: [[0, 0, 1], [0, 0, 1], [0, Math.sin(deg * Math.PI / 180), Math.cos(deg * Math.PI / 180)], [0, Math.sin(deg * Math.PI / 180), Math.cos(deg * Math.PI / 180)]] as const }];

  it("16° from the station at 2 mm to the next is an item there, 14.9° is none", () => {
    const [item, ...more] = itemsOf(judged(turned(16)), "normalTurns");
    expect([item?.fromMm, item?.toMm, item?.limit, item?.unit, more.length]).toEqual([2, 2.5, 15, "°", 0]);
    expect(item?.value).toBeCloseTo(16, 4);
    expect(itemsOf(judged(turned(14.9)), "normalTurns")).toEqual([]);
  });

  it("a normal that turns 9° away and back within one station turns 18°", () => {
    const s = Math.sin(Math.PI / 20), c = Math.cos(Math.PI / 20);
    const items = itemsOf(judged([{ strand: 1, points: [[0, 0, 0.5], [2, 0, 0.5], [2.25, 0, 0.5], [2.5, 0, 0.5], [5, 0, 0.5]], normals: [[0, 0, 1], [0, 0, 1], [0, s, c], [0, 0, 1], [0, 0, 1]] }]), "normalTurns");
    expect(items).toHaveLength(1);
    expect(items[0]?.value).toBeCloseTo(18, 4);
  });
});
