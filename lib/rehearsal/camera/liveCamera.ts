/** The camera of a live cell: when a frame is due, and what it shows then. Pure: rendering is the caller's (`liveFrames.ts`). */
import type { Pose7, Vec3 } from "../../kernel/vec.ts";
import type { Body } from "../body.ts";
import type { RehearsalSettings } from "../settings.ts";
import type { Surface } from "../surface.ts";
import type { CameraSettings } from "./cameraSettings.ts";
import type { Taken } from "./renderFrame.ts";
import { CAMERA_ID, deviceOf } from "./shoot.ts";
import { makeStudio, type NozzleStand, type Studio } from "./studio.ts";

/** A frame that has been taken and is yet to be developed; `steps` are those of `takeSteps`, over bodies as they were at tS. */
export interface LiveShot { readonly kind: "shot"; readonly tS: number; readonly device: string; readonly file: string; readonly pose: Pose7; readonly steps: Generator<void, Taken> }

/** Counts the frames of one print; the first is due at once. */
export class LiveCamera {
  dueS = 0;
  readonly device: Record<string, unknown>;
  private readonly studio: Studio;
  private readonly settings: CameraSettings;
  private count = 0;

  constructor(settings: RehearsalSettings, surface: Surface, camera: CameraSettings) {
    this.settings = camera;
    this.studio = makeStudio({ settings, surface, bodies: [] }, camera);
    this.device = deviceOf(this.studio);
  }

  /** The frame of an instant. `joltMm`: the target was moved by so much and the cell does not know; null: it stands where it stood. */
  take(tS: number, { bodies, nozzle, joltMm }: { readonly bodies: readonly Body[]; readonly nozzle: NozzleStand; readonly joltMm: Vec3 | null }): LiveShot {
    const { studio } = this, [x, y, z, ...turn] = studio.reportedPose, [jx, jy, jz] = joltMm ?? [0, 0, 0];
    const scene = { ...studio.sceneAt(tS, nozzle, this.settings.hand && this.count % 2 === 1), bodies: bodies.map(held) };
    this.count++;
    this.dueS = tS + this.settings.everyS;
    return { kind: "shot", tS, device: CAMERA_ID, file: `frames/${String(this.count).padStart(5, "0")}.png`, pose: [x + jx, y + jy, z + jz, ...turn], steps: studio.takeSteps(scene) };
  }
}

/** The body as it is now: what grows or is dragged later changes the print's own. */
function held(body: Body): Body {
  return body.kind === "blob" ? { ...body } : { ...body, sections: body.sections.slice() };
}
