/** What stands before the camera by what is known: the target's surface, every laid bead with its real section, the nozzle; drawn by depth. */
import { RING_POINTS, RING_STRIDE, writeBeadRing } from "../formula/beadRing.ts";
import { drawTriangle, makeDepthLayers, type DepthLayers, type SurfaceGroups } from "../kernel/depthLayers.ts";
import type { BeadShape, Nozzle } from "../model/job.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { NOT_LAID, type FrameScene, type StationColumns } from "./scene.ts";
import { projectInto, type View } from "./view.ts";

/** The target is drawn as far as this beside and beyond the strands of its first layer, mm. */
export const TARGET_MARGIN_MM = 9;
/** Rows of the target's surface stand about so far apart, mm. */
const ROW_MM = 1;
/** Lateral places of a row, of the way out to its edge. */
const ACROSS = [-1, -0.6, -0.3, -0.1, 0.1, 0.3, 0.6, 1];

export interface Stage {
  readonly layers: DepthLayers;
  /** The target alone: inverse depth, 0 = not known there; and the station whose strip of it that is. */
  readonly ground: Float32Array; // Float32Array[cell], 1/mm
  readonly groundAt: Int32Array; // Int32Array[cell], station, −1 = none
  readonly ids: StageIds;
}

/** Ids in the layers: a station's bead by the station, its strip of the target `strip` above, the nozzle last. */
export interface StageIds { readonly strip: number; readonly nozzle: number }

/** What does not change from frame to frame. */
export interface StageModel { readonly columns: StationColumns; readonly groups: SurfaceGroups; readonly ids: StageIds; readonly target: TargetMesh; readonly shape: BeadShape }

/** The first layer's planned base as strips, one a strand: rows across, each with its station. */
export interface TargetMesh { readonly points: Float64Array /* Float64Array[3 · vertex] */; readonly rowStation: Int32Array /* Int32Array[row] */; readonly isStripEnd: Uint8Array /* Uint8Array[row], 1 = the next row is another strip's */ }

export function stageModel(plan: StationPlan, columns: StationColumns): StageModel {
  const strandCount = plan.strands.length, ids = { strip: columns.count, nozzle: 2 * columns.count };
  const groupOf = new Int32Array(2 * columns.count + 1).fill(strandCount);
  groupOf.set(columns.strandOf);
  groupOf[ids.nozzle] = strandCount + 1;
  // legs of one strand lie farther apart than this and are two surfaces; so may strips of the target be where they overlap, and none of them is a bead
  const widest = columns.widthMm.reduce((most, w) => Math.max(most, w), 0);
  return { columns, groups: { groupOf, reach: Math.ceil(1.5 * widest / plan.spacingMm) + 1 }, ids, target: targetMesh(plan, columns), shape: plan.beadShape };
}

function targetMesh(plan: StationPlan, columns: StationColumns): TargetMesh {
  const points: number[] = [], rowStation: number[] = [], isStripEnd: number[] = [], lowest = plan.strands[0]?.layer ?? 1;
  for (const strand of plan.strands) {
    if (strand.layer !== lowest) continue;
    const first = columns.first[strand.index] as number, stride = Math.max(1, Math.round(ROW_MM / plan.spacingMm));
    const rows: [number, number][] = []; // station, mm beyond it
    if (!strand.path.closed) rows.push([0, -TARGET_MARGIN_MM], [0, -TARGET_MARGIN_MM / 2], [0, -1]);
    for (let i = 0; i < strand.count - 1; i += stride) rows.push([i, 0]);
    rows.push([strand.count - 1, 0]);
    if (!strand.path.closed) rows.push([strand.count - 1, 1], [strand.count - 1, TARGET_MARGIN_MM / 2], [strand.count - 1, TARGET_MARGIN_MM]);
    rows.forEach(([i, beyondMm], k) => {
      pushRow(strand, i, beyondMm, points);
      rowStation.push(first + i);
      isStripEnd.push(k === rows.length - 1 ? 1 : 0);
    });
  }
  return { points: Float64Array.from(points), rowStation: Int32Array.from(rowStation), isStripEnd: Uint8Array.from(isStripEnd) };
}

