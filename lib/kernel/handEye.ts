/**
 * Where a camera sits on an arm's tool, from pictures of a board that stands still (A X = X B): the turn in closed form by Tsai and Lenz's rotation
 * vectors (1989) and Horn's quaternion (1987), the shift by least squares after it (Park and Martin's second step, 1994), then
 * least squares over camera → tool and board → base at once.
 */
import { invertPositive, mirrored, symmetricEigen } from "./dense.ts";
import { leastSquares } from "./levenberg.ts";
import { composePoses, invertPose, movedPose, rotationVector } from "./rigid.ts";
import { applyPose, type Pose7, type Vec3 } from "./vec.ts";

/** One picture: tool → base as the arm says, board → camera as the picture says. */
export interface ArmView { readonly tool: Pose7; readonly board: Pose7 }

export interface HandEye {
  /** Camera → tool. */
  readonly cameraToTool: Pose7;
  /** Board → base. */
  readonly boardToBase: Pose7;
  /** Standard uncertainty along the worst axis: of the camera's place, and of its turn (rad). */
  readonly u: { readonly shift: number; readonly turn: number };
  /** Root mean square of what is left a picture and axis: of the board's middle in base, and of its turn (rad). */
  readonly rms: { readonly shift: number; readonly turn: number };
}

/**
 * Second largest singular value of the motions' rotation vectors, a picture, rad: how far the arm turned about a second axis. 0 where all turns
 * are about one, and the camera's place along that axis is then not determined.
 */
export function secondTurn(tools: readonly Pose7[]): number {
  const m = new Float64Array(9), pairs = tools.length * (tools.length - 1) / 2;
  eachPair(tools.length, (i, j) => {
    const v = rotationVector(composePoses(invertPose(tools[j]!), tools[i]!));
    for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) m[3 * r + c]! += v[r]! * v[c]! / pairs;
  });
  return tools.length < 2 ? 0 : Math.sqrt(Math.max(0, symmetricEigen(m, 3).values[1]!));
}

/** `middle`: the board's middle in its own frame, at which its place is compared. null below three pictures, or where the turns do not determine it. */
export function solveHandEye(views: readonly ArmView[], middle: Vec3): HandEye | null {
  const start = views.length < 3 ? null : closedForm(views);
  if (start === null) return null;
  let state: State = { x: start, y: averageBoard(views, start) }, weights = { turn: 1, shift: 1 }, normal = new Float64Array(144);
  for (let pass = 0; pass < 4; pass++) {
    const fit = leastSquares(problemOf(views, middle, weights), state);
    state = fit.state;
    normal = Float64Array.from(fit.normal);
    weights = weightsOf(views, state, middle);
  }
  leastSquares(problemOf(views, middle, weights), state).normal.forEach((v, i) => { normal[i] = v; });
  const inverse = invertPositive(mirrored(normal, 12), 12);
  if (inverse === null) return null;
  const worst = (from: number): number => Math.sqrt(symmetricEigen(Float64Array.from({ length: 9 }, (_, i) => inverse[12 * (from + Math.floor(i / 3)) + from + i % 3]!), 3).values[2]!);
  return { cameraToTool: state.x, boardToBase: state.y, u: { turn: worst(0), shift: worst(3) }, rms: { turn: 1 / weights.turn, shift: 1 / weights.shift } };
}

interface State { readonly x: Pose7; readonly y: Pose7 }
interface Weights { readonly turn: number; readonly shift: number }

function eachPair(count: number, visit: (i: number, j: number) => void): void {
  for (let i = 0; i < count; i++) for (let j = i + 1; j < count; j++) visit(i, j);
}

/** X from all pairs of pictures: A = T_j⁻¹ T_i of the tool, B = C_j C_i⁻¹ of the camera. */
function closedForm(views: readonly ArmView[]): Pose7 | null {
  const pairs: { readonly a: Pose7; readonly b: Pose7 }[] = [];
  eachPair(views.length, (i, j) => { pairs.push({ a: composePoses(invertPose(views[j]!.tool), views[i]!.tool), b: composePoses(views[j]!.board, invertPose(views[i]!.board)) }); });
  const q = bestTurn(pairs.map(({ a, b }) => ({ to: rotationVector(a), from: rotationVector(b) })));
  const m = new Float64Array(9), right = new Float64Array(3);
  for (const { a, b } of pairs) {
    const rows = [0, 1, 2].map((r): Vec3 => applyPose([0, 0, 0, -a[3], -a[4], -a[5], a[6]], [Number(r === 0), Number(r === 1), Number(r === 2)])); // rows of A's rotation
    const moved = applyPose(q, [b[0], b[1], b[2]]);
    rows.forEach((row, r) => {
      const e = [row[0] - Number(r === 0), row[1] - Number(r === 1), row[2] - Number(r === 2)], value = moved[r]! - a[r]!;
      for (let i = 0; i < 3; i++) {
        right[i]! += e[i]! * value;
        for (let j = 0; j < 3; j++) m[3 * i + j]! += e[i]! * e[j]!;
      }
    });
  }
  const inverse = invertPositive(m, 3, 1e-8);
  if (inverse === null) return null;
  const [x, y, z] = [0, 1, 2].map((i) => inverse[3 * i]! * right[0]! + inverse[3 * i + 1]! * right[1]! + inverse[3 * i + 2]! * right[2]!);
  return [x!, y!, z!, q[3], q[4], q[5], q[6]];
}

