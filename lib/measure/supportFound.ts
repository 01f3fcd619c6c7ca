/** The support as found: the frozen map of the target against the planned base of layer 1, and whether that layer may be begun on it. */
import { FRAME_LENGTH, frameAt } from "../kernel/path.ts";
import { dot, sub, type Vec3 } from "../kernel/vec.ts";
import type { Range } from "../model/job.ts";
import type { StrandStations } from "../model/stations.ts";
import type { NoGo, SupportFound, SupportMap, SupportWorst } from "../model/supportFound.ts";
import { mapHeight, type Chart, type ChartSet } from "./chart.ts";
import { nearestStation } from "./footprint.ts";

/** Cells of a map at most. */
const MOST_CELLS = 20_000;
/** A cell is looked at this often along each side. */
const LOOKS = 3;
/** More than this share of what was seen outside the band is no go (common practice, no source). */
export const OUTSIDE_FRACTION = 0.01;

export interface SupportRules {
  /** Act limits of the height of a planned bead, as deviations from it. */
  readonly heightActAt: (widthMm: number, heightMm: number) => Range;
  /** Least share of the footprint that has to be seen. */
  readonly minSeenFraction: number;
  readonly spacingMm: number;
}

/** What is gathered of one map's cell: over the footprint and all, and the place nearest to its middle. */
interface Cells {
  readonly chart: Chart;
  readonly cellMm: number;
  readonly u0: number; readonly v0: number;
  readonly nu: number; readonly nv: number;
  readonly sum: Float64Array; readonly count: Int32Array; // [cell], whole map
  readonly footSum: Float64Array; readonly footCount: Int32Array; // [cell], under the beads
  readonly strand: Int32Array; readonly sMm: Float64Array; // [cell], a place of the footprint in it; −1 none
  footTried: number;
}

/** From the charts' frozen support; `strands` are those of layer 1. */
export function findSupport(charts: ChartSet, strands: readonly StrandStations[], rules: SupportRules): SupportFound {
  const maps = charts.charts.flatMap((chart, which) => {
    const own = strands.filter((s) => charts.ofStrand[s.index] === which);
    if (own.length === 0) return [];
    const cells = makeCells(chart, own);
    for (const strand of own) gather(cells, strand, rules.spacingMm);
    return [{ cells, own }];
  });
  return { maps: maps.map(({ cells, own }) => mapOf(cells, own)), ...judge(maps.map((m) => m.cells), strands, rules) };
}

function uvOf(chart: Chart, p: Vec3): readonly [number, number] {
  const from = sub(p, chart.origin);
  return [dot(from, chart.u), dot(from, chart.v)];
}

function pointOf(strand: StrandStations, i: number): Vec3 {
  return [strand.frames[12 * i] as number, strand.frames[12 * i + 1] as number, strand.frames[12 * i + 2] as number];
}

/** How far beside a centre line the map reaches: half a bead and a bead more. */
const REACH_WIDTHS = 1.5;

function makeCells(chart: Chart, strands: readonly StrandStations[]): Cells {
  const low: [number, number] = [Infinity, Infinity], high: [number, number] = [-Infinity, -Infinity];
  let widest = 0;
  for (const strand of strands) {
    for (let i = 0; i < strand.count; i++) {
      const [u, v] = uvOf(chart, pointOf(strand, i));
      [low[0], low[1], high[0], high[1]] = [Math.min(low[0], u), Math.min(low[1], v), Math.max(high[0], u), Math.max(high[1], v)];
      widest = Math.max(widest, strand.widthMm[i] as number);
    }
  }
  const reach = REACH_WIDTHS * widest, wide = high[0] - low[0] + 2 * reach, tall = high[1] - low[1] + 2 * reach;
  let cellMm = Math.max(chart.cellMm, Math.sqrt(wide * tall / MOST_CELLS));
  while (Math.ceil(wide / cellMm) * Math.ceil(tall / cellMm) > MOST_CELLS) cellMm *= 1.01;
  const nu = Math.ceil(wide / cellMm), nv = Math.ceil(tall / cellMm), n = nu * nv;
  return {
    chart, cellMm, u0: low[0] - reach, v0: low[1] - reach, nu, nv, sum: new Float64Array(n), count: new Int32Array(n), footSum: new Float64Array(n), footCount: new Int32Array(n),
    strand: new Int32Array(n).fill(-1), sMm: new Float64Array(n), footTried: 0,
  };
}

const frame = new Float64Array(FRAME_LENGTH);

/** Looks at the target along the planned normals, on a raster over the strand and what lies nearer to it than to its neighbours. */
function gather(cells: Cells, strand: StrandStations, spacingMm: number): void {
  const step = cells.cellMm / LOOKS;
  const beyond = strand.path.closed ? 0 : strand.widthMm[0] as number;
  for (let s = -beyond + step / 2; s < strand.lengthMm + beyond; s += step) {
    const at = nearestStation(strand, s, spacingMm), w = strand.widthMm[at] as number;
    frameAt(strand.path, s, w / 2, frame);
    const right = Math.min(REACH_WIDTHS * w, strand.halfWayRightMm[at] as number), left = Math.min(REACH_WIDTHS * w, strand.halfWayLeftMm[at] as number);
    const isOn = s >= 0 && s <= strand.lengthMm;
    for (let b = -right + step / 2; b < left; b += step) look(cells, strand, { at, sMm: s, bMm: b, isFoot: isOn && Math.abs(b) <= w / 2 });
  }
}

