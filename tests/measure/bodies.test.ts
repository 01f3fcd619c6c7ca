import { describe, expect, it } from "vitest";
import { bodySearch, findBodies } from "../../lib/measure/bodies.ts";
import { freezeSupport, IN_WINDOW, type Chart } from "../../lib/measure/chart.ts";
import type { Body } from "../../lib/model/body.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { cellAt, madeChart, scanInto } from "../support/madeChart.ts";
import type { Ground } from "../support/madeScene.ts";

const SCAN = { fromMm: -1.1, toMm: 9.1, stepMm: 0.2 };
const SEARCH = { layer: 1, widthMm: 1, heightMm: 0.5, sigmaMm: 0.01, leastAreaMm2: 0.5 };

/** Bodies on a ground scanned before and after paste came to lie on it. */
function found(paste: Ground, options: { bare?: Ground; mark?: (chart: Chart) => void; noise?: boolean; search?: Partial<typeof SEARCH>; supportScan?: boolean } = {}): Body[] {
  const { bare = () => 0 } = options;
  const random = makeRandom(71, "bodies"), noise = options.noise === true ? () => 0.01 * random.gauss() : () => 0;
  const { chart } = madeChart();
  if (options.supportScan ?? true) scanInto(chart, bare, { ...SCAN, noise });
  freezeSupport(chart);
  scanInto(chart, (x, y) => bare(x, y) + Math.max(0, paste(x, y)), { ...SCAN, noise });
  options.mark?.(chart);
  return findBodies(chart, { ...SEARCH, ...options.search });
}

/** Half an ellipsoid. */
const dome = (x0: number, y0: number, rx: number, ry: number, h: number): Ground => (x, y) => { const q = 1 - ((x - x0) / rx) ** 2 - ((y - y0) / ry) ** 2; return q > 0 ? h * Math.sqrt(q) : 0; };
/** A straight stadium lying at angle a: length, width, height. */
const strand = (x0: number, y0: number, a: number, length: number, w: number, h: number): Ground => (x, y) => {
  const p = (x - x0) * Math.cos(a) + (y - y0) * Math.sin(a), q = -(x - x0) * Math.sin(a) + (y - y0) * Math.cos(a);
  return Math.abs(p) < length / 2 && Math.abs(q) < w / 2 ? h : 0;
};
const expectWithin = (value: number, truth: number, share: number): void => { expect(Math.abs(value / truth - 1), `${value} against ${truth}`).toBeLessThan(share); };

