/** The camera at a rehearsal: where it stands, what the scene is at an instant, and its frames. */
import { add, axesOfPose, poseOfAxes, scale, type Pose7, type Vec3 } from "../../kernel/vec.ts";
import type { Body } from "../body.ts";
import { NOZZLE_SHAPE } from "../jobJson.ts";
import { sizeOf } from "../fault.ts";
import { stationStance } from "../planSection.ts";
import type { PlannedStrand } from "../planned.ts";
import type { RehearsalSettings } from "../settings.ts";
import type { Surface } from "../surface.ts";
import type { CameraSettings } from "./cameraSettings.ts";
import { cameraPose, type Lens } from "./lens.ts";
import { lookOf, type Look } from "./look.ts";
import { takeSteps, type PlacedCamera, type Taken } from "./renderFrame.ts";
import type { Finger, HangBody, NozzleBody, Scene } from "./scene.ts";

/** What the camera looks at. */
export interface Stage {
  readonly settings: RehearsalSettings;
  readonly surface: Surface;
  readonly bodies: readonly Body[];
}
/** Where the nozzle is, and how much paste hangs at it, mm² square on; null: none. */
export interface NozzleStand { readonly tip: Vec3; readonly axis: Vec3; readonly hangMm2: number | null }

/** The stand of a nozzle on a strand, with what a fault hangs at it there. */
export function standOn(settings: RehearsalSettings, strand: PlannedStrand, sMm: number): NozzleStand {
  const { point, normal } = stationStance(strand, sMm, settings.widthMm);
  return { tip: point, axis: normal, hangMm2: hangAt(settings, strand, sMm) };
}
/** Paste that a fault hangs at the nozzle while it is there, mm²; null: none. */
export function hangAt(settings: RehearsalSettings, { layer, strand }: PlannedStrand, sMm: number): number | null {
  const fault = settings.faults.find((one) => one.kind === "hang" && one.layer === layer && one.strand === strand && sMm >= one.fromMm && sMm <= one.toMm);
  return fault === undefined ? null : sizeOf(fault, settings);
}

/** The middle of hanging paste: over the tip, and out of the axis on the camera's side, mm. */
const HANG_UP_MM = 1.8;
const HANG_OUT_MM = 0.7;
/** Its height over its width. */
const HANG_SLENDER = 1.2;

export interface Studio {
  readonly camera: PlacedCamera;
  /** The pose as the cell reports it. */
  readonly reportedPose: Pose7;
  readonly look: Look;
  readonly pxPerMm: number;
  /** null: the nozzle is away. */
  sceneAt(tS: number, nozzle: NozzleStand | null, withHand: boolean): Scene;
  /** The frame of a scene, in steps of a row. */
  takeSteps(scene: Scene): Generator<void, Taken>;
}

/** The lens of the settings. */
export function lensOf({ widthPx, heightPx, pxPerMm, distanceMm, look }: CameraSettings): Lens {
  const f = pxPerMm * distanceMm;
  return { widthPx, heightPx, fx: f, fy: f, cx: (widthPx - 1) / 2, cy: (heightPx - 1) / 2, ...lookOf(look).distortion };
}

/** Turned about an axis through the origin (Rodrigues). */
function turned(v: Vec3, axis: Vec3, deg: number): Vec3 {
  const c = Math.cos(deg * Math.PI / 180), s = Math.sin(deg * Math.PI / 180), k = (1 - c) * (v[0] * axis[0] + v[1] * axis[1] + v[2] * axis[2]);
  return [
    c * v[0] + s * (axis[1] * v[2] - axis[2] * v[1]) + k * axis[0], c * v[1] + s * (axis[2] * v[0] - axis[0] * v[2]) + k * axis[1],
    c * v[2] + s * (axis[0] * v[1] - axis[1] * v[0]) + k * axis[2],
  ];
}

/** A pose moved across its view by `mm` and turned about the aimed point by `deg`. */
function poseOff(pose: Pose7, distanceMm: number, mm: number, deg: number): Pose7 {
  if (mm === 0 && deg === 0) return pose;
  const { x, y, z, t } = axesOfPose(pose), aim = add(t, scale(z, distanceMm)), [x2, y2, z2] = [x, y, z].map((v) => turned(v, y, deg)) as [Vec3, Vec3, Vec3];
  return poseOfAxes(x2, y2, z2, add(add(aim, scale(z2, -distanceMm)), scale(x, mm)));
}

/** Two fingers that reach in from the far side of the field, over part of the strands. */
function handOver(surface: Surface, side: Vec3): Finger[] {
  const aim = surface.pointAt(0, 0), normal = surface.normalAt(0, 0), along: Vec3 = [-side[1], side[0], 0];
  const finger = (off: number, reach: number): Finger => {
    const at = (back: number, up: number): Vec3 => add(add(add(aim, scale(along, off)), scale(side, -back)), scale(normal, up));
    return { from: at(reach, 8.5), to: at(45, 24), radiusMm: 6.5 };
  };
  return [finger(-5, -2.5), finger(9.5, 2)];
}

/** A studio of one rehearsal. */
export function makeStudio(stage: Stage, camera: CameraSettings): Studio {
  const { settings, surface } = stage, look = lookOf(camera.look), azimuth = (camera.azimuthDeg + settings.directionDeg) * Math.PI / 180;
  const side: Vec3 = [Math.cos(azimuth), Math.sin(azimuth), 0], aim = surface.pointAt(0, 0), normal = surface.normalAt(0, 0);
  const pose = cameraPose({ aim, normal, side, angleRad: camera.angleDeg * Math.PI / 180, distanceMm: camera.distanceMm });
  const placed: PlacedCamera = { lens: lensOf(camera), pose };

  function hangOn({ tip, axis }: NozzleStand, areaMm2: number): HangBody {
    const half = Math.sqrt(areaMm2 / (Math.PI * HANG_SLENDER));
    return { centre: add(add(tip, scale(axis, HANG_UP_MM)), scale(side, HANG_OUT_MM)), axis, halfAlongMm: HANG_SLENDER * half, halfAcrossMm: half };
  }
  function sceneAt(tS: number, stand: NozzleStand | null, withHand: boolean): Scene {
    const nozzle: NozzleBody | null = stand === null ? null : { tip: stand.tip, axis: stand.axis, ...NOZZLE_SHAPE };
    const hang = stand === null || stand.hangMm2 === null ? null : hangOn(stand, stand.hangMm2);
    return { surface, bodies: stage.bodies, tS, nozzle, hang, hand: withHand ? handOver(surface, side) : null };
  }
  return {
    camera: placed, reportedPose: poseOff(pose, camera.distanceMm, camera.poseOffMm, camera.poseOffDeg), look, pxPerMm: camera.pxPerMm, sceneAt,
    takeSteps: (scene) => takeSteps(scene, placed, look, settings.seed),
  };
}
