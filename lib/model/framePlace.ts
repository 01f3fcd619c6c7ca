import type { Pose } from "./job.ts";

/** Where a camera frame was taken from, and what names its kept picture. */
export interface FramePlace {
  /** As the result names it. */
  readonly file: string;
  readonly device: string;
  /** Carries the camera's coordinates into the frame of reference `frame`. */
  readonly pose: Pose;
  readonly frame: string;
  /** Of the picture's bytes. */
  readonly sha256: string;
}
