/** What camera frames say, as it stands in a result. Lengths mm on the target, areas mm², times s on the reference clock. */
import type { Point } from "./result.ts";

/** Why a frame settles nothing. `unreadable`: no picture that can be decoded, or not of the camera's size. */
export const UNUSED_REASONS = ["notSeparable", "poseDisagrees", "nothingLearned", "blurred", "badExposure", "unreadable"] as const;
export type UnusedReason = (typeof UNUSED_REASONS)[number];

/** `hidden`: outside the picture, masked, behind something, or undecidable. */
export const CAMERA_STATES = ["present", "absent", "hidden"] as const;
export type CameraState = (typeof CAMERA_STATES)[number];

/** Stations of one strand, ends included, that look alike in one frame. */
export interface FrameStretch { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly state: CameraState }

/** Paste off the path: its centroid on the target and its footprint along the normal. */
export interface FrameBody { readonly position: Point; readonly areaMm2: number }

/** One frame: whether it was used, and what it shows. An unused one has no stretches and no bodies. */
export interface FrameResult {
  readonly file: string;
  readonly tS: number;
  readonly used: boolean;
  /** null: it was used. */
  readonly reason: UnusedReason | null;
  /** Area under the ROC curve of paste against support; null: not known. */
  readonly separability: number | null;
  /** Mean distance between the beads in the frame and where they ought to be, before any correction; null: not estimated. */
  readonly poseErrorMm: number | null;
  readonly stretches: readonly FrameStretch[];
  readonly bodies: readonly FrameBody[];
  /** Paste seen on the nozzle above the bead; 0: clean; null: nozzle not in view. */
  readonly nozzleHangMm2: number | null;
}

/** What the newest used frame that shows a station says of it. `widthMm`: as seen along the normal; null: not both flanks were seen. */
export interface StationCamera {
  readonly state: Exclude<CameraState, "hidden">;
  readonly widthMm: number | null;
  /** One standard uncertainty. */
  readonly u: { readonly widthMm: number | null };
  readonly file: string;
}

/** A decoded picture: 8 bits a channel, sRGB as the camera coded it, rows from the top. */
export interface FramePixels { readonly widthPx: number; readonly heightPx: number; readonly rgb: Uint8Array /* Uint8Array[3 · pixel] */ }
