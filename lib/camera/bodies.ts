/** Paste off the path: what looks like paste on the target outside every laid strand's window. */
import { dilateMask, eachComponent, openMask } from "../kernel/mask.ts";
import { median } from "../kernel/statistics.ts";
import type { Point } from "../model/result.ts";
import { cellOf } from "./labels.ts";
import type { Look } from "./look.ts";
import { LAID, NOT_LAID, type FrameScene, type SeenBody } from "./scene.ts";
import type { Stage, StageModel } from "./stage.ts";
import type { Station } from "./station.ts";
import { pointAt, projectInto, type View } from "./view.ts";

export interface BodyLook {
  readonly model: StageModel; readonly view: View; readonly stage: Stage; readonly look: Look; readonly stations: readonly Station[]; readonly scene: FrameScene;
  readonly cellMm: number;
  /** Smaller ones are none. */
  readonly leastMm2: number;
}

/** Round the nozzle's tip so much is paste on its way, widths. */
const ROUND_TIP_WIDTHS = 1.6;
/** Scores are averaged over a square of so many mm to each side, and what is thinner than twice that goes. */
const MEAN_MM = 0.12, THIN_MM = 0.14;
/** A body's mean score, and the median squared distance of its colour from paste. */
const LEAST_SCORE = 0.7, MOST_FROM_PASTE = 20;
/** A body is asked for its outline at so many cells. */
const OUTLINE = 12;

export function findSeenBodies(input: BodyLook): { readonly bodies: SeenBody[]; readonly placesSeen: Uint8Array } {
  const { view, stage, look, scene, leastMm2 } = input, { width, height } = view, free = freeTarget(input);
  const mean = boxMean(look.score, free, width, height, Math.max(1, Math.round(MEAN_MM / input.cellMm)));
  const mask = new Uint8Array(width * height), least = Math.max(look.threshold, (look.threshold + look.half) / 2);
  for (let at = 0; at < mask.length; at++) mask[at] = free[at] === 1 && mean[at]! > least ? 1 : 0;
  const paste = openMask(mask, width, height, Math.max(1, Math.round(THIN_MM / input.cellMm)));
  const bodies: SeenBody[] = [];
  eachComponent(paste, width, height, (cells) => {
    if (cells.length * input.cellMm * input.cellMm < 0.5 * leastMm2 || touchesEdge(cells, width, height)) return;
    const scores = cells.reduce((sum, at) => sum + (look.score[at] as number), 0) / cells.length;
    if (scores < LEAST_SCORE || median(Float64Array.from(cells, look.fromPaste)) > MOST_FROM_PASTE) return;
    const body = bodyOf(input, cells);
    if (body.areaMm2 >= leastMm2) bodies.push(body);
  });
  const placesSeen = Uint8Array.from(scene.places, (place) => {
    const spot = new Float64Array(3);
    projectInto(view, place[0], place[1], place[2], spot, 0);
    const at = cellOf(view, spot[0] as number, spot[1] as number);
    return at >= 0 && free[at] === 1 && stage.ground[at] !== 0 ? 1 : 0;
  });
  return { bodies, placesSeen };
}

/** 1: bare target is what ought to be seen there, well away from what was laid and from the nozzle, and something can be seen. */
function freeTarget({ model, view, stage, look, stations, scene, cellMm }: BodyLook): Uint8Array {
  const { width, height } = view, { layers, ids } = stage, explained = new Uint8Array(width * height);
  for (let at = 0; at < explained.length; at++) explained[at] = (layers.id1[at] as number) >= 0 && ((layers.id1[at] as number) < ids.strip || layers.id1[at] === ids.nozzle) ? 1 : 0;
  for (const station of stations) if (scene.bare[station.index] === 1 && scene.laid[station.index] !== NOT_LAID) markWindow(view, station, cellMm, explained);
  markTip(model, view, scene, cellMm, explained);
  // beyond a laid bead's silhouette its window belongs to it, as far as any window reaches
  const beyondMm = stations.reduce((most, { beyondLeftMm, beyondRightMm }) => Math.max(most, beyondLeftMm, beyondRightMm), 0);
  const near = dilateMask(explained, width, height, Math.max(1, Math.round(beyondMm / cellMm)));
  const free = new Uint8Array(near.length);
  for (let at = 0; at < free.length; at++) free[at] = near[at] === 0 && stage.ground[at] !== 0 && look.strange[at] === 0 && look.score[at] === look.score[at] ? 1 : 0;
  return free;
}

/** A station that the profiler calls a gap keeps its window: what lies in it is a matter of the strand. */
function markWindow(view: View, station: Station, cellMm: number, out: Uint8Array): void {
  for (let b = station.rightMm; b <= station.leftMm; b += 0.7 * cellMm) {
    for (let along = -0.3; along <= 0.3; along += 0.7 * cellMm) {
      const [column, row] = station.cellAt(b, along), at = cellOf(view, column, row);
      if (at >= 0) out[at] = 1;
    }
  }
}

/** Paste on its way between the last station passed and the nozzle. */
function markTip({ columns }: StageModel, view: View, scene: FrameScene, cellMm: number, out: Uint8Array): void {
  if (scene.nozzle === null) return;
  const spot = new Float64Array(3), [x, y, z] = scene.nozzle.tip, reach = Math.ceil(ROUND_TIP_WIDTHS * widthNear(columns.widthMm, scene) / cellMm);
  projectInto(view, x, y, z, spot, 0);
  const c0 = Math.round(spot[0] as number), r0 = Math.round(spot[1] as number);
  for (let r = Math.max(0, r0 - reach); r <= Math.min(view.height - 1, r0 + reach); r++) {
    for (let c = Math.max(0, c0 - reach); c <= Math.min(view.width - 1, c0 + reach); c++) if ((c - c0) ** 2 + (r - r0) ** 2 <= reach * reach) out[r * view.width + c] = 1;
  }
}

