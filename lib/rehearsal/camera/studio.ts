/** The camera at a rehearsal: where it stands, what the scene is at an instant, and its frames. */
import { add, axesOfPose, poseOfAxes, scale, type Pose7, type Vec3 } from "../../kernel/vec.ts";
import type { Body } from "../body.ts";
import { NOZZLE_SHAPE } from "../jobJson.ts";
import { stationStance } from "../planSection.ts";
import type { Lay } from "../schedule.ts";
import type { RehearsalSettings } from "../settings.ts";
import type { Surface } from "../surface.ts";
import type { CameraSettings } from "./cameraSettings.ts";
import { cameraPose, type Lens } from "./lens.ts";
import { lookOf, type Look } from "./look.ts";
import { renderFrame, type Frame, type PlacedCamera } from "./renderFrame.ts";
import type { Finger, HangBody, NozzleBody, Scene } from "./scene.ts";

/** Paste that hangs at the nozzle while it is on a stretch: its area seen square on, mm². */
export interface Hang { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly areaMm2: number }
/** What the camera looks at. */
export interface Stage {
  readonly settings: RehearsalSettings;
  readonly surface: Surface;
  readonly bodies: readonly Body[];
  readonly lays: readonly Lay[];
  readonly hangs: readonly Hang[];
}

/** The middle of hanging paste: over the tip, and out of the axis on the camera's side, mm. */
const HANG_UP_MM = 1.8;
const HANG_OUT_MM = 0.7;

export interface Studio {
  readonly camera: PlacedCamera;
  /** The pose as the cell reports it. */
  readonly reportedPose: Pose7;
  readonly look: Look;
  sceneAt(tS: number, withHand: boolean): Scene;
  /** The frame taken at tS; frames of one run have different noise. */
  frameAt(tS: number, withHand: boolean): Frame;
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
    return { from: at(reach, 9.5), to: at(45, 26), radiusMm: 7 };
  };
  return [finger(-4, 4), finger(10.5, 6.5)];
}

/** A studio of one rehearsal. */
export function makeStudio(stage: Stage, camera: CameraSettings): Studio {
  const { settings, surface } = stage, look = lookOf(camera.look), azimuth = (camera.azimuthDeg + settings.directionDeg) * Math.PI / 180;
  const side: Vec3 = [Math.cos(azimuth), Math.sin(azimuth), 0], aim = surface.pointAt(0, 0), normal = surface.normalAt(0, 0);
  const pose = cameraPose({ aim, normal, side, angleRad: camera.angleDeg * Math.PI / 180, distanceMm: camera.distanceMm });
  const placed: PlacedCamera = { lens: lensOf(camera), pose };

  function nozzleAt(tS: number): { nozzle: NozzleBody; hang: HangBody | null } | null {
    const lay = stage.lays.find((one) => tS >= one.startS && tS <= one.startS + (one.toMm - one.fromMm) / settings.speedMmS);
    if (lay === undefined) return null;
    const sMm = lay.fromMm + settings.speedMmS * (tS - lay.startS), stance = stationStance(lay.strand, sMm, settings.widthMm);
    const hang = stage.hangs.find((one) => one.layer === lay.strand.layer && one.strand === lay.strand.strand && sMm >= one.fromMm && sMm <= one.toMm);
    const nozzle = { tip: stance.point, axis: stance.normal, ...NOZZLE_SHAPE };
    if (hang === undefined) return { nozzle, hang: null };
    const half = Math.sqrt(hang.areaMm2 / (Math.PI * 1.2));
    const centre = add(add(stance.point, scale(stance.normal, HANG_UP_MM)), scale(side, HANG_OUT_MM));
    return { nozzle, hang: { centre, axis: stance.normal, halfAlongMm: 1.2 * half, halfAcrossMm: half } };
  }

  function sceneAt(tS: number, withHand: boolean): Scene {
    const tool = nozzleAt(tS);
    return { surface, bodies: stage.bodies, tS, nozzle: tool?.nozzle ?? null, hang: tool?.hang ?? null, hand: withHand ? handOver(surface, side) : null };
  }
  return {
    camera: placed, reportedPose: poseOff(pose, camera.distanceMm, camera.poseOffMm, camera.poseOffDeg), look, sceneAt,
    frameAt: (tS, withHand) => renderFrame(sceneAt(tS, withHand), placed, look, settings.seed + Math.round(1000 * tS)),
  };
}
