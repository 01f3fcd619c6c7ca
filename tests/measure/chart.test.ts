import { describe, expect, it } from "vitest";
import { buildCharts, freezeSupport, IN_WINDOW, mapHeight, NEAR_BEAD, OLD_PASTE } from "../../lib/measure/chart.ts";
import { sheetNode } from "../../lib/measure/sheet.ts";
import { cross, dot, norm } from "../../lib/kernel/vec.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan, type MadeStrand } from "../support/madePlan.ts";
import { cellAt, madeChart } from "../support/madeChart.ts";
import type { Triple } from "../support/madePath.ts";

const near = (values: readonly number[], digits = 9): unknown[] => values.map((v) => expect.closeTo(v, digits));

describe("a chart", () => {
  const { chart } = madeChart([{ strand: 1, points: [[2, 1, 0.5], [10, 1, 0.5]] }, { strand: 2, points: [[2, 4, 0.5], [9, 4, 0.5]] }]);

  it("looks along the mean normal, v along the first strand, right-handed and orthonormal", () => {
    expect([...chart.d]).toEqual(near([0, 0, 1]));
    expect([...chart.v]).toEqual(near([1, 0, 0]));
    expect([...cross(chart.u, chart.v)]).toEqual(near([...chart.d]));
    expect([norm(chart.u), dot(chart.u, chart.d)]).toEqual(near([1, 0]));
  });

  it("reaches 6.5 mm beyond the strands: 8 + 13 by 3 + 13 mm, cells the sensor's pitch of 0.05 mm or a twenty-fourth of the bead, the larger", () => {
    expect(Math.abs(chart.nv * chart.cellMm - 21)).toBeLessThan(chart.cellMm);
    expect(Math.abs(chart.nu * chart.cellMm - 16)).toBeLessThan(chart.cellMm);
    expect(chart.cellMm).toBeCloseTo(0.05, 12);
    expect(madeChart(undefined, 0.01).chart.cellMm).toBeCloseTo(1 / 24, 12);
  });

  it("holds at most 8 million cells, however fine the sensor and long the plan", () => {
    const { chart: large } = madeChart([{ strand: 1, points: [[0, 0, 0.5], [250, 0, 0.5]] }, { strand: 2, points: [[0, 200, 0.5], [250, 200, 0.5]] }], 0.01);
    expect(large.nu * large.nv).toBeLessThan(8.1e6);
    expect(large.cellMm).toBeGreaterThan(0.05);
  });

  it("knows nothing at first: tops and supports are NaN, not 0", () => {
    expect([chart.top, chart.support, chart.supportBefore].every((map) => map.every(Number.isNaN))).toBe(true);
  });

  it("its sheet is the planned base: 0 mm under tops of 0.5 mm, without slope", () => {
    const node = sheetNode(chart.sheet, 10, 8);
    const baseMm = chart.origin[2] + chart.sheet.heightMm[node]!;
    expect([baseMm, chart.sheet.slopeU[node], chart.sheet.slopeV[node]]).toEqual(near([0, 0, 0], 5));
  });
});

