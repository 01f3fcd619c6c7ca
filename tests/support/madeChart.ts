import { buildCharts, type Chart } from "../../lib/measure/chart.ts";
import { MapFiller } from "../../lib/measure/fill.ts";
import { LinePreparer } from "../../lib/measure/line.ts";
import type { StationPlan } from "../../lib/model/stations.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan, type MadeStrand } from "./madePlan.ts";
import { PROFILER, profileOver, type Ground } from "./madeScene.ts";

export interface MadeChart { readonly plan: StationPlan; readonly chart: Chart }

/** The single chart of some strands (one straight one of 8 mm along x where none are given). */
export function madeChart(strands: readonly MadeStrand[] = [{ strand: 1, points: [[0, 0, 0.5], [8, 0, 0.5]] }], pitchMm = PROFILER.dxMm): MadeChart {
  const plan = buildStations(madePlan(strands), 0.5);
  return { plan, chart: buildCharts(plan, pitchMm).charts[0]! };
}

/** The scan lines lie a little off the chart's grid, as any real one does. */
const LINE_Y_MM = 0.017;

/** Scans the ground from plan x `fromMm` to `toMm` every `stepMm` into the chart's newest tops. */
export function scanInto(chart: Chart, ground: Ground, scan: { fromMm: number; toMm: number; stepMm: number; noise?: () => number; gapMm?: number; jumpMm?: number; offsetMm?: number }): void {
  const preparer = new LinePreparer(PROFILER, { cellMm: chart.cellMm, jumpMm: 0.125, narrowestMm: 1 });
  const filler = new MapFiller(chart, scan.gapMm ?? 1, scan.jumpMm ?? 0.15);
  for (let i = 0; scan.fromMm + i * scan.stepMm <= scan.toMm + 1e-9; i++) {
    const x = scan.fromMm + i * scan.stepMm;
    if (filler.place(preparer.prepare(profileOver(ground, x, { seq: i, yMm: LINE_Y_MM, ...(scan.noise === undefined ? {} : { noise: scan.noise }) })), scan.offsetMm ?? 0, 0)) filler.write();
  }
}

/** Height over plan z = 0 of a map at plan (x, y), by the chart's own axes; the chart must look straight down. */
export function cellAt(chart: Chart, xMm: number, yMm: number): { cell: number; uMm: number; vMm: number } {
  const along = (axis: readonly [number, number, number]): number => (xMm - chart.origin[0]) * axis[0] + (yMm - chart.origin[1]) * axis[1];
  const uMm = along(chart.u), vMm = along(chart.v);
  return { cell: Math.floor(vMm / chart.cellMm) * chart.nu + Math.floor(uMm / chart.cellMm), uMm, vMm };
}
