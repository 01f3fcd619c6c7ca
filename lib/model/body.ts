import type { Point } from "./result.ts";

/** Paste off the path: its footprint along the normal, volume, length of its longest side, and where it lies. */
export interface Body {
  readonly layer: number;
  readonly areaMm2: number;
  readonly volumeMm3: number;
  readonly lengthMm: number;
  /** Centroid on the support, plan. */
  readonly position: Point;
  /** A few points of its outline, plan, for distances. */
  readonly outline: readonly Point[];
}