/** A row of the planned base across station i, carried `beyondMm` along it, curved as the plan is. */
function pushRow(strand: StrandStations, i: number, beyondMm: number, points: number[]): void {
  const f = strand.frames, o = 12 * i, across = strand.acrossCurvature[i] as number, along = strand.turn[3 * i] as number;
  const left = Math.min(TARGET_MARGIN_MM, strand.halfWayLeftMm[i] as number), right = Math.min(TARGET_MARGIN_MM, strand.halfWayRightMm[i] as number);
  for (const share of ACROSS) {
    const b = share < 0 ? share * right : share * left, n = across * b * b / 2 + along * beyondMm * beyondMm / 2 - (strand.heightMm[i] as number);
    for (let k = 0; k < 3; k++) points.push((f[o + k] as number) + beyondMm * (f[o + 3 + k] as number) + n * (f[o + 6 + k] as number) + b * (f[o + 9 + k] as number));
  }
}

/** Draws all of it. `laid` beads that the profiler calls a gap are left out. */
export function setStage(model: StageModel, view: View, scene: FrameScene, nozzle: Nozzle): Stage {
  const layers = makeDepthLayers(view.width, view.height);
  drawTarget(model, view, layers);
  const ground = layers.inverse1.slice(), groundAt = layers.id1.map((id) => (id < 0 ? -1 : id - model.ids.strip));
  drawBeads(model, view, scene, layers);
  if (scene.nozzle !== null) drawNozzle(model, view, scene.nozzle, nozzle, layers);
  return { layers, ground, groundAt, ids: model.ids };
}

function drawTarget({ target: { points, rowStation, isStripEnd }, groups, ids }: StageModel, view: View, layers: DepthLayers): void {
  const corners = new Float64Array(points.length), across = ACROSS.length;
  for (let i = 0; i < points.length; i += 3) projectInto(view, points[i] as number, points[i + 1] as number, points[i + 2] as number, corners, i);
  for (let row = 0; row + 1 < rowStation.length; row++) {
    if (isStripEnd[row] === 1) continue;
    const id = ids.strip + (rowStation[row] as number), a = row * across;
    for (let k = 0; k + 1 < across; k++) {
      drawTriangle(layers, corners, a + k, a + k + 1, a + across + k, id, groups);
      drawTriangle(layers, corners, a + k + 1, a + across + k + 1, a + across + k, id, groups);
    }
  }
}

function drawBeads({ columns, groups, shape }: StageModel, view: View, scene: FrameScene, layers: DepthLayers): void {
  const corners = new Float64Array(2 * 3 * RING_POINTS), ring = new Float64Array(RING_STRIDE * RING_POINTS);
  let before = -1; // station whose ring stands in the first half of `corners`
  for (let i = 0; i < columns.count; i++) {
    if (scene.laid[i] === NOT_LAID || scene.bare[i] === 1) continue;
    if (!isNear(columns, view, i)) continue;
    const h = known(scene.heightMm, i, columns.heightMm), offset = known(scene.offsetMm, i, null);
    writeBeadRing(shape, known(scene.widthMm, i, columns.widthMm), h, ring);
    corners.copyWithin(0, 3 * RING_POINTS);
    const f = columns.frames, o = 12 * i, base = columns.heightMm[i] as number;
    for (let j = 0; j < RING_POINTS; j++) {
      const b = offset + (ring[RING_STRIDE * j] as number), n = (ring[RING_STRIDE * j + 1] as number) - base;
      projectInto(view, f[o]! + b * f[o + 9]! + n * f[o + 6]!, f[o + 1]! + b * f[o + 10]! + n * f[o + 7]!, f[o + 2]! + b * f[o + 11]! + n * f[o + 8]!, corners, 3 * (RING_POINTS + j));
    }
    if (before === i - 1 && columns.strandOf[i] === columns.strandOf[before]) {
      for (let j = 0; j + 1 < RING_POINTS; j++) {
        drawTriangle(layers, corners, j, j + 1, RING_POINTS + j, i, groups);
        drawTriangle(layers, corners, j + 1, RING_POINTS + j + 1, RING_POINTS + j, i, groups);
      }
    }
    before = i;
  }
}

