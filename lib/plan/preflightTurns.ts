/** How far the planned normal turns from one station to the next: the wrist has to follow, and the frame of a section turns with it. */
import { tripleAt, dot, type Vec3 } from "../kernel/vec.ts";
import type { StrandStations } from "../model/stations.ts";
import { found, isOver, itemsAlong, type Outcome } from "./preflightItem.ts";
import { pointOf, tripleOf, type Ground } from "./preflightGround.ts";

/** A turn a station beyond this is sharp, degrees (common practice, no source). */
const TURN_DEG = 15;

/** Turns are summed through the waypoints in between, so that a normal that goes away and comes back within a station is found. */
export function checkTurns(ground: Ground): Outcome {
  return found("normalTurns", ground.stations.strands.flatMap((strand, which) => {
    const first = ground.firstOf[which] as number;
    const turns = turnsDeg(strand, ground, first);
    const places = { layer: strand.layer, strand: strand.strand, count: strand.count - 1, edgesMm: strand.sMm, sMm: strand.sMm, pointAt: (i: number) => pointOf(ground, first + i) };
    return itemsAlong("normalTurns", places, (i) => {
      const value = turns[i] as number;
      return isOver(value, TURN_DEG) ? { value, limit: TURN_DEG, excess: value } : null;
    });
  }));
}

/** Float64Array[station − 1], degrees. */
function turnsDeg(strand: StrandStations, ground: Ground, first: number): Float64Array {
  const out = new Float64Array(strand.count - 1);
  const { arcMm, normals } = strand.path;
  let vertex = 0;
  for (let i = 0; i + 1 < strand.count; i++) {
    const end = strand.sMm[i + 1] as number;
    let last = tripleOf(ground.normal, first + i), sum = 0;
    for (; vertex < arcMm.length && (arcMm[vertex] as number) < end; vertex++) {
      if ((arcMm[vertex] as number) <= (strand.sMm[i] as number)) continue;
      const next = tripleAt(normals, vertex);
      sum += angleRad(last, next);
      last = next;
    }
    out[i] = (sum + angleRad(last, tripleOf(ground.normal, first + i + 1))) * 180 / Math.PI;
  }
  return out;
}

/** Between unit vectors, by half the chord: exact for small angles. */
function angleRad(a: Vec3, b: Vec3): number {
  return dot(a, b) < 0 ? Math.acos(Math.max(-1, dot(a, b))) : 2 * Math.asin(Math.min(1, Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) / 2));
}
