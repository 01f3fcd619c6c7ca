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
import { takeFrame, type Frame, type PlacedCamera } from "./renderFrame.ts";
import type { Finger, HangBody, NozzleBody, Scene } from "./scene.ts";

/** What the camera looks at. */
export interface Stage {
  readonly settings: RehearsalSettings;
  readonly surface: Surface;
  readonly bodies: readonly Body[];
}
/** Where the nozzle is: on a strand, at a length along it. */
export interface NozzlePlace { readonly strand: PlannedStrand; readonly sMm: number }

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
  sceneAt(tS: number, nozzle: NozzlePlace | null, withHand: boolean): Scene;
  /** The frame of a scene, and what the middle of each of its pixels shows. */
  take(scene: Scene): { readonly frame: Frame; readonly what: Int32Array };
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

  /** Nozzle, and paste hanging at it where a fault says so. */
  function toolAt({ strand, sMm }: NozzlePlace): { nozzle: NozzleBody; hang: HangBody | null } {
    const stance = stationStance(strand, sMm, settings.widthMm), nozzle = { tip: stance.point, axis: stance.normal, ...NOZZLE_SHAPE };
    const fault = settings.faults.find((one) => one.kind === "hang" && one.layer === strand.layer && one.strand === strand.strand && sMm >= one.fromMm && sMm <= one.toMm);
    if (fault === undefined) return { nozzle, hang: null };
    const half = Math.sqrt(sizeOf(fault, settings) / (Math.PI * HANG_SLENDER));
    const centre = add(add(stance.point, scale(stance.normal, HANG_UP_MM)), scale(side, HANG_OUT_MM));
    return { nozzle, hang: { centre, axis: stance.normal, halfAlongMm: HANG_SLENDER * half, halfAcrossMm: half } };
  }

  function sceneAt(tS: number, place: NozzlePlace | null, withHand: boolean): Scene {
    const { nozzle, hang } = place === null ? { nozzle: null, hang: null } : toolAt(place);
    return { surface, bodies: stage.bodies, tS, nozzle, hang, hand: withHand ? handOver(surface, side) : null };
  }
  return {
    camera: placed, reportedPose: poseOff(pose, camera.distanceMm, camera.poseOffMm, camera.poseOffDeg), look, pxPerMm: camera.pxPerMm, sceneAt,
    take: (scene) => takeFrame(scene, placed, look, settings.seed),
  };
}
