/** What the measured top surface came to against the planned one: sums over its vertices, each weighed by the area that it stands for. Deviations mm, + outside. */
import type { Range } from "./job.ts";

/** A station of the newest attempt, as far as its surface is judged. */
export interface SurfaceStation {
  readonly laid: boolean;
  /** The height's act limits there, mm: the band around the planned top. */
  readonly bandMm: Range;
}

/** How a station's surface lies against its band: not seen (or nothing laid), inside it, mostly too low or too high beyond it. */
export const SURFACE_STATES = ["notSeen", "in", "below", "above"] as const;
export type SurfaceState = (typeof SURFACE_STATES)[number];

/** A place of the surface. */
export interface SurfacePlace {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly deviationMm: number;
  /** The limit on that side at its station: the height's act limit. */
  readonly limitMm: number;
}

export interface StrandSurface {
  readonly layer: number;
  readonly strand: number;
  /** Index in SURFACE_STATES of each station. */
  readonly states: Uint8Array; // Uint8Array[station]
}

export interface SurfaceSums {
  readonly strands: readonly StrandSurface[];
  /** Area of the measured surface, of what of it lies below, inside and above the band, mm². */
  readonly areaMm2: number;
  readonly belowMm2: number;
  readonly aboveMm2: number;
  /** Area by deviation: bin i holds deviations from (i − bins / 2) · SURFACE_BIN_MM on. */
  readonly histogram: Float64Array; // Float64Array[bin], mm²
  /** null: nothing was measured. */
  readonly lowest: SurfacePlace | null;
  readonly highest: SurfacePlace | null;
  /** The lowest and the highest place of each strand that has any, furthest from the plan first. */
  readonly worst: readonly SurfacePlace[];
  /** The narrowest band of all stations that were laid, mm; null: none was. */
  readonly band: readonly [number, number] | null;
  /** Of what was laid, seen along the normal: the planned top, and how much of it was measured, mm². */
  readonly plannedMm2: number;
  readonly seenMm2: number;
}

export const SURFACE_BIN_MM = 0.001;
/** Bins reach as far as this to both sides, mm; what lies further counts in the last one. */
export const SURFACE_REACH_MM = 4;
