/** What a frame truly shows: of every station laid by then whether paste lies there and whether it can be seen; strays; paste at the nozzle; and whether the frame is fit to be used. */
import { add, axesOfPose, dot, norm, scale, sub, tripleAt, unit, type Vec3 } from "../../kernel/vec.ts";
import type { Body } from "../body.ts";
import { makeCaster } from "../caster.ts";
import { planCrossings, stationArcs, stationStance, windowOf } from "../planSection.ts";
import type { PlannedStrand } from "../planned.ts";
import { summarise } from "../section.ts";
import type { LaidOut } from "../simulate.ts";
import type { Stance } from "../track.ts";
import { ABOVE_MM, sectionAt } from "../truth.ts";
import { unfitness, type FrameUse } from "./frameUse.ts";
import { projectPoint } from "./lens.ts";
import { makeSight, type Taken } from "./renderFrame.ts";
import { HANG, NOZZLE, type Scene } from "./scene.ts";
import { strayTruth, type StrayTruth } from "./strayTruth.ts";
import type { Studio } from "./studio.ts";
import { makeTracer } from "./tracer.ts";

/** Limits of the contract's: paste over less of the planned width is a gap; less than half in view is hidden. */
const GAP_RATIO = 0.25, HIDDEN_BELOW = 0.5;
/** Stations with a visible share between these may be told either way. */
const BORDERLINE = [0.3, 0.7] as const;
/** Points across a station's planned width. */
const ACROSS = 21;
/** A line of sight is free that ends within this of its point, mm. */
const FREE_MM = 1e-3;

export interface StationTruth {
  readonly layer: number; readonly strand: number; readonly sMm: number; readonly attempt: number;
  readonly state: "present" | "absent" | "hidden";
  /** Whether paste lies there, seen or not. */
  readonly lies: boolean;
  readonly borderline: boolean;
  /** Share of points across the planned width, at the surface that is there, whose line of sight is free. */
  readonly visibleFraction: number;
  /** Width covered by paste inside the lateral window over the planned width. */
  readonly coveredRatio: number;
  /** As seen along the normal; null: no bead, or a flank is hidden by a neighbour. */
  readonly widthMm: number | null;
}
export interface FrameTruth extends FrameUse {
  readonly file: string;
  readonly tS: number;
  readonly stations: readonly StationTruth[];
  readonly bodies: readonly StrayTruth[];
  /** Pixels · (tip distance / f)²; 0: clean; null: no nozzle in the picture. */
  readonly nozzleHangMm2: number | null;
  /** Mean distance on the target between where stations are seen and where the reported pose puts them; null: none is seen. */
  readonly poseErrorMm: number | null;
}
/** A frame of a scene. */
export interface TakenOf extends Taken { readonly file: string; readonly scene: Scene }

/** Whether a point is in the picture with nothing before it. */
export type Sees = (p: Vec3) => boolean;

/** Truth of frames of one rehearsal, one after the other. */
export function makeFrameTruth(world: LaidOut, studio: Studio): (taken: TakenOf) => FrameTruth {
  const top = makeCaster(world.surface), ground = makeCaster(world.surface), upTo = bodiesByLayer(world, 0), below = bodiesByLayer(world, 1);
  return ({ file, scene, frame, what }) => {
    const sees = makeSees(scene, studio), stations: StationTruth[] = [];
    let errorMm = 0, seenCount = 0;
    for (const strand of world.strands) {
      for (const sMm of stationArcs(strand.lengthMm, world.settings.stationSpacingMm)) {
        const attempt = laidAttempt(world, strand, sMm, scene.tS);
        if (attempt === null) continue;
        const stance = stationStance(strand, sMm, world.settings.widthMm);
        const crossings = planCrossings(world.strands, strand, sMm, stance, world.settings.widthMm), window = windowOf(crossings, world.settings);
        const beforeS = world.schedule.layers[strand.layer - 1]!.beforeS, { widthMm } = world.settings;
        const { section, limits } = sectionAt({ settings: world.settings, strand, stance, window, bodies: upTo(strand.layer), beneath: below(strand.layer), tS: scene.tS, beforeS, top, ground, stepMm: widthMm / 40 });
        const coveredRatio = coveredMm(section.bMm, section.kind.map((kind) => kind !== "ground"), limits.rightMm, limits.leftMm) / widthMm;
        const visible = visibleShare(stance, [Math.max(-widthMm / 2, limits.lowMm), Math.min(widthMm / 2, limits.highMm)], (b) => top.zAt(b), sees), lies = coveredRatio >= GAP_RATIO;
        const state = visible < HIDDEN_BELOW ? "hidden" : lies ? "present" : "absent";
        const width = summarise(section, limits).widthMm;
        stations.push({
          layer: strand.layer, strand: strand.strand, sMm: round(sMm), attempt, state, lies, borderline: visible >= BORDERLINE[0] && visible <= BORDERLINE[1],
          visibleFraction: round(visible), coveredRatio: round(coveredRatio), widthMm: width === null ? null : round(width),
        });
        if (state === "hidden") continue;
        seenCount++;
        errorMm += misplacedMm(studio, add(stance.point, scale(stance.normal, top.zAt(0) + ABOVE_MM)), stance.normal);
      }
    }
    const poseErrorMm = seenCount > 0 ? round(errorMm / seenCount) : null;
    const bodies = scene.bodies.filter((body) => body.stray && scene.tS >= body.bornS && scene.tS < body.goneS).map((body) => strayTruth(world, body, scene.tS, sees));
    return { file, tS: scene.tS, ...unfitness({ frame, look: studio.look, beadPx: studio.pxPerMm * world.settings.widthMm, poseErrorMm }), poseErrorMm, nozzleHangMm2: hangMm2(scene, what, studio), bodies, stations };
  };
}