describe("findBodies", () => {
  it("a strand of 4 × 1 mm, 0.5 mm high, at 30°: footprint 4 mm², volume 2 mm³ and length 4 mm to 7 %, its place to 0.05 mm", () => {
    const [body, ...more] = found(strand(4, 2.6, Math.PI / 6, 4, 1, 0.5));
    expect(more).toEqual([]);
    expectWithin(body!.areaMm2, 4, 0.07);
    expectWithin(body!.volumeMm3, 2, 0.07);
    expectWithin(body!.lengthMm, 4, 0.07);
    expect(Math.hypot(body!.position[0] - 4, body!.position[1] - 2.6)).toBeLessThan(0.05);
    expect(Math.abs(body!.position[2])).toBeLessThan(0.02);
  });

  it("a dome of radius 1.2 mm and height 0.8 mm: volume 2/3 π r² h = 2.413 mm³ to 8 %, its footprint where it stands over 0.15 mm", () => {
    const [body, ...more] = found(dome(5, -2.7, 1.2, 1.2, 0.8));
    expect(more).toEqual([]);
    expectWithin(body!.volumeMm3, 2 / 3 * Math.PI * 1.44 * 0.8, 0.08);
    expectWithin(body!.areaMm2, Math.PI * 1.44 * (1 - (0.15 / 0.8) ** 2), 0.05);
  });

  it("the least area is 0.5 mm²: a block of 0.6 × 0.6 mm is none, one of 0.8 × 0.85 mm is (profiles every 0.2 mm)", () => {
    expect(found(strand(4, 2.6, 0, 0.6, 0.6, 0.5))).toHaveLength(0);
    expect(found(strand(4, 2.6, 0, 0.8, 0.85, 0.5))).toHaveLength(1);
  });

  it("what is lower than 0.3 of a bead's height is none: 0.14 mm is not seen, 0.16 mm is", () => {
    expect(found(strand(4, 2.6, 0, 2, 1, 0.14))).toHaveLength(0);
    expect(found(strand(4, 2.6, 0, 2, 1, 0.16))).toHaveLength(1);
  });

  it("inside a laid strand's window nothing is a body", () => {
    const mark = (chart: Chart): void => { for (let x = 2; x < 6; x += 0.02) for (let y = 1.5; y < 3.7; y += 0.02) chart.mark[cellAt(chart, x, y).cell] = IN_WINDOW; };
    expect(found(strand(4, 2.6, 0, 3, 1, 0.5), { mark })).toEqual([]);
  });

  it("a sliver 0.1 mm thin along a layer's edge is none", () => {
    expect(found(strand(4, 2.6, 0, 6, 0.1, 0.5))).toEqual([]);
  });

  it("two blocks 0.3 mm apart are one body seen in parts, 0.9 mm apart two", () => {
    const pair = (gap: number): Ground => (x, y) => Math.max(strand(2.5, 2.6, 0, 1.5, 1, 0.5)(x, y), strand(4 + gap, 2.6, 0, 1.5, 1, 0.5)(x, y));
    expect(found(pair(0.3))).toHaveLength(1);
    expect(found(pair(0.9))).toHaveLength(2);
  });

  it("noise of 0.010 mm on a sloping ground is no body, and leaves a strand's area right to 8 % (seed 71)", () => {
    const bare: Ground = (x, y) => 0.1 * y + 0.02 * x;
    expect(found(() => 0, { bare, noise: true })).toEqual([]);
    expectWithin(found(strand(4, 2.6, 0.4, 3, 1, 0.5), { bare, noise: true })[0]!.areaMm2, 3 * Math.hypot(1, 0.1), 0.08);
  });

  it("on a support never seen before, bare ground about it says the level: found, area to 8 %", () => {
    const [body, ...more] = found(strand(4, 2.6, 0, 2, 1, 0.5), { bare: () => 0.2, supportScan: false });
    expect(more).toEqual([]);
    expectWithin(body!.areaMm2, 2, 0.08);
  });

  it("its outline is a few places on it, at most 130, each within its extent", () => {
    const { outline } = found(strand(4, 2.6, 0, 4, 1, 0.5))[0]!;
    expect(outline.length).toBeGreaterThan(20);
    expect(outline.length).toBeLessThan(130);
    expect(outline.every(([x, y]) => Math.abs(x - 4) < 2.1 && Math.abs(y - 2.6) < 0.6)).toBe(true);
  });
});

describe("bodySearch", () => {
  it("looks for half a bead width squared by the layer's mean bead, 0.72 mm² for 1.2 mm; a stated stray area replaces it", () => {
    const { plan } = madeChart([{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5]], widthMm: 1.1, heightMm: 0.4 }, { strand: 2, points: [[0, 3, 0.5], [8, 3, 0.5]], widthMm: 1.3, heightMm: 0.6 }]);
    const search = (strayAreaMm2: number | null) => bodySearch(plan.strands, { layer: 1, sigmaMm: 0.02, strayAreaMm2 });
    expect(search(null)).toEqual({ layer: 1, widthMm: expect.closeTo(1.2, 9), heightMm: expect.closeTo(0.5, 9), sigmaMm: 0.02, leastAreaMm2: expect.closeTo(0.72, 9) });
    expect(search(0.9).leastAreaMm2).toBe(0.9);
  });
});
