/** Where a camera sees a place: its pose turned round, then its lens. */
import { beforeFold, distortInto, type Lens } from "./brownConrady.ts";
import { axesOfPose, dot, sub, type Pose7, type Vec3 } from "./vec.ts";

/** `pose` carries camera coordinates (+x right, +y down, +z forward) into the frame in which places are given. */
export class LensView {
  readonly #lens: Lens;
  readonly #axes: ReturnType<typeof axesOfPose>;
  readonly #pixel = new Float64Array(2);

  constructor(lens: Lens, pose: Pose7) {
    this.#lens = lens;
    this.#axes = axesOfPose(pose);
  }

  /** Where the camera stands. */
  get placeMm(): Vec3 { return this.#axes.t; }

  /** How far before the camera, along its axis, mm; negative: behind it. */
  depthMm(at: Vec3): number { return dot(this.#axes.z, sub(at, this.#axes.t)); }

  /** The pixel where a place is seen, inside the picture or not; null: it lies behind the camera, or beyond the lens's fold. */
  pixelAt(at: Vec3): readonly [number, number] | null {
    const { x, y, z, t } = this.#axes, away = sub(at, t), depthMm = dot(z, away);
    if (!(depthMm > 0)) return null;
    const u = dot(x, away) / depthMm, v = dot(y, away) / depthMm;
    if (!beforeFold(this.#lens, u, v)) return null;
    distortInto(this.#lens, u, v, this.#pixel);
    return [this.#pixel[0] as number, this.#pixel[1] as number];
  }
}
