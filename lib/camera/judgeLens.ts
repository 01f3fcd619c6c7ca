/** How far a calibration can be trusted: each thing judged against limits that its sentence states. All limits are common practice, no source, but where one is named. */
import { type Lens, undistortInto } from "../kernel/brownConrady.ts";
import type { PlanarCalibration } from "../kernel/planarCalibration.ts";
import { axesOfPose, dot, type Pose7 } from "../kernel/vec.ts";
import type { CalibrationCheck, CalibrationVerdict } from "../model/calibration.ts";

const LIMITS = {
  /** px */
  rms: { good: 0.5, doubtful: 1 },
  /** of the focal length */
  focal: { good: 0.002, doubtful: 0.01 },
  pictures: { good: 8, doubtful: 3 },
} as const;
/** Boards whose normals differ by less count as one orientation. */
const APART_DEG = 5;
/** Zhang (2000): two orientations determine a lens without skew, a third checks them. */
const LEAST_ORIENTATIONS = 3;
/** Of the nine parts of a picture. */
const MOST_EMPTY_PARTS = 3;

const ORDER: readonly CalibrationVerdict[] = ["good", "doubtful", "bad"];

export function worstOf(checks: readonly CalibrationCheck[]): CalibrationVerdict {
  return checks.reduce<CalibrationVerdict>((worst, { verdict }) => (ORDER.indexOf(verdict) > ORDER.indexOf(worst) ? verdict : worst), "good");
}

/** Sentences of what is not good; where all is, those of all. */
export function reasonsOf(checks: readonly CalibrationCheck[]): string[] {
  const faults = checks.filter(({ verdict }) => verdict !== "good");
  return (faults.length === 0 ? checks : faults).map(({ sentence }) => sentence);
}

/** Good up to the first limit, doubtful up to the second, else (NaN too) bad. */
export function verdictUpTo(value: number, { good, doubtful }: { readonly good: number; readonly doubtful: number }): CalibrationVerdict {
  return value <= good ? "good" : value <= doubtful ? "doubtful" : "bad";
}

interface Judged { readonly solved: PlanarCalibration; readonly images: readonly Float64Array[]; readonly widthPx: number; readonly heightPx: number }

export function judgeLens({ solved, images, widthPx, heightPx }: Judged): CalibrationCheck[] {
  return [checkSettled(solved), checkRms(solved), checkFocal(solved), checkOrientations(solved.poses), checkPictures(images.length), checkCoverage(images, widthPx, heightPx), checkFold(solved.lens, widthPx, heightPx)]
    .filter((check) => check !== null);
}

function checkSettled({ isSettled }: PlanarCalibration): CalibrationCheck | null {
  return isSettled ? null : { name: "search", verdict: "bad", sentence: "The search for the best lens came to no rest: its numbers are not final." };
}

function checkRms({ rmsPx }: PlanarCalibration): CalibrationCheck {
  return { name: "reprojection", verdict: verdictUpTo(rmsPx, LIMITS.rms), sentence: `Points lie ${rmsPx.toFixed(3)} px (rms) from where the lens puts them; good up to ${LIMITS.rms.good}, doubtful up to ${LIMITS.rms.doubtful} px.` };
}

function checkFocal({ lens, u }: PlanarCalibration): CalibrationCheck {
  const share = Math.max(u.fx / lens.fx, u.fy / lens.fy), limits = `good up to ${100 * LIMITS.focal.good} %, doubtful up to ${100 * LIMITS.focal.doubtful} %`;
  const sentence = share === share ? `The focal length has u ${(100 * share).toFixed(share < 0.001 ? 3 : 2)} % of itself; ${limits}.` : "The focal length is not determined.";
  return { name: "focal length", verdict: verdictUpTo(share, LIMITS.focal), sentence };
}

/** Normals that lie apart from each other, counted one after another. */
function checkOrientations(poses: readonly Pose7[]): CalibrationCheck {
  const least = Math.cos(APART_DEG * Math.PI / 180), normals: ReturnType<typeof axesOfPose>["z"][] = [];
  for (const { z } of poses.map(axesOfPose)) if (normals.every((other) => dot(other, z) < least)) normals.push(z);
  const count = normals.length, isEnough = count >= LEAST_ORIENTATIONS;
  const told = isEnough ? `The board was shown in ${count} orientations that lie at least ${APART_DEG}° apart` : `The board was shown in ${count === 1 ? "one orientation" : `${count} orientations`} alone (${APART_DEG}° apart): focal length and distance cannot be told apart`;
  return { name: "orientations", verdict: isEnough ? "good" : "bad", sentence: `${told}; needed are ${LEAST_ORIENTATIONS}.` };
}

function checkPictures(count: number): CalibrationCheck {
  const verdict = count >= LIMITS.pictures.good ? "good" : count >= LIMITS.pictures.doubtful ? "doubtful" : "bad";
  return { name: "pictures", verdict, sentence: `${count} pictures were used; good from ${LIMITS.pictures.good} on, doubtful from ${LIMITS.pictures.doubtful} on.` };
}

const PARTS = ["upper left", "upper middle", "upper right", "middle left", "middle", "middle right", "lower left", "lower middle", "lower right"] as const;

function checkCoverage(images: readonly Float64Array[], widthPx: number, heightPx: number): CalibrationCheck {
  const counts = new Int32Array(PARTS.length), third = (v: number, size: number): number => Math.min(2, Math.max(0, Math.floor(3 * (v + 0.5) / size)));
  for (const image of images) for (let i = 0; i < image.length; i += 2) counts[3 * third(image[i + 1]!, heightPx) + third(image[i]!, widthPx)]!++;
  const empty = PARTS.filter((_, i) => counts[i] === 0);
  const told = empty.length === 0 ? "Boards were seen in all nine parts of the picture" : `No board was seen in ${empty.length} of nine parts of the picture (${empty.join(", ")}): distortion there is carried on from the others`;
  return { name: "coverage", verdict: empty.length === 0 ? "good" : empty.length <= MOST_EMPTY_PARTS ? "doubtful" : "bad", sentence: `${told}; good with none empty, doubtful with up to ${MOST_EMPTY_PARTS}.` };
}

/** A lens whose distortion turns back before the picture's corner gives no direction there. */
function checkFold(lens: Lens, widthPx: number, heightPx: number): CalibrationCheck | null {
  const out = new Float64Array(2), lost = [[0, 0], [widthPx - 1, 0], [0, heightPx - 1], [widthPx - 1, heightPx - 1]].filter(([u, v]) => {
    undistortInto(lens, u!, v!, out);
    return !(out[0] === out[0]);
  });
  return lost.length === 0 ? null : { name: "fold", verdict: "doubtful", sentence: `The distortion turns back before ${lost.length} of the picture’s four corners: pixels there have no direction.` };
}
