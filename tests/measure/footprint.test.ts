import { describe, expect, it } from "vitest";
import { freezeSupport, IN_WINDOW, NEAR_BEAD, type Chart } from "../../lib/measure/chart.ts";
import { isCovered, markFollowedBeads, markLaid, nearestStation, reopenStretch } from "../../lib/measure/footprint.ts";
import { cellAt, madeChart, scanInto } from "../support/madeChart.ts";

const SCAN = { fromMm: -1, toMm: 9, stepMm: 0.2 };
const markAt = (chart: Chart, x: number, y: number): number => chart.mark[cellAt(chart, x, y).cell]!;
const heightAt = (chart: Chart, map: Float32Array, x: number, y: number): number => map[cellAt(chart, x, y).cell]! + chart.origin[2];

describe("nearestStation", () => {
  const { plan } = madeChart([{ strand: 1, points: [[0, 0, 0.5], [4.2, 0, 0.5]] }]); // stations 0, 0.5 … 4.0, 4.2 mm
  it.each([[-3, 0], [0.24, 0], [0.26, 1], [2.1, 4], [3.9, 8], [4.09, 8], [4.11, 9], [4.2, 9], [50, 9]])("of s %d mm is %d", (s, station) => {
    expect(nearestStation(plan.strands[0]!, s, 0.5)).toBe(station);
  });
});

describe("a laid stretch (bead 1.0 mm, window ± 0.8 mm)", () => {
  it("marks its window and 0.8 w as near, from 2 to 5 mm and nowhere else", () => {
    const { chart, plan } = madeChart();
    markLaid(chart, plan.strands[0]!, 0.5, 2, 5, 0.04);
    for (const y of [-0.75, -0.3, 0, 0.4, 0.75]) expect(markAt(chart, 3.3, y)).toBe(IN_WINDOW | NEAR_BEAD);
    for (const [x, y] of [[3.3, 0.9], [3.3, -0.9], [1.85, 0], [5.15, 0]] as const) expect(markAt(chart, x, y)).toBe(0);
  });

  it("at the strand's own ends its paste may reach 0.3 mm on and is no stray", () => {
    const { chart, plan } = madeChart();
    markLaid(chart, plan.strands[0]!, 0.5, 0, 8, 0.04);
    expect([markAt(chart, -0.2, 0), markAt(chart, 8.2, 0), markAt(chart, -0.45, 0), markAt(chart, 8.45, 0)]).toEqual([3, 3, 0, 0]);
  });

  it("forgets the tops under the bead and keeps those beside it; its support keeps what was last seen bare", () => {
    const { chart, plan } = madeChart();
    scanInto(chart, () => 0.1, SCAN);
    freezeSupport(chart);
    scanInto(chart, () => 0.13, SCAN); // seen again 0.03 mm higher, still bare
    markLaid(chart, plan.strands[0]!, 0.5, 2, 5, 0.04);
    expect(chart.top[cellAt(chart, 3.1, 0.3).cell]).toBeNaN();
    // 0.1 and 0.13 agree within 0.04 mm: the mean of both sightings
    expect(heightAt(chart, chart.top, 3.1, 0.7)).toBeCloseTo(0.115, 4);
    expect(heightAt(chart, chart.support, 3.1, 0.3)).toBeCloseTo(0.115, 4);
    expect(heightAt(chart, chart.support, 6.5, 0.3)).toBeCloseTo(0.1, 4);
  });

  it("a last look that differs by more than the noise allows (0.2 mm against 0.04 mm) does not count", () => {
    const { chart, plan } = madeChart();
    scanInto(chart, () => 0.1, SCAN);
    freezeSupport(chart);
    scanInto(chart, () => 0.3, SCAN);
    markLaid(chart, plan.strands[0]!, 0.5, 2, 5, 0.04);
    expect(heightAt(chart, chart.support, 3.1, 0.3)).toBeCloseTo(0.1, 4);
  });

  it("a support never seen before the layer began takes what was seen bare since", () => {
    const { chart, plan } = madeChart();
    freezeSupport(chart);
    scanInto(chart, () => 0.07, SCAN);
    markLaid(chart, plan.strands[0]!, 0.5, 2, 5, 0.04);
    expect(heightAt(chart, chart.support, 3.1, 0.3)).toBeCloseTo(0.07, 4);
    expect(chart.support[cellAt(chart, 6.5, 0.3).cell]).toBeNaN();
  });
});

