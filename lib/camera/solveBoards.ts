/** A lens from the boards of many pictures: outlying pictures left out, middles of dots put right for the slant of the view. */
import { circleShift } from "../kernel/dotBlobs.ts";
import { calibratePlanes, type PlanarCalibration, type PlaneView } from "../kernel/planarCalibration.ts";
import { quantile } from "../kernel/statistics.ts";
import { applyPose, axesOfPose } from "../kernel/vec.ts";
import { InputError } from "../base/errors.ts";
import type { BoardSeen, CalibrationOptions, PictureLeftOut } from "../model/calibration.ts";
import type { FoundBoard } from "./findBoard.ts";

export interface NamedBoard { readonly file: string; readonly found: FoundBoard }

export interface SolvedBoards {
  readonly solved: PlanarCalibration;
  /** Those used, in the order of `solved.poses`. */
  readonly used: readonly NamedBoard[];
  readonly leftOut: readonly PictureLeftOut[];
}

/** A picture whose rms is more than this many times the middle one's is left out. */
const OUTLYING_FACTOR = 3;
const LEAST_PICTURES = 3;
const OUTLIER_PASSES = 3;
const SHIFT_PASSES = 3;

interface Sized { readonly columns: number; readonly rows: number; readonly pitchMm: number; readonly widthPx: number; readonly heightPx: number }

/** Of boards that all have the same size. InputError calibration.notEnough below three, or where they determine nothing. */
export function solveBoards(boards: readonly NamedBoard[], size: Sized, options: CalibrationOptions): SolvedBoards {
  const leftOut: PictureLeftOut[] = [];
  let used = boards, solved = solveOnce(used, size, options);
  for (let pass = 0; pass < OUTLIER_PASSES && !options.keepsAll; pass++) {
    const each = solved.residuals.map(rmsOf), middle = quantile(Float64Array.from(each).sort(), 0.5), stays = (i: number): boolean => !(each[i]! > OUTLYING_FACTOR * middle);
    const kept = used.filter((_, i) => stays(i));
    if (kept.length === used.length || kept.length < LEAST_PICTURES) break;
    used.forEach(({ file }, i) => { if (!stays(i)) leftOut.push({ file, why: `its points lie ${each[i]!.toFixed(2)} px (rms) off, more than ${OUTLYING_FACTOR} times the middle picture’s ${middle.toFixed(2)} px` }); });
    used = kept;
    solved = solveOnce(used, size, options);
  }
  return { solved, used, leftOut };
}

export function rmsOf(residuals: Float64Array): number {
  let sum = 0;
  for (const v of residuals) sum += v * v;
  return Math.sqrt(2 * sum / residuals.length);
}

function solveOnce(boards: readonly NamedBoard[], size: Sized, options: CalibrationOptions): PlanarCalibration {
  const board = Float64Array.from({ length: 2 * size.columns * size.rows }, (_, i) => size.pitchMm * (i % 2 === 0 ? (i >> 1) % size.columns : Math.floor((i >> 1) / size.columns)));
  const solve = (views: readonly PlaneView[]): PlanarCalibration => {
    const solved = boards.length < LEAST_PICTURES ? null : calibratePlanes(views, size.widthPx, size.heightPx, options);
    if (solved === null) throw new InputError("calibration.notEnough", `at least ${LEAST_PICTURES} pictures that show the board`, String(boards.length), {});
    return solved;
  };
  const views = boards.map(({ found }): PlaneView => ({ board, image: found.image }));
  let solved = solve(views);
  for (let pass = 0; pass < SHIFT_PASSES && boards[0]!.found.areasPx2.length > 0; pass++) solved = solve(middlesOf(boards, board, solved));
  return solved;
}

/** A circle seen aslant is an ellipse whose centroid is not the picture of the circle's middle: each dot moved by as much as its circle says under the last lens and pose. */
function middlesOf(boards: readonly NamedBoard[], board: Float64Array, { lens, poses }: PlanarCalibration): PlaneView[] {
  const radius = dotRadius(boards, board, { lens, poses });
  return boards.map(({ found }, k) => ({ board, image: found.image.map((v, i) => {
    const { dx, dy } = circleShift(lens, poses[k]!, { x: board[i - i % 2]!, y: board[i - i % 2 + 1]!, radius });
    return v - (i % 2 === 0 ? dx : dy);
  }) }));
}

/** From the dots' areas: a circle of radius 1 mm has the area that it has, and areas go with its square. */
function dotRadius(boards: readonly NamedBoard[], board: Float64Array, { lens, poses }: Pick<PlanarCalibration, "lens" | "poses">): number {
  const squares = boards.flatMap(({ found }, k) => [...found.areasPx2].map((area, i) => area / circleShift(lens, poses[k]!, { x: board[2 * i]!, y: board[2 * i + 1]!, radius: 1 }).areaPx2));
  return Math.sqrt(quantile(Float64Array.from(squares).sort(), 0.5));
}

const DEGREES = 180 / Math.PI;

/** As they are told of. Points of dots are the middles that were used: seen, less what the slant did. */
export function boardsSeen({ solved, used }: SolvedBoards, size: Sized): BoardSeen[] {
  return used.map(({ file, found }, k) => {
    const residuals = solved.residuals[k]!, pose = solved.poses[k]!, middle = applyPose(pose, [(size.columns - 1) / 2 * size.pitchMm, (size.rows - 1) / 2 * size.pitchMm, 0]);
    return {
      file, pointsPx: [...found.image], residualsPx: [...residuals], rmsPx: rmsOf(residuals),
      tiltDeg: Math.acos(Math.min(1, Math.abs(axesOfPose(pose).z[2]))) * DEGREES, distanceMm: Math.sqrt(middle[0] ** 2 + middle[1] ** 2 + middle[2] ** 2),
    };
  });
}