function round(x: number): number { return Math.round(x * 1e6) / 1e6; }

/** Bodies of layers up to `layer − less`, kept per layer. */
function bodiesByLayer({ bodies }: LaidOut, less: number): (layer: number) => readonly Body[] {
  const kept = new Map<number, Body[]>();
  return (layer) => {
    const found = kept.get(layer) ?? bodies.filter((body) => body.layer <= layer - less);
    kept.set(layer, found);
    return found;
  };
}

/** The newest attempt that the nozzle has laid at a place by tS; null: none, or it was taken off and not laid again. */
export function laidAttempt({ schedule, settings }: Pick<LaidOut, "schedule" | "settings">, strand: PlannedStrand, sMm: number, tS: number): number | null {
  let attempt: number | null = null;
  for (const lay of schedule.lays) {
    if (lay.strand !== strand || sMm < lay.fromMm - 1e-3 || sMm > lay.toMm + 1e-3) continue;
    if (sMm <= lay.fromMm + settings.speedMmS * (tS - lay.startS) + 1e-3) attempt = Math.max(attempt ?? 0, lay.attempt);
  }
  const removed = schedule.removals.some(({ rework, tS: goneS }) => goneS <= tS && rework.layer === strand.layer && rework.strand === strand.strand && sMm >= rework.fromMm - 1e-9 && sMm <= rework.toMm + 1e-9);
  return removed && attempt === 1 ? null : attempt;
}

/** Lines of sight of the scene's camera. */
function makeSees(scene: Scene, { camera }: Studio): Sees {
  const tracer = makeTracer(scene), { x, y, z, t } = axesOfPose(camera.pose), { widthPx, heightPx } = camera.lens, pixel = new Float64Array(2);
  return (p) => {
    const away = sub(p, t), distance = norm(away);
    projectPoint(camera.lens, dot(away, x), dot(away, y), dot(away, z), pixel);
    if (!(pixel[0]! >= -0.5 && pixel[0]! <= widthPx - 0.5 && pixel[1]! >= -0.5 && pixel[1]! <= heightPx - 0.5)) return false;
    return tracer.first(t, unit(away), false).lambdaMm >= distance - FREE_MM;
  };
}

/** Length between two places over which neighbouring samples are both covered. */
function coveredMm(bMm: readonly number[], covered: readonly boolean[], fromMm: number, toMm: number): number {
  let sum = 0;
  for (let i = 1; i < bMm.length; i++) if (covered[i] === true && covered[i - 1] === true && bMm[i - 1]! >= fromMm - 1e-9 && bMm[i]! <= toMm + 1e-9) sum += bMm[i]! - bMm[i - 1]!;
  return sum;
}

function visibleShare({ point, lateral, normal }: Stance, [fromMm, toMm]: readonly [number, number], zAt: (b: number) => number, sees: Sees): number {
  let seen = 0;
  for (let i = 0; i < ACROSS; i++) {
    const b = fromMm + (i + 0.5) / ACROSS * (toMm - fromMm), up = zAt(b) + ABOVE_MM;
    if (sees(add(add(point, scale(lateral, b)), scale(normal, up)))) seen++; // NaN where the section misses the target: not seen
  }
  return seen / ACROSS;
}

/** How far on the target a point of the picture is put by the reported pose. */
function misplacedMm({ camera, reportedPose }: Studio, p: Vec3, normal: Vec3): number {
  if (reportedPose === camera.pose) return 0;
  const { x, y, z, t } = axesOfPose(camera.pose), away = sub(p, t), pixel = new Float64Array(2);
  projectPoint(camera.lens, dot(away, x), dot(away, y), dot(away, z), pixel);
  const sight = makeSight({ lens: camera.lens, pose: reportedPose }), along = sight.along(pixel[0]!, pixel[1]!) as Vec3;
  return norm(sub(add(sight.from, scale(along, dot(sub(p, sight.from), normal) / dot(along, normal))), p));
}

/** Contract: pixels of paste on the nozzle times (tip distance / f)². */
function hangMm2({ nozzle }: Scene, what: Int32Array, { camera }: Studio): number | null {
  let hanging = 0, metal = 0;
  for (const one of what) {
    if (one === HANG) hanging++;
    else if (one === NOZZLE) metal++;
  }
  if (nozzle === null || metal + hanging === 0) return null;
  return round(hanging * (norm(sub(nozzle.tip, tripleAt(Float64Array.from(camera.pose), 0))) / camera.lens.fx) ** 2);
}
