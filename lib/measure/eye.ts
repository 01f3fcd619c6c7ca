import type { Profiler } from "../model/job.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { Chart } from "./chart.ts";
import { DriftFollower } from "./drift.ts";
import { MapFiller } from "./fill.ts";
import { LinePreparer } from "./line.ts";
import { PassJoiner } from "./passes.ts";
import type { Sections } from "./section.ts";
import { passGapMm } from "./settings.ts";

/** One profiler and what follows it. */
export interface Eye {
  readonly device: Profiler;
  readonly preparer: LinePreparer;
  readonly drift: DriftFollower;
  readonly fillers: readonly MapFiller[];
  readonly joiner: PassJoiner;
  ordinal: number;
}

/** Follows one profiler; `finished` is handed each station's section once a pass has gone by it. */
export function makeEye(device: Profiler, plan: StationPlan, charts: readonly Chart[], finished: (sections: Sections, station: number) => void): Eye {
  const least = (of: (s: StrandStations) => Float64Array): number => Math.min(...plan.strands.map((s) => of(s).reduce((a, b) => Math.min(a, b))));
  const height = least((s) => s.heightMm), width = least((s) => s.widthMm);
  const cellMm = Math.min(...charts.map((c) => c.cellMm));
  return {
    device,
    preparer: new LinePreparer(device, { cellMm, jumpMm: 0.25 * height, narrowestMm: width }),
    drift: new DriftFollower(),
    fillers: charts.map((chart) => new MapFiller(chart, passGapMm(plan.spacingMm), 0.3 * height)),
    joiner: new PassJoiner(plan.spacingMm, finished),
    ordinal: 0,
  };
}