function look(cells: Cells, strand: StrandStations, place: { at: number; sMm: number; bMm: number; isFoot: boolean }): void {
  const { chart } = cells, { bMm, at } = place;
  const n: Vec3 = [frame[6] as number, frame[7] as number, frame[8] as number];
  const up = (strand.acrossCurvature[at] as number) * bMm * bMm / 2 - (strand.heightMm[at] as number);
  const base = [0, 1, 2].map((k) => (frame[k] as number) + bMm * (frame[9 + k] as number) + up * (n[k] as number)) as unknown as Vec3;
  const over = overMm(chart, base, n);
  if (place.isFoot) cells.footTried++;
  if (over !== over) return;
  const [u, v] = uvOf(chart, base);
  const iu = Math.floor((u - cells.u0) / cells.cellMm), iv = Math.floor((v - cells.v0) / cells.cellMm);
  if (iu < 0 || iv < 0 || iu >= cells.nu || iv >= cells.nv) return;
  const cell = iv * cells.nu + iu;
  cells.sum[cell]! += over;
  cells.count[cell]!++;
  if (!place.isFoot) return;
  cells.footSum[cell]! += over;
  cells.footCount[cell]!++;
  if (cells.strand[cell] === -1) [cells.strand[cell], cells.sMm[cell]] = [strand.index, place.sMm];
}

/** How far the frozen map lies over a point along a direction, by a few Newton steps; NaN where it was not seen. */
function overMm(chart: Chart, base: Vec3, n: Vec3): number {
  const from = sub(base, chart.origin), nd = dot(n, chart.d);
  if (nd < 0.2) return Number.NaN; // the chart looks along the surface
  const u = dot(from, chart.u), v = dot(from, chart.v), d = dot(from, chart.d), nu = dot(n, chart.u), nv = dot(n, chart.v);
  let over = 0;
  for (let step = 0; step < 6; step++) {
    const miss = mapHeight(chart, chart.support, u + over * nu, v + over * nv) - (d + over * nd);
    if (miss !== miss) return Number.NaN;
    over += miss / nd;
    if (Math.abs(miss) < 1e-4) break;
  }
  return over;
}

function mapOf(cells: Cells, strands: readonly StrandStations[]): SupportMap {
  const { chart, cellMm, nu, nv, u0, v0, sum, count } = cells;
  return {
    cellMm, nu, nv, overUm: Array.from(count, (n, cell) => (n === 0 ? null : Math.round(1000 * (sum[cell] as number) / n))),
    strands: strands.map((strand) => ({
      strand: strand.strand,
      uvMm: Array.from({ length: strand.count }, (_, i) => uvOf(chart, pointOf(strand, i))).flatMap(([u, v]) => [micron(u - u0), micron(v - v0)]),
    })),
  };
}

function micron(mm: number): number {
  return Math.round(1000 * mm) / 1000 + 0;
}

type Numbers = Omit<SupportFound, "maps">;

/** Cell means of the footprint against the band; the place that leaves it furthest is the worst. */
function judge(maps: readonly Cells[], strands: readonly StrandStations[], rules: SupportRules): Numbers {
  const means: number[] = [];
  let sum = 0, seen = 0, outside = 0, tried = 0, worstShare = -Infinity;
  let worst: SupportWorst | null = null;
  for (const cells of maps) {
    tried += cells.footTried;
    for (let cell = 0; cell < cells.footCount.length; cell++) {
      const n = cells.footCount[cell] as number;
      if (n === 0) continue;
      const mean = (cells.footSum[cell] as number) / n;
      means.push(mean);
      sum += cells.footSum[cell] as number;
      seen += n;
      const strand = strands.find((s) => s.index === cells.strand[cell]) as StrandStations, sMm = cells.sMm[cell] as number;
      const at = nearestStation(strand, sMm, rules.spacingMm), [low, high] = bandAt(rules, strand, at);
      const limitMm = mean < 0 ? low : high, share = mean / limitMm;
      if (share > 1) outside += n;
      if (share > worstShare) {
        worstShare = share;
        const p = pointOf(strand, at);
        worst = { strand: strand.strand, sMm: micron(sMm), position: [micron(p[0]), micron(p[1]), micron(p[2])], overMm: micron(mean), limitMm: micron(limitMm) };
      }
    }
  }
  means.sort((a, b) => a - b);
  const quantile = (share: number): number | null => (means.length === 0 ? null : micron(means[Math.round(share * (means.length - 1))] as number));
  const seenFraction = tried === 0 ? 0 : seen / tried, outsideFraction = seen === 0 ? 0 : outside / seen;
  const because: NoGo[] = [...(seenFraction < rules.minSeenFraction ? ["notSeen" as const] : []), ...(outsideFraction > OUTSIDE_FRACTION ? ["outside" as const] : [])];
  return {
    meanMm: seen === 0 ? null : micron(sum / seen), p5Mm: quantile(0.05), p95Mm: quantile(0.95), worst, seenFraction: micron(seenFraction), outsideFraction: micron(outsideFraction),
    bandMm: tightest(strands, rules), limits: { seenFraction: rules.minSeenFraction, outsideFraction: OUTSIDE_FRACTION }, go: because.length === 0, because,
  };
}

/** The height's act limits turned round: a target too high by d leaves the bead d too low. */
function bandAt(rules: SupportRules, strand: StrandStations, at: number): Range {
  const act = rules.heightActAt(strand.widthMm[at] as number, strand.heightMm[at] as number);
  return [-act[1], -act[0]];
}

function tightest(strands: readonly StrandStations[], rules: SupportRules): Range {
  let low = -Infinity, high = Infinity;
  for (const strand of strands) {
    for (let at = 0; at < strand.count; at++) {
      const band = bandAt(rules, strand, at);
      [low, high] = [Math.max(low, band[0]), Math.min(high, band[1])];
    }
  }
  return [micron(low), micron(high)];
}
