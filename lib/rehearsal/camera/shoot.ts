/** The frames of a recorded rehearsal: where the nozzle is at an instant, the frame taken then, and its truth. */
import { InputError } from "../../base/errors.ts";
import type { PasteMarkMessage } from "../../model/messages.ts";
import type { Pose7 } from "../../kernel/vec.ts";
import type { LaidOut } from "../simulate.ts";
import type { CameraSettings } from "./cameraSettings.ts";
import { makeFrameTruth, type FrameTruth } from "./frameTruth.ts";
import { largestRect } from "./largestRect.ts";
import { atOnce, type Frame } from "./renderFrame.ts";
import { shotsOf, type Shot } from "./shots.ts";
import { NOTHING } from "./scene.ts";
import { makeStudio, standOn, type NozzleStand, type Studio } from "./studio.ts";

/** The camera's name in job and frames. */
export const CAMERA_ID = "camera-1";

/** One frame as it is recorded, with its true answer. */
export interface TakenFrame extends Shot { readonly device: string; readonly pose: Pose7; readonly frame: Frame; readonly truth: FrameTruth }

export interface Shoot {
  readonly studio: Studio;
  readonly shots: readonly Shot[];
  /** The frame of an instant, whether it is one of `shots` or not. */
  take(shot: Shot): TakenFrame;
  /** The camera in job.json. */
  readonly device: Record<string, unknown>;
  /** Where the last frame shows nothing but paste, also in the pixels round about. InputError command.usage where it does not. */
  pasteMark(): PasteMarkMessage;
}

/** The camera in job.json. */
export function deviceOf({ camera }: Studio): Record<string, unknown> { return { id: CAMERA_ID, kind: "camera", ...camera.lens }; }

/** Where the nozzle is at tS; null: away from the paste. */
export function nozzleAt({ schedule, settings }: Pick<LaidOut, "schedule" | "settings">, tS: number): NozzleStand | null {
  const lay = schedule.lays.find((one) => tS >= one.startS && tS <= one.startS + (one.toMm - one.fromMm) / settings.speedMmS);
  return lay === undefined ? null : standOn(settings, lay.strand, lay.fromMm + settings.speedMmS * (tS - lay.startS));
}

/** A shoot of what was laid; settings as `fillCamera` gives them. */
export function makeShoot(world: LaidOut, camera: CameraSettings): Shoot {
  const studio = makeStudio(world, camera), truthOf = makeFrameTruth(world, studio), shots = shotsOf(world.schedule, camera);
  const sceneOf = ({ tS, withHand }: Shot) => studio.sceneAt(tS, nozzleAt(world, tS), withHand);
  return {
    studio, shots,
    take(shot) {
      const scene = sceneOf(shot), { frame, what } = atOnce(studio.takeSteps(scene));
      return { ...shot, device: CAMERA_ID, pose: studio.reportedPose, frame, truth: truthOf({ file: shot.file, scene, frame, what }) };
    },
    device: deviceOf(studio),
    pasteMark() {
      const last = shots.at(-1) as Shot, { what } = atOnce(studio.takeSteps(sceneOf(last)));
      const { widthPx, heightPx } = camera, around = [-widthPx - 1, -widthPx, -widthPx + 1, -1, 0, 1, widthPx - 1, widthPx, widthPx + 1];
      const rectPx = largestRect(widthPx, heightPx, (i) => around.every((step) => (what[i + step] ?? NOTHING) >= 0));
      if (rectPx === null) throw new InputError("command.usage", "a camera whose last frame shows a bead at least 3 pixels wide", `${camera.pxPerMm} pixels a mm`, { key: "pxPerMm" });
      return { kind: "pasteMark", tS: last.tS, device: CAMERA_ID, file: last.file, rectPx, who: "engineer" };
    },
  };
}
