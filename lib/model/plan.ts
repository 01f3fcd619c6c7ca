import type { BeadShape } from "./job.ts";

/** One strand as planned: waypoints of one nozzle-on to nozzle-off path. Point i is the nozzle tip, the top of the bead. */
export interface PlanStrand {
  /** Counted from 1. */
  readonly layer: number;
  /** Counted from 1, restarting in every layer. */
  readonly strand: number;
  /** Side of the target it is reached from, counted from 1. */
  readonly approach: number;
  readonly pointCount: number;
  readonly pointsMm: Float64Array; // Float64Array[3 · waypoint], x y z in plan
  readonly normals: Float64Array; // Float64Array[3 · waypoint], unit, away from the target
  readonly arcMm: Float64Array; // Float64Array[waypoint], arc length, 0 at the first
  /** Bead from waypoint i to i + 1; the last waypoint repeats the one before. */
  readonly widthMm: Float64Array; // Float64Array[waypoint]
  readonly heightMm: Float64Array; // Float64Array[waypoint]
  readonly speedMmS: Float64Array; // Float64Array[waypoint]
  readonly flowMm3S: Float64Array; // Float64Array[waypoint]
  readonly lengthMm: number;
}

export interface Plan {
  readonly beadShape: BeadShape;
  /** Ordered by layer, then strand. */
  readonly strands: readonly PlanStrand[];
  readonly layerCount: number;
}
