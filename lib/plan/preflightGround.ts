/** All stations of a plan in one row, in the order of laying, with a grid for each layer: what the checks in space look things up in. */
import { buildPointGrid, type PointGrid } from "../kernel/pointGrid.ts";
import { segmentAt } from "../kernel/path.ts";
import type { Plan } from "../model/plan.ts";
import type { Point } from "../model/result.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { Places } from "./preflightItem.ts";

export interface Ground {
  readonly plan: Plan;
  readonly stations: StationPlan;
  readonly count: number;
  readonly xyz: Float64Array; // Float64Array[3 · station], plan points
  readonly tangent: Float64Array; // Float64Array[3 · station]
  readonly normal: Float64Array; // Float64Array[3 · station]
  readonly lateral: Float64Array; // Float64Array[3 · station]
  readonly widthMm: Float64Array; // Float64Array[station]
  readonly heightMm: Float64Array; // Float64Array[station]
  readonly sMm: Float64Array; // Float64Array[station]
  /** Place in `stations.strands`. */
  readonly strandOf: Int32Array; // Int32Array[station]
  /** Path laid and time of laying until the nozzle stands there, without the moves between strands. */
  readonly pathMm: Float64Array; // Float64Array[station]
  readonly timeS: Float64Array; // Float64Array[station]
  /** First station of each strand, and one beyond the last. */
  readonly firstOf: Int32Array; // Int32Array[strand + 1]
  readonly layers: readonly GroundLayer[];
  readonly widestMm: number;
  readonly highestMm: number;
}

/** Stations [from, to) lie on this layer; the grid counts from `from`. */
export interface GroundLayer { readonly layer: number; readonly from: number; readonly to: number; readonly grid: PointGrid }

/** Boxes of a grid, in widths of the widest bead. */
const BOX_WIDTHS = 3;

export function makeGround(plan: Plan, stations: StationPlan): Ground {
  const count = stations.stationCount;
  const per = (k: number): Float64Array => new Float64Array(k * count);
  const flat = { xyz: per(3), tangent: per(3), normal: per(3), lateral: per(3), widthMm: per(1), heightMm: per(1), sMm: per(1), pathMm: per(1), timeS: per(1), strandOf: new Int32Array(count) };
  const firstOf = new Int32Array(stations.strands.length + 1);
  let at = 0, pathMm = 0, timeS = 0;
  stations.strands.forEach((strand, which) => {
    firstOf[which] = at;
    const planned = plan.strands[which] as Plan["strands"][number];
    const until = timeAlong(planned);
    for (let i = 0; i < strand.count; i++, at++) {
      const f = 12 * i;
      flat.xyz.set(strand.frames.subarray(f, f + 3), 3 * at);
      flat.tangent.set(strand.frames.subarray(f + 3, f + 6), 3 * at);
      flat.normal.set(strand.frames.subarray(f + 6, f + 9), 3 * at);
      flat.lateral.set(strand.frames.subarray(f + 9, f + 12), 3 * at);
      flat.widthMm[at] = strand.widthMm[i] as number;
      flat.heightMm[at] = strand.heightMm[i] as number;
      flat.sMm[at] = strand.sMm[i] as number;
      flat.strandOf[at] = which;
      flat.pathMm[at] = pathMm + (strand.sMm[i] as number);
      flat.timeS[at] = timeS + until(strand.sMm[i] as number);
    }
    pathMm += strand.lengthMm;
    timeS += until(strand.lengthMm);
  });
  firstOf[stations.strands.length] = at;
  const widestMm = flat.widthMm.reduce((a, b) => Math.max(a, b), 0), highestMm = flat.heightMm.reduce((a, b) => Math.max(a, b), 0);
  return { plan, stations, count, ...flat, firstOf, layers: layersOf(stations, firstOf, flat.xyz, BOX_WIDTHS * widestMm), widestMm, highestMm };
}

function layersOf(stations: StationPlan, firstOf: Int32Array, xyz: Float64Array, cellMm: number): GroundLayer[] {
  const layers: GroundLayer[] = [];
  for (let which = 0; which < stations.strands.length;) {
    const { layer } = stations.strands[which] as StrandStations;
    const from = firstOf[which] as number;
    while (which < stations.strands.length && stations.strands[which]?.layer === layer) which++;
    const to = firstOf[which] as number;
    layers.push({ layer, from, to, grid: buildPointGrid(xyz.subarray(3 * from, 3 * to), to - from, cellMm) });
  }
  return layers;
}

/** Seconds from a strand's start to arc length s. */
function timeAlong(strand: Plan["strands"][number]): (sMm: number) => number {
  const { arcMm, speedMmS, pointCount } = strand;
  const sumS = new Float64Array(pointCount);
  for (let i = 1; i < pointCount; i++) sumS[i] = (sumS[i - 1] as number) + ((arcMm[i] as number) - (arcMm[i - 1] as number)) / (speedMmS[i - 1] as number);
  return (sMm) => {
    const i = segmentAt(arcMm, sMm);
    return (sumS[i] as number) + (sMm - (arcMm[i] as number)) / (speedMmS[i] as number);
  };
}

export function pointOf(ground: Ground, station: number): Point {
  return [ground.xyz[3 * station] as number, ground.xyz[3 * station + 1] as number, ground.xyz[3 * station + 2] as number];
}

export function tripleOf(packed: Float64Array, i: number): readonly [number, number, number] {
  return [packed[3 * i] as number, packed[3 * i + 1] as number, packed[3 * i + 2] as number];
}

/** The strand's stations as places, each reaching half-way to its neighbours. */
export function stationPlaces(ground: Ground, which: number): Places {
  const strand = ground.stations.strands[which] as StrandStations;
  const first = ground.firstOf[which] as number;
  const edgesMm = new Float64Array(strand.count + 1);
  for (let i = 1; i < strand.count; i++) edgesMm[i] = ((strand.sMm[i - 1] as number) + (strand.sMm[i] as number)) / 2;
  edgesMm[strand.count] = strand.lengthMm;
  return { layer: strand.layer, strand: strand.strand, count: strand.count, edgesMm, sMm: strand.sMm, pointAt: (i) => pointOf(ground, first + i) };
}
