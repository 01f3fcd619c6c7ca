/** What a frame of the rehearsal shows: the target with what was laid on it by an instant, and what stands in the way. Lengths mm, in `plan`. */
import type { Vec3 } from "../../kernel/vec.ts";
import type { Body } from "../body.ts";
import type { Surface } from "../surface.ts";

/** A metal cone on its tip. */
export interface NozzleBody {
  /** Middle of the tip's face. */
  readonly tip: Vec3;
  /** Unit; away from the target (the planned normal). */
  readonly axis: Vec3;
  readonly outerDiameterMm: number;
  /** Full angle. */
  readonly coneAngleDeg: number;
  readonly lengthMm: number;
}
/** Paste that clings to the nozzle: an ellipsoid of revolution about a line parallel to the nozzle's axis. */
export interface HangBody {
  readonly centre: Vec3;
  readonly axis: Vec3;
  /** Half axes along and square to `axis`. */
  readonly halfAlongMm: number;
  readonly halfAcrossMm: number;
}
/** A finger: the points within `radiusMm` of a line. */
export interface Finger { readonly from: Vec3; readonly to: Vec3; readonly radiusMm: number }

export interface Scene {
  readonly surface: Surface;
  readonly bodies: readonly Body[];
  /** The instant: bodies are there from their `bornS` (sweeps as far as they are grown) until before their `goneS`. */
  readonly tS: number;
  readonly nozzle: NozzleBody | null;
  readonly hang: HangBody | null;
  readonly hand: readonly Finger[] | null;
}

/** What a ray meets, beside bodies (their index): the target, the nozzle, what hangs on it, a hand, nothing. */
export const TARGET = -1, NOZZLE = -2, HANG = -3, HAND = -4, NOTHING = -5;
