import type { BeadShape } from "./job.ts";

/** The strand as a polyline with unit normals, read by arc length: what kernel/path.ts takes, which is a sibling room and so not imported here. */
export interface StrandPath {
  readonly pointsMm: Float64Array; // Float64Array[3 · vertex]
  readonly normals: Float64Array; // Float64Array[3 · vertex], unit
  readonly arcMm: Float64Array; // Float64Array[vertex], ascending from 0
  readonly closed: boolean;
}

/** The stations of one strand: where it is measured, what was planned there, and how far sideways it may be looked at. */
export interface StrandStations {
  /** Index in `StationPlan.strands`, in plan order. */
  readonly index: number;
  readonly layer: number;
  readonly strand: number;
  readonly approach: number;
  readonly lengthMm: number;
  readonly path: StrandPath;
  readonly count: number;
  readonly sMm: Float64Array; // Float64Array[station], 0 … L
  readonly frames: Float64Array; // Float64Array[12 · station], position, tangent, normal, lateral
  readonly widthMm: Float64Array; // Float64Array[station]
  readonly heightMm: Float64Array; // Float64Array[station]
  readonly laidAreaMm2: Float64Array; // Float64Array[station], the paste itself
  readonly visibleAreaMm2: Float64Array; // Float64Array[station], seen along the normal inside the window
  /** How the frame turns along s, 1/mm: [normal curvature, geodesic curvature, torsion]. */
  readonly turn: Float64Array; // Float64Array[3 · station]
  /** Half-way to the neighbour on that side, Infinity where there is none. */
  readonly halfWayLeftMm: Float64Array; // Float64Array[station], towards +lateral, > 0
  readonly halfWayRightMm: Float64Array; // Float64Array[station], towards −lateral, > 0
  /** Lateral window: from −windowRightMm to +windowLeftMm. */
  readonly windowLeftMm: Float64Array; // Float64Array[station]
  readonly windowRightMm: Float64Array; // Float64Array[station]
  /** Curvature of the planned base across the strand, 1/mm, from the neighbours; 0 where there are none. */
  readonly acrossCurvature: Float64Array; // Float64Array[station]
}

export interface StationPlan {
  readonly beadShape: BeadShape;
  readonly spacingMm: number;
  readonly layerCount: number;
  readonly strands: readonly StrandStations[];
  readonly stationCount: number;
}
