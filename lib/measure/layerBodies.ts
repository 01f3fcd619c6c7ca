/** Bodies off the path of a layer, over the maps that its strands lie on. */
import type { Body } from "../model/body.ts";
import type { StrandStations } from "../model/stations.ts";
import { findBodies, type BodySearch } from "./bodies.ts";
import type { Chart } from "./chart.ts";
import { markFollowedBeads } from "./footprint.ts";

export interface StrandOnChart {
  readonly strand: StrandStations;
  readonly chart: Chart;
  readonly flanks: Float64Array; // Float64Array[2 · station], [right, left], NaN where not seen
}

/** Marks beads that left their window as no bodies, and looks for what is left. */
export function findLayerBodies(strands: readonly StrandOnChart[], search: BodySearch): Body[] {
  for (const { strand, chart, flanks } of strands) markFollowedBeads(chart, strand, flanks);
  return [...new Set(strands.map(({ chart }) => chart))].flatMap((chart) => findBodies(chart, search));
}

/** What `look` gives, with the charts' marks as they were before: the drift goes by them. */
export function withMarksKept<T>(charts: readonly Chart[], look: () => T): T {
  const kept = charts.map(({ mark }) => mark.slice());
  const seen = look();
  charts.forEach(({ mark }, i) => mark.set(kept[i] as typeof mark));
  return seen;
}