/** The rotation that brings `from` nearest to `to`: the eigenvector of Horn's matrix of the largest eigenvalue. */
function bestTurn(pairs: readonly { readonly to: Vec3; readonly from: Vec3 }[]): Pose7 {
  const s = new Float64Array(9);
  for (const { to, from } of pairs) for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) s[3 * i + j]! += from[i]! * to[j]!;
  const [xx, xy, xz, yx, yy, yz, zx, zy, zz] = s as unknown as readonly [number, number, number, number, number, number, number, number, number];
  const n = Float64Array.of(
    xx + yy + zz, yz - zy, zx - xz, xy - yx,
    yz - zy, xx - yy - zz, xy + yx, zx + xz,
    zx - xz, xy + yx, yy - xx - zz, yz + zy,
    xy - yx, zx + xz, yz + zy, zz - xx - yy,
  );
  const v = symmetricEigen(n, 4).vectors.subarray(12);
  return [0, 0, 0, v[1]!, v[2]!, v[3]!, v[0]!];
}

/** Where the first picture puts the board: near enough to begin with. */
function averageBoard(views: readonly ArmView[], x: Pose7): Pose7 {
  return composePoses(composePoses(views[0]!.tool, x), views[0]!.board);
}

/** Of one picture: turn (3, rad) and shift of the board's middle (3) from where `y` says that the board is. */
function leftOver({ tool, board }: ArmView, { x, y }: State, middle: Vec3): Float64Array {
  const seen = composePoses(composePoses(tool, x), board), apart = rotationVector(composePoses(seen, invertPose(y))), there = applyPose(seen, middle), here = applyPose(y, middle);
  return Float64Array.of(apart[0], apart[1], apart[2], there[0] - here[0], there[1] - here[1], there[2] - here[2]);
}

/** One over the scatter of turns and of shifts: six unknowns each of 3 numbers a picture. */
function weightsOf(views: readonly ArmView[], state: State, middle: Vec3): Weights {
  let turn = 0, shift = 0;
  for (const view of views) leftOver(view, state, middle).forEach((v, i) => { if (i < 3) turn += v * v; else shift += v * v; });
  const freedom = Math.max(1, 3 * views.length - 6);
  return { turn: 1 / Math.max(1e-9, Math.sqrt(turn / freedom)), shift: 1 / Math.max(1e-9, Math.sqrt(shift / freedom)) };
}

const NUDGE = 1e-6;

function problemOf(views: readonly ArmView[], middle: Vec3, weights: Weights) {
  const weighed = (view: ArmView, state: State): Float64Array => leftOver(view, state, middle).map((v, i) => v * (i < 3 ? weights.turn : weights.shift));
  const moved = ({ x, y }: State, step: Float64Array): State => ({ x: movedPose(x, step, 0), y: movedPose(y, step, 6) });
  const cost = (state: State): number => views.reduce((sum, view) => sum + weighed(view, state).reduce((all, v) => all + v * v, 0), 0);
  const linearise = (state: State, normal: Float64Array, gradient: Float64Array): number => {
    const nudged = Array.from({ length: 12 }, (_, k) => [NUDGE, -NUDGE].map((by) => moved(state, Float64Array.from({ length: 12 }, (__, i) => (i === k ? by : 0))))); // slopes by central differences: six numbers a picture
    for (const view of views) {
      const r = weighed(view, state), slopes = nudged.map(([up, down]) => {
        const high = weighed(view, up!), low = weighed(view, down!);
        return high.map((v, i) => (v - low[i]!) / (2 * NUDGE));
      });
      for (let i = 0; i < 12; i++) {
        for (let k = 0; k < 6; k++) gradient[i]! += slopes[i]![k]! * r[k]!;
        for (let j = 0; j <= i; j++) for (let k = 0; k < 6; k++) normal[12 * i + j]! += slopes[i]![k]! * slopes[j]![k]!;
      }
    }
    return cost(state);
  };
  return { size: 12, cost, linearise, moved };
}
