/** A quantity along the run: strands one after the other by their length, thinned with every peak kept, and what it says in words. */
import { extremeRuns } from "../../../lib/kernel/extremes.ts";
import type { Sheet, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import type { Metric, MetricBand } from "./metrics.ts";

/** Points that are handed to the chart, at most. */
export const MOST_POINTS = 2000;

/** How much is shown at once. */
export const SCOPES = ["run", "layer", "strand"] as const;
export type Scope = (typeof SCOPES)[number];

/** Columns of one length, one entry a station; NaN: not there. */
export interface Series {
  /** Laid length up to the station, mm; a strand begins where the one before ends. */
  readonly xMm: Float64Array;
  readonly value: Float64Array;
  readonly low: Float64Array; // value − u
  readonly high: Float64Array; // value + u
  readonly planned: Float64Array;
  readonly watchLow: Float64Array;
  readonly watchHigh: Float64Array;
  readonly actLow: Float64Array;
  readonly actHigh: Float64Array;
  /** Where layers (of a run) or strands (of a layer) begin, with their name. */
  readonly starts: readonly { readonly xMm: number; readonly name: string }[];
  readonly endMm: number;
}

export interface Place { readonly layer: number; readonly strand: number; readonly station: number }

export function strandsOf(sheet: Pick<Sheet, "layers">, scope: Scope, place: Place): SheetStrand[] {
  const layers: readonly SheetLayer[] = scope === "run" ? sheet.layers : sheet.layers.filter((layer) => layer.layer === place.layer);
  return layers.flatMap((layer) => layer.strands).filter((strand) => scope !== "strand" || strand.strand === place.strand);
}

/** Strands follow one another; between two a NaN keeps lines from being drawn across. */
export function buildSeries(sheet: Pick<Sheet, "limits">, strands: readonly SheetStrand[], metric: Metric, scope: Scope): Series {
  const count = strands.reduce((total, strand) => total + strand.sMm.length + 1, 0);
  const column = (): Float64Array => new Float64Array(count).fill(Number.NaN);
  const series = { xMm: column(), value: column(), low: column(), high: column(), planned: column(), watchLow: column(), watchHigh: column(), actLow: column(), actHigh: column() };
  const starts: { xMm: number; name: string }[] = [];
  let at = 0, startMm = 0;
  for (const [order, strand] of strands.entries()) {
    if (scope === "layer") starts.push({ xMm: startMm, name: `strand ${strand.strand}` });
    if (scope === "run" && strands[order - 1]?.layer !== strand.layer) starts.push({ xMm: startMm, name: `layer ${strand.layer}` });
    for (let i = 0; i < strand.sMm.length; i++, at++) putStation(series, at, { sheet, strand, metric, startMm, i });
    startMm += strand.lengthMm;
    series.xMm[at++] = startMm;
  }
  return { ...series, starts, endMm: startMm };
}

type Columns = Omit<Series, "starts" | "endMm">;

function putStation(series: Columns, at: number, { sheet, strand, metric, startMm, i }: { readonly sheet: Pick<Sheet, "limits">; readonly strand: SheetStrand; readonly metric: Metric; readonly startMm: number; readonly i: number }): void {
  const value = metric.value(strand, i), u = metric.u?.(strand, i) ?? 0;
  series.xMm[at] = startMm + (strand.sMm[i] as number);
  series.value[at] = value;
  series.low[at] = value - u;
  series.high[at] = value + u;
  const planned = metric.planned?.(strand, i) ?? Number.NaN;
  series.planned[at] = planned;
  const limits = sheet.limits[strand.limits[i] as number];
  const band: MetricBand | null = limits === undefined || metric.band === null ? null : metric.band(limits, planned);
  if (band === null) return;
  [series.watchLow[at], series.watchHigh[at]] = band.watch;
  [series.actLow[at], series.actHigh[at]] = band.act;
}

export interface Point { readonly x: number; readonly y: number | null }

/** At most `MOST_POINTS` points of one column, lowest and highest of every bucket kept; a null point where a line breaks. */
export function thinnedPoints({ xMm, endMm }: Pick<Series, "xMm" | "endMm">, values: Float64Array): Point[] {
  const thin = (buckets: number): Point[] => joined(xMm, values, extremeRuns(xMm, values, { from: 0, to: values.length, step: endMm > 0 ? endMm / buckets : 1 }));
  for (let buckets = MOST_POINTS / 2; buckets >= MOST_POINTS / 16; buckets /= 2) {
    const points = thin(buckets);
    if (points.length <= MOST_POINTS) return points;
  }
  return strokes(thin(MOST_POINTS / 2));
}

function joined(xMm: Float64Array, values: Float64Array, runs: readonly (readonly number[])[]): Point[] {
  return runs.flatMap((run, r): Point[] => [
    ...(r === 0 ? [] : [{ x: xMm[run[0] as number] as number, y: null }]), ...run.map((i) => ({ x: xMm[i] as number, y: values[i] as number })),
  ]);
}

/** A line in more pieces than there may be points: groups of neighbours, each a stroke from its lowest to its highest. */
function strokes(points: readonly Point[]): Point[] {
  const there = points.filter((point) => point.y !== null);
  const group = Math.ceil(there.length / Math.floor(MOST_POINTS / 3));
  return Array.from({ length: Math.ceil(there.length / group) }, (_, g): Point[] => {
    const sorted = there.slice(g * group, (g + 1) * group).sort((a, b) => (a.y as number) - (b.y as number));
    const [low, high] = [sorted[0] as Point, sorted.at(-1) as Point];
    return [...(low === high ? [low] : [low, high].sort((a, b) => a.x - b.x)), { x: high.x, y: null }];
  }).flat();
}

/** Room beyond the act limits, as shares of their distance: always, and at most where values lie further out. */
const LEAST_ROOM = 0.18;
const MOST_ROOM = 2;

/** Lowest and highest that the chart shows: the act limits with room and the values; what lies very far out leaves the frame, so that the limits can still be told apart. */
export function yRange(series: Series): readonly [number, number] {
  const ends = (low: Float64Array, high: Float64Array): [number, number] => {
    let [least, most] = [Infinity, -Infinity];
    for (let i = 0; i < low.length; i++) {
      if ((low[i] as number) < least) least = low[i] as number;
      if ((high[i] as number) > most) most = high[i] as number;
    }
    return [least, most];
  };
  const [low, high] = ends(series.value, series.value), [actLow, actHigh] = ends(series.actLow, series.actHigh);
  const spread = actHigh - actLow;
  if (spread > 0) return [Math.max(actLow - MOST_ROOM * spread, Math.min(actLow - LEAST_ROOM * spread, low)), Math.min(actHigh + MOST_ROOM * spread, Math.max(actHigh + LEAST_ROOM * spread, high))];
  if (!(low <= high)) return [0, 1];
  const room = high > low ? (high - low) * LEAST_ROOM : Math.max(Math.abs(high) * LEAST_ROOM, 0.01);
  return [low - room, high + room];
}

/** Where `place` stands along the series; null: not in it. */
export function xOfPlace(strands: readonly SheetStrand[], place: Place): number | null {
  let startMm = 0;
  for (const strand of strands) {
    if (strand.layer === place.layer && strand.strand === place.strand) return startMm + (strand.sMm[place.station] ?? 0);
    startMm += strand.lengthMm;
  }
  return null;
}

/** The strand that `xMm` falls into and the length along it; null: outside. */
export function strandAt(strands: readonly SheetStrand[], xMm: number): { readonly strand: SheetStrand; readonly sMm: number } | null {
  let startMm = 0;
  for (const strand of strands) {
    if (xMm >= startMm && xMm <= startMm + strand.lengthMm) return { strand, sMm: xMm - startMm };
    startMm += strand.lengthMm;
  }
  return null;
}

/** The chart in words: how many values, lowest, middle and highest, and how many lie beyond the limits. */
export function seriesWords(series: Series, { label, unit, digits }: Metric): string {
  const values = series.value.filter((value) => !Number.isNaN(value)).sort();
  if (values.length === 0) return `No ${label} was measured here.`;
  const text = (value: number): string => `${value.toFixed(digits).replace("-", "−")}${unit === "" ? "" : ` ${unit}`}`;
  const beyond = (low: Float64Array, high: Float64Array): number => series.value.reduce((count, value, i) => count + Number(value < (low[i] as number) || value > (high[i] as number)), 0);
  const limited = series.actLow.some((value) => !Number.isNaN(value));
  const limits = limited ? ` ${beyond(series.watchLow, series.watchHigh)} lie beyond the watch limits, ${beyond(series.actLow, series.actHigh)} of them beyond the act limits.` : "";
  return `${label}: ${values.length} values from ${text(values[0] as number)} to ${text(values.at(-1) as number)}, the middle one ${text(values[values.length >> 1] as number)}.${limits}`;
}