function widthNear(widthMm: Float64Array, scene: FrameScene): number {
  for (let i = scene.laid.length - 1; i >= 0; i--) if (scene.laid[i] === LAID) return widthMm[i] as number;
  return widthMm[0] as number;
}

const touchesEdge = (cells: readonly number[], width: number, height: number): boolean => cells.some((at) => at % width === 0 || at % width === width - 1 || at < width || at >= width * (height - 1));

/** Mean over a square, of cells that count; NaN where the middle does not. */
function boxMean(score: Float32Array, counts: Uint8Array, width: number, height: number, radius: number): Float32Array {
  const sums = new Float64Array((width + 1) * (height + 1)), ns = new Int32Array((width + 1) * (height + 1)), out = new Float32Array(width * height).fill(Number.NaN);
  for (let r = 0; r < height; r++) {
    let sum = 0, n = 0;
    for (let c = 0; c < width; c++) {
      const at = r * width + c;
      if (counts[at] === 1) { sum += score[at]!; n++; }
      sums[(r + 1) * (width + 1) + c + 1] = sums[r * (width + 1) + c + 1]! + sum;
      ns[(r + 1) * (width + 1) + c + 1] = ns[r * (width + 1) + c + 1]! + n;
    }
  }
  const over = (table: Float64Array | Int32Array, r0: number, r1: number, c0: number, c1: number): number => table[r1 * (width + 1) + c1]! - table[r0 * (width + 1) + c1]! - table[r1 * (width + 1) + c0]! + table[r0 * (width + 1) + c0]!;
  for (let r = 0; r < height; r++) {
    const r0 = Math.max(0, r - radius), r1 = Math.min(height, r + radius + 1);
    for (let c = 0; c < width; c++) {
      if (counts[r * width + c] === 0) continue;
      const c0 = Math.max(0, c - radius), c1 = Math.min(width, c + radius + 1);
      out[r * width + c] = over(sums, r0, r1, c0, c1) / over(ns, r0, r1, c0, c1);
    }
  }
  return out;
}

/**
 * Its place and footprint. A body as high as a bead hides target behind it: seen aslant at θ its outline reaches h (1/cos θ − 1) further over its whole
 * breadth, and its middle lies (h/2) tan θ away from the camera (plane geometry, flanks round).
 */
function bodyOf({ model: { columns }, view, stage }: BodyLook, cells: readonly number[]): SeenBody {
  const { lens, place: { t } } = view, points: Point[] = [], perCell = view.step * view.step / (lens.fx * lens.fy);
  let area = 0;
  const sum: [number, number, number] = [0, 0, 0], normal: [number, number, number] = [0, 0, 0];
  let height = 0;
  for (const at of cells) {
    const inverse = stage.ground[at] as number, station = stage.groundAt[at] as number, p = pointAt(view, at % view.width, Math.floor(at / view.width), inverse), o = 12 * station + 6;
    const n = [columns.frames[o]!, columns.frames[o + 1]!, columns.frames[o + 2]!] as const, facing = ((t[0] - p[0]) * n[0] + (t[1] - p[1]) * n[1] + (t[2] - p[2]) * n[2]) * inverse;
    const own = perCell / (inverse * inverse * Math.max(0.1, facing));
    area += own;
    for (let k = 0; k < 3; k++) { sum[k] = sum[k]! + own * p[k]!; normal[k] = normal[k]! + n[k]!; }
    height += columns.heightMm[station]!;
    points.push(p);
  }
  const middle = sum.map((v) => v / area) as unknown as Point, size = Math.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2), n = normal.map((v) => v / size) as unknown as Point, h = height / cells.length;
  const v = [t[0] - middle[0], t[1] - middle[1], t[2] - middle[2]] as const, vn = v[0] * n[0] + v[1] * n[1] + v[2] * n[2], across = v.map((each, k) => each - vn * n[k]!) as unknown as Point;
  const out = Math.sqrt(across[0] ** 2 + across[1] ** 2 + across[2] ** 2), lean = out / vn, toward = across.map((each) => (out > 0 ? each / out : 0)) as unknown as Point;
  const aside: Point = [n[1] * toward[2] - n[2] * toward[1], n[2] * toward[0] - n[0] * toward[2], n[0] * toward[1] - n[1] * toward[0]];
  const [breadth] = extent(points, aside), [depth] = extent(points, toward), hidden = h * (Math.sqrt(1 + lean * lean) - 1) * breadth;
  const back = h / 2 * lean;
  return {
    position: middle.map((each, k) => each + back * toward[k]!) as unknown as Point, areaMm2: Math.max(0.4 * area, area - hidden), lengthMm: Math.max(breadth, depth - h * (Math.sqrt(1 + lean * lean) - 1)),
    outline: Array.from({ length: Math.min(OUTLINE, points.length) }, (_, i) => points[Math.floor(i * (points.length - 1) / Math.max(1, Math.min(OUTLINE, points.length) - 1))] as Point),
  };
}

function extent(points: readonly Point[], along: Point): [number] {
  let low = Infinity, high = -Infinity;
  for (const p of points) {
    const d = p[0] * along[0] + p[1] * along[1] + p[2] * along[2];
    low = Math.min(low, d);
    high = Math.max(high, d);
  }
  return [high - low];
}