describe("a stretch taken off", () => {
  it("is bare and unknown where it was wiped, then stands on what is seen after: 0.12 mm from 2 to 5 mm, 0 mm elsewhere", () => {
    const { chart, plan } = madeChart();
    const strand = plan.strands[0]!;
    scanInto(chart, () => 0, SCAN);
    freezeSupport(chart);
    markLaid(chart, strand, 0.5, 0, 8, 0.04);
    scanInto(chart, (_x, y) => (Math.abs(y) < 0.5 ? 0.5 : 0), SCAN);
    reopenStretch(chart, strand, 0.5, 2, 5, "wipe");
    expect([markAt(chart, 3.3, 0), chart.top[cellAt(chart, 3.3, 0).cell], markAt(chart, 6, 0)]).toEqual([0, Number.NaN, 3]);
    scanInto(chart, (x, y) => (Math.abs(y) < 0.5 ? (x > 2 && x < 5 ? 0.12 : 0.5) : 0), SCAN);
    reopenStretch(chart, strand, 0.5, 2, 5, "reseat");
    expect(heightAt(chart, chart.support, 3.3, 0.2)).toBeCloseTo(0.12, 3);
    expect(heightAt(chart, chart.support, 6.5, 0.2)).toBeCloseTo(0, 3);
  });

  it("what still stands over half a bead high there (0.5 mm, a stump) is no support", () => {
    const { chart, plan } = madeChart();
    scanInto(chart, () => 0, SCAN);
    freezeSupport(chart);
    scanInto(chart, (x) => (x < 3 ? 0.5 : 0.2), SCAN);
    reopenStretch(chart, plan.strands[0]!, 0.5, 2, 5, "reseat");
    expect(heightAt(chart, chart.support, 2.4, 0.2)).toBeCloseTo(0, 3);
    expect(heightAt(chart, chart.support, 4.2, 0.2)).toBeCloseTo(0.2, 3);
  });
});

describe("followed beads", () => {
  const marked = (right: number, left: number): number => {
    const { chart, plan } = madeChart();
    const strand = plan.strands[0]!;
    const flanks = new Float64Array(2 * strand.count).fill(Number.NaN);
    flanks[2 * 8] = right; flanks[2 * 8 + 1] = left; // station 8, s 4.0 mm
    markFollowedBeads(chart, strand, flanks);
    return markAt(chart, 4.1, (right + left) / 2);
  };
  it("one that left its window (0.5–1.5 mm) is no stray; one inside needs no mark; one of 1.7 widths is no bead", () => {
    expect([marked(0.5, 1.5), marked(-0.3, 0.7), marked(-0.3, 1.4)]).toEqual([IN_WINDOW | NEAR_BEAD, 0, 0]);
  });
});

describe("isCovered", () => {
  it("a station is covered where any part of its planned width bears the present layer", () => {
    const { chart, plan } = madeChart();
    const strand = plan.strands[0]!;
    expect(isCovered(chart, strand, 6)).toBe(false);
    const lay = (x: number, fromMm: number, toMm: number): void => { for (let y = fromMm; y <= toMm; y += 0.02) chart.mark[cellAt(chart, x, y).cell] = IN_WINDOW; };
    lay(3, 0.3, 0.48);
    lay(5, 0.6, 1.2);
    expect([isCovered(chart, strand, 6), isCovered(chart, strand, 10)]).toEqual([true, false]); // s 3.0 and 5.0 mm
  });
});