describe("plans that go round a target", () => {
  /** Strands along the axis of a cylinder of 20 mm, at angles in degrees from z. */
  const around = (...degrees: number[]): MadeStrand[] => degrees.map((deg, i): MadeStrand => {
    const a = deg * Math.PI / 180, p = (y: number): Triple => [20.5 * Math.sin(a), y, 20.5 * Math.cos(a)];
    return { strand: i + 1, points: [p(0), p(9)], normals: [Math.sin(a), 0, Math.cos(a)] };
  });
  const setOf = (...degrees: number[]) => buildCharts(buildStations(madePlan(around(...degrees)), 0.5), 0.05);

  it("have one chart for normals within 50°, another beyond: strands at 0°, 40°, 49° against 0°, 51°, 100°", () => {
    expect([setOf(0, 40, 49).charts.length, [...setOf(0, 40, 49).ofStrand]]).toEqual([1, [0, 0, 0]]);
    expect([setOf(0, 51, 100).charts.length, [...setOf(0, 51, 100).ofStrand]]).toEqual([2, [0, 1, 1]]);
  });

  it("a sheet over strands 3° apart on a cylinder of 20 mm lies on it to 15 µm between them, and slopes as it does to 0.02", () => {
    const { charts: [chart] } = setOf(-12, -9, -6, -3, 0, 3, 6, 9, 12);
    const c = chart!;
    for (const deg of [-10, -4.5, 1, 7.4]) {
      const a = deg * Math.PI / 180;
      const p: Triple = [20 * Math.sin(a), 4, 20 * Math.cos(a)];
      const rel: Triple = [p[0] - c.origin[0], p[1] - c.origin[1], p[2] - c.origin[2]];
      const node = sheetNode(c.sheet, dot(rel, c.u), dot(rel, c.v));
      // the node is up to half a step away: carry its height along its slope
      const nu = node % c.sheet.nu * c.sheet.stepMm, nv = Math.floor(node / c.sheet.nu) * c.sheet.stepMm;
      const height = c.sheet.heightMm[node]! + c.sheet.slopeU[node]! * (dot(rel, c.u) - nu) + c.sheet.slopeV[node]! * (dot(rel, c.v) - nv);
      expect(Math.abs(height - dot(rel, c.d)), `${deg}°`).toBeLessThan(0.015);
    }
  });
});

describe("mapHeight", () => {
  const { chart } = madeChart();
  const at = (x: number, y: number): [number, number] => { const { uMm, vMm } = cellAt(chart, x, y); return [uMm, vMm]; };
  for (let v = 0; v < chart.nv; v++) for (let u = 0; u < chart.nu; u++) chart.top[v * chart.nu + u] = 0.3 + 0.02 * (u + 0.5) * chart.cellMm - 0.05 * (v + 0.5) * chart.cellMm;

  it("is exact on a plane between the cells' centres, to float32", () => {
    for (const [u, v] of [at(1.234, 0.567), at(4.01, -2.22)]) expect(mapHeight(chart, chart.top, u, v)).toBeCloseTo(0.3 + 0.02 * u - 0.05 * v, 5);
  });

  it("with one of four cells unseen it is the weighted mean of the others; with less than half the weight seen, NaN", () => {
    const map = new Float32Array(chart.top.length).fill(Number.NaN);
    const cell = 40 * chart.nu + 30, c = chart.cellMm;
    map[cell] = 0.2; map[cell + 1] = 0.4; map[cell + chart.nu] = 0.6;
    expect(mapHeight(chart, map, 30.75 * c, 40.75 * c)).toBeCloseTo((0.5625 * 0.2 + 0.1875 * 0.4 + 0.1875 * 0.6) / 0.9375, 6);
    expect(mapHeight(chart, map, 31.35 * c, 41.35 * c)).toBeNaN(); // the unseen cell has 0.85² of the weight
  });

  it("beyond the map is NaN", () => {
    for (const [u, v] of [[-1, 3], [3, -1], [1e4, 3], [3, 1e4]] as const) expect(mapHeight(chart, chart.top, u, v)).toBeNaN();
  });
});

describe("a layer begins", () => {
  it("what was seen is frozen as its support, the one before is kept, tops stay, and of the marks only that paste lies there", () => {
    const { chart } = madeChart();
    chart.top[7] = 0.25; chart.seen[7] = 2; chart.mark[7] = IN_WINDOW | NEAR_BEAD; chart.mark[8] = IN_WINDOW; chart.support[7] = 0.11;
    freezeSupport(chart);
    expect([chart.support[7], chart.supportBefore[7], chart.supportSeen[7], chart.mark[7], chart.mark[8], chart.top[7]]).toEqual([0.25, expect.closeTo(0.11, 6), 2, OLD_PASTE, 0, 0.25]);
    freezeSupport(chart);
    expect(chart.mark[7]).toBe(OLD_PASTE);
  });
});
