import type { Pose } from "./job.ts";

/** One line scan. `zMm[i]` at `(xMm[i] or x0Mm + i · dxMm, 0)` in the sensor's frame; NaN = no return. Arrays may be reused by the reader after the consumer returns. */
export interface ProfileMessage {
  readonly kind: "profile";
  readonly device: string;
  /** Frame that `pose` carries sensor coordinates into: `plan`, `base`, `tool` or `marker`. */
  readonly frame: string;
  readonly seq: number;
  readonly tS: number;
  /** Unit quaternion (normalised by the reader). */
  readonly pose: Pose;
  readonly zMm: Float32Array; // Float32Array[sample], NaN = no return
  /** Samples' own x, null: the job's regular grid. */
  readonly xMm: Float32Array | null; // Float32Array[sample]
  /** Layer that was being laid, 0 before the first; null: not sent. */
  readonly layer: number | null;
}

export type ProgressEvent = "start" | "update" | "end";
export interface ProgressMessage { readonly kind: "progress"; readonly tS: number; readonly layer: number; readonly strand: number; readonly sMm: number; readonly event: ProgressEvent }
export interface ReworkMessage {
  readonly kind: "rework"; readonly tS: number; readonly layer: number; readonly strand: number;
  readonly fromMm: number; readonly toMm: number; readonly who: string; readonly reason: string;
}
/** A person says that all of a rectangle in a frame is paste. `tS`: reference time. `rectPx`: left, top, right and bottom in pixels, of which 0 is the first one's centre. */
export interface PasteMarkMessage {
  readonly kind: "pasteMark"; readonly tS: number; readonly device: string; readonly file: string;
  readonly rectPx: readonly [number, number, number, number]; readonly who: string;
}
export interface PoseMessage {
  readonly kind: "pose"; readonly tS: number; readonly device: string; readonly from: string; readonly to: string;
  /** null: not valid, lost from sight. */
  readonly pose: Pose | null;
}
export interface SignalMessage { readonly kind: "signal"; readonly tS: number; readonly name: string; readonly value: number }
export interface FrameMessage { readonly kind: "frame"; readonly tS: number; readonly device: string; readonly file: string; readonly pose: Pose; readonly frame: string }

export type Message = ProfileMessage | ProgressMessage | ReworkMessage | PasteMarkMessage | PoseMessage | SignalMessage | FrameMessage;