/** Whether the station lies in the view or a little beside it. */
function isNear({ frames }: StationColumns, view: View, i: number): boolean {
  projectInto(view, frames[12 * i] as number, frames[12 * i + 1] as number, frames[12 * i + 2] as number, SPOT, 0);
  const reach = 0.1 * (view.width + view.height);
  return SPOT[0]! > -reach && SPOT[0]! < view.width + reach && SPOT[1]! > -reach && SPOT[1]! < view.height + reach;
}
const SPOT = new Float64Array(3);

/** The measured value, else the planned one (null: 0). */
export function known(measured: Float32Array, i: number, planned: Float64Array | null): number {
  const value = measured[i] as number;
  return value === value ? value : planned === null ? 0 : planned[i] as number;
}

/** Corners round the nozzle. */
const ROUND = 16;
/** Cosines and sines of a sixteenth turn and its multiples, by halving a right angle: the same on every processor. */
const TURN: readonly (readonly [number, number])[] = (() => {
  const half = Math.SQRT1_2, c1 = Math.sqrt((1 + half) / 2), s1 = Math.sqrt((1 - half) / 2);
  const turns: [number, number][] = [[1, 0]];
  for (let k = 1; k < ROUND; k++) {
    const [c, s] = turns[k - 1] as [number, number];
    turns.push([c * c1 - s * s1, s * c1 + c * s1]);
  }
  return turns;
})();
/** A nozzle whose length is not stated is taken as so long, mm (common practice, no source). */
const USUAL_NOZZLE_MM = 13;

/** Radius of the nozzle's outside at a height over its tip, mm. */
export function nozzleRadiusMm({ outerDiameterMm, coneAngleDeg }: Nozzle, aboveMm: number): number {
  return outerDiameterMm / 2 + aboveMm * Math.tan(coneAngleDeg * Math.PI / 360);
}

export function nozzleLengthMm({ lengthMm }: Nozzle): number {
  return lengthMm ?? USUAL_NOZZLE_MM;
}

function drawNozzle({ groups, ids }: StageModel, view: View, { tip, axis }: NonNullable<FrameScene["nozzle"]>, nozzle: Nozzle, layers: DepthLayers): void {
  const least = Math.abs(axis[0]) <= Math.abs(axis[1]) && Math.abs(axis[0]) <= Math.abs(axis[2]) ? [1, 0, 0] : Math.abs(axis[1]) <= Math.abs(axis[2]) ? [0, 1, 0] : [0, 0, 1];
  const ux = axis[1] * least[2]! - axis[2] * least[1]!, uy = axis[2] * least[0]! - axis[0] * least[2]!, uz = axis[0] * least[1]! - axis[1] * least[0]!, size = Math.sqrt(ux * ux + uy * uy + uz * uz);
  const u = [ux / size, uy / size, uz / size] as const, v = [axis[1] * u[2] - axis[2] * u[1], axis[2] * u[0] - axis[0] * u[2], axis[0] * u[1] - axis[1] * u[0]] as const;
  const corners = new Float64Array(3 * 2 * ROUND), length = nozzleLengthMm(nozzle);
  [0, length].forEach((above, ring) => TURN.forEach(([c, s], k) => {
    const r = nozzleRadiusMm(nozzle, above), p = [0, 1, 2].map((d) => (tip[d] as number) + above * (axis[d] as number) + r * (c * (u[d] as number) + s * (v[d] as number)));
    projectInto(view, p[0] as number, p[1] as number, p[2] as number, corners, 3 * (ring * ROUND + k));
  }));
  for (let k = 0; k < ROUND; k++) {
    const next = (k + 1) % ROUND;
    drawTriangle(layers, corners, k, next, ROUND + k, ids.nozzle, groups);
    drawTriangle(layers, corners, next, ROUND + next, ROUND + k, ids.nozzle, groups);
    if (k > 0 && next > 0) drawTriangle(layers, corners, 0, k, next, ids.nozzle, groups); // the flat tip
  }
}
