import { describe, expect, it } from "vitest";
import { freezeSupport, type Chart } from "../../lib/measure/chart.ts";
import { DriftFollower } from "../../lib/measure/drift.ts";
import { markLaid } from "../../lib/measure/footprint.ts";
import { LinePreparer } from "../../lib/measure/line.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { madeChart, scanInto } from "../support/madeChart.ts";
import { profileOver, type Ground } from "../support/madeScene.ts";

const GROUND: Ground = (x, y) => 0.05 * Math.sin(x / 3) + 0.02 * y;

/** A chart whose support was scanned, and the follower after `count` profiles that read the ground raised by offset + tilt · y. */
function followed(c: { count: number; offset: (i: number) => number; tilt?: number; bead?: boolean; frozen?: boolean; seed?: number }): { drift: DriftFollower; chart: Chart } {
  const random = makeRandom(c.seed ?? 61, "drift"), noise = (): number => 0.01 * random.gauss();
  const { chart, plan } = madeChart();
  if (c.frozen ?? true) scanInto(chart, GROUND, { fromMm: -1, toMm: 9, stepMm: 0.25, noise });
  freezeSupport(chart);
  if (c.bead === true) markLaid(chart, plan.strands[0]!, 0.5, 0, 8, 0.04);
  const preparer = new LinePreparer({ id: "profiler-1", kind: "profiler", points: 200, x0Mm: -5, dxMm: 0.05, sigmaZMm: 0.01, surfaceBiasMm: null, clockOffsetS: null }, { cellMm: chart.cellMm, jumpMm: 0.125, narrowestMm: 1 });
  const drift = new DriftFollower();
  for (let i = 0; i < c.count; i++) {
    const x = (0.2 * i) % 8;
    const raised: Ground = (px, y) => GROUND(px, y) + c.offset(i) + (c.tilt ?? 0) * y + (c.bead === true && Math.abs(y) < 0.5 ? 0.5 : 0);
    drift.follow(preparer.prepare(profileOver(raised, x, { tS: 1 + 0.03 * i, noise })), [chart], 1 + 0.03 * i);
  }
  return { drift, chart };
}

describe("DriftFollower", () => {
  it("recovers an offset of 0.040 mm and a tilt of 1 µm per mm to 2 µm and 0.3 µm/mm after 40 profiles, σ 0.01 mm (seed 61)", () => {
    const { drift } = followed({ count: 40, offset: () => 0.04, tilt: 0.001 });
    expect(Math.abs(drift.offsetMm - 0.04)).toBeLessThan(0.002);
    expect(Math.abs(drift.tilt - 0.001)).toBeLessThan(0.0003);
  });

  it("a bead laid since does not pull it: −0.025 mm to 2 µm with 0.5 mm of paste in the middle", () => {
    expect(Math.abs(followed({ count: 40, offset: () => -0.025, bead: true }).drift.offsetMm + 0.025)).toBeLessThan(0.002);
  });

  it("follows 0.4 µm a profile without lagging: within 2.5 µm after 150 profiles", () => {
    expect(Math.abs(followed({ count: 150, offset: (i) => 0.0004 * i }).drift.offsetMm - 0.0004 * 149)).toBeLessThan(0.0025);
  });

  it("its stated standard deviation is honest: errors over 40 seeds within 2 of it at 85 % or more", () => {
    let within = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const { drift } = followed({ count: 25, offset: () => 0.02, seed });
      if (Math.abs(drift.offsetMm - 0.02) <= 2 * Math.sqrt(drift.varianceAt(0))) within++;
    }
    expect(within / 40).toBeGreaterThanOrEqual(0.85);
  });

  it("is surer in the middle of what it sees than 15 mm aside", () => {
    const { drift } = followed({ count: 30, offset: () => 0.01 });
    expect(Math.sqrt(drift.varianceAt(0))).toBeLessThan(0.003);
    expect(drift.varianceAt(15)).toBeGreaterThan(2 * drift.varianceAt(0));
  });

  it("one wild profile, 0.3 mm off, moves it by less than 4 µm", () => {
    const { drift } = followed({ count: 41, offset: (i) => (i === 40 ? 0.33 : 0.03) });
    expect(Math.abs(drift.offsetMm - 0.03)).toBeLessThan(0.004);
  });

  it("a pose that moved at once by 0.1 mm and stays there is followed to 5 µm within 25 profiles", () => {
    const { drift } = followed({ count: 55, offset: (i) => (i < 30 ? 0.01 : 0.11) });
    expect(Math.abs(drift.offsetMm - 0.11)).toBeLessThan(0.005);
  });

  it("keeps how far the pose wandered: 0.03 mm up and down is 0.03 / √2 mm root mean square to 5 %, a still pose less than 2 µm", () => {
    expect(followed({ count: 200, offset: (i) => 0.03 * Math.sin(i / 10) }).drift.wanderMm).toBeCloseTo(0.03 / Math.SQRT2, 3);
    expect(followed({ count: 200, offset: () => 0 }).drift.wanderMm).toBeLessThan(0.002);
  });

  it("without any bare support seen it says nothing: offset and tilt 0", () => {
    const { drift } = followed({ count: 20, offset: () => 0.05, frozen: false });
    expect([drift.offsetMm, drift.tilt]).toEqual([0, 0]);
    expect(drift.varianceAt(0)).toBeGreaterThan(0);
  });
});
