/** Whether a frame can be used at all, by what the rehearsal did to it. */
import type { Look } from "./look.ts";
import type { Frame } from "./renderFrame.ts";

/** Pose errors over this count, mm (the contract's default). */
const POSE_ERROR_MM = 0.5;
/** Blur over this share of a bead's width is too much (our own limit). */
const BLUR_PER_BEAD = 0.25;
/** A pixel whose brightest channel is at most this is black, and one with a channel at 255 clipped; a frame with more than half of its pixels so is badly exposed (our own limit). */
const BLACK = 20, BAD_SHARE = 0.5;

export interface FrameUse {
  readonly used: boolean;
  /** Why not; a frame whose pose disagrees may be used once its pose is corrected. */
  readonly reason: "badExposure" | "blurred" | "notSeparable" | "poseDisagrees" | null;
}

/** In this order: exposure, blur, one colour for paste and target, the reported pose. */
export function unfitness({ frame, look, beadPx, poseErrorMm }: { readonly frame: Frame; readonly look: Look; readonly beadPx: number; readonly poseErrorMm: number | null }): FrameUse {
  const reason = isBadlyExposed(frame) ? "badExposure"
    : blurPx(look) > BLUR_PER_BEAD * beadPx ? "blurred"
    : look.paste.every((one, c) => one === look.target[c]) ? "notSeparable"
    : poseErrorMm !== null && poseErrorMm > POSE_ERROR_MM ? "poseDisagrees" : null;
  return { used: reason === null, reason };
}

function isBadlyExposed({ rgb }: Frame): boolean {
  let black = 0, clipped = 0;
  for (let q = 0; q < rgb.length; q += 3) {
    const most = Math.max(rgb[q]!, rgb[q + 1]!, rgb[q + 2]!);
    if (most === 255) clipped++;
    else if (most <= BLACK) black++;
  }
  return Math.max(black, clipped) > BAD_SHARE * rgb.length / 3;
}

/** Standard deviation of blur and motion together: an even motion over m pixels has m / √12. */
function blurPx({ blurPx: sd, motionPx: [x, y] }: Look): number {
  return Math.sqrt(sd * sd + (x * x + y * y) / 12);
}
