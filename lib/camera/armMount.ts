/** Where the camera sits on the arm's tool, from the boards' poses and the arm's. */
import { type ArmView, secondTurn, solveHandEye } from "../kernel/handEye.ts";
import { composePoses, invertPose, rotationVector } from "../kernel/rigid.ts";
import { applyPose, norm, type Pose7 } from "../kernel/vec.ts";
import type { CalibrationCheck, HandEyeSaid } from "../model/calibration.ts";
import { verdictUpTo, worstOf } from "./judgeLens.ts";

const DEGREES = 180 / Math.PI;
/** All common practice, no source. The turn about a second axis, deg; u of the camera's place, mm, and turn, deg. */
const TURN_DEG = { good: 15, doubtful: 5 }, U_MM = { good: 0.2, doubtful: 0.5 }, U_DEG = { good: 0.1, doubtful: 0.3 }, PICTURES = { good: 8, doubtful: 3 };

export interface ArmBoard {
  readonly tool: Pose7;
  readonly board: Pose7;
  /** Quarter turns after which the board looks the same. */
  readonly alikeTurns: readonly number[];
}

interface Sized { readonly columns: number; readonly rows: number; readonly pitchMm: number; readonly camera: string }
/** u of the lens that all boards' poses share: of the focal length as a share of it, of the principal point as an angle, rad. */
export interface LensU { readonly focalShare: number; readonly axisRad: number }

/**
 * An error of the lens is no scatter of the pictures: a wrong focal length moves all boards along the view, a wrong principal point turns all views. It
 * is carried into u as the shift and the turn that it makes at the boards' mean distance.
 */
export function mountOnTool(boards: readonly ArmBoard[], size: Sized, lensU: LensU): HandEyeSaid {
  const middle = [(size.columns - 1) / 2 * size.pitchMm, (size.rows - 1) / 2 * size.pitchMm, 0] as const, views = turnedAlike(boards, middle);
  const turnDeg = secondTurn(views.map(({ tool }) => tool)) * DEGREES, turnVerdict = turnDeg >= TURN_DEG.good ? "good" : turnDeg >= TURN_DEG.doubtful ? "doubtful" : "bad";
  const solved = turnVerdict === "bad" ? null : solveHandEye(views, middle);
  const checks: CalibrationCheck[] = [
    { name: "pictures with a pose", verdict: boards.length >= PICTURES.good ? "good" : boards.length >= PICTURES.doubtful ? "doubtful" : "bad", sentence: `${boards.length} pictures have a pose of the arm; good from ${PICTURES.good} on, doubtful from ${PICTURES.doubtful} on.` },
    { name: "turns of the arm", verdict: turnVerdict, sentence: `The arm turned by ${turnDeg.toFixed(1)}° (rms) about its second axis; good from ${TURN_DEG.good}°, doubtful from ${TURN_DEG.doubtful}°${turnVerdict === "bad" ? ": about fewer than two axes the camera’s place on the tool is not determined" : ""}.` },
  ];
  if (solved === null) return { pictures: boards.length, verdict: "bad", checks: turnVerdict === "bad" ? checks : [...checks, { name: "mount", verdict: "bad", sentence: "Poses and pictures determine no mount." }], mount: null, rmsMm: null, rmsDeg: null };
  const distanceMm = views.reduce((sum, { board }) => sum + norm(applyPose(board, middle)) / views.length, 0), root = (a: number, b: number): number => Math.sqrt(a * a + b * b);
  const u = { mm: root(solved.u.shift, distanceMm * Math.max(lensU.focalShare, lensU.axisRad)), deg: root(solved.u.turn, lensU.axisRad) * DEGREES };
  checks.push(
    { name: "place on the tool", verdict: verdictUpTo(u.mm, U_MM), sentence: `The camera’s place has u ${u.mm.toFixed(3)} mm along its worst axis; good up to ${U_MM.good}, doubtful up to ${U_MM.doubtful} mm.` },
    { name: "turn on the tool", verdict: verdictUpTo(u.deg, U_DEG), sentence: `The camera’s turn has u ${u.deg.toFixed(3)}° about its worst axis; good up to ${U_DEG.good}, doubtful up to ${U_DEG.doubtful}°.` },
  );
  return { pictures: boards.length, verdict: worstOf(checks), checks, mount: { from: size.camera, to: "tool", pose: solved.cameraToTool, u: u.mm < Infinity && u.deg < Infinity ? u : null }, rmsMm: solved.rms.shift, rmsDeg: solved.rms.turn * DEGREES };
}

/**
 * A board that looks the same after a half-turn may be read from either end. Each is turned so that the camera's motions since the pictures before
 * it have the angles of the arm's: the angle of a motion is the same in both.
 */
function turnedAlike(boards: readonly ArmBoard[], [mx, my]: readonly [number, number, number]): ArmView[] {
  const done: ArmView[] = [];
  for (const { tool, board, alikeTurns } of boards) {
    const views = alikeTurns.map((quarters): ArmView => ({ tool, board: composePoses(board, quarterTurn(quarters, mx, my)) }));
    const misfit = (view: ArmView): number => done.reduce((sum, other) => sum + (norm(rotationVector(composePoses(invertPose(view.tool), other.tool))) - norm(rotationVector(composePoses(view.board, invertPose(other.board))))) ** 2, 0);
    done.push(views.reduce((best, view) => (misfit(view) < misfit(best) ? view : best)));
  }
  return done;
}

/** About the board's middle (mx, my); an odd number of quarters is asked of square boards alone. */
function quarterTurn(quarters: number, mx: number, my: number): Pose7 {
  const [c, s] = [[1, 0], [0, 1], [-1, 0], [0, -1]][quarters] as [number, number], [qz, qw] = [[0, 1], [Math.SQRT1_2, Math.SQRT1_2], [1, 0], [-Math.SQRT1_2, Math.SQRT1_2]][quarters] as [number, number];
  return [mx - (c * mx - s * my), my - (s * mx + c * my), 0, 0, 0, qz, qw];
}
