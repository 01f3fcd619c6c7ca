/** A camera frame that is laid on the target: what the shaders need to find each place's pixel, by the camera model of kernel/brownConrady.ts. */
import { beforeFold } from "../../../lib/kernel/brownConrady.ts";
import { axesOfPose } from "../../../lib/kernel/vec.ts";
import type { Camera, Pose } from "../../../lib/model/job.ts";

export interface LaidPicture { readonly image: HTMLImageElement; readonly camera: Camera; readonly pose: Pose }

/** Ideal radii beyond this are no lens's: 80° off the axis. */
const WIDEST = 5.7;
const HALVINGS = 40;

/** The square of the ideal radius up to which the lens spreads along +x, at most WIDEST². */
export function foldSquared({ camera }: Pick<LaidPicture, "camera">): number {
  let [good, bad] = [0, WIDEST];
  if (beforeFold(camera, bad, 0)) return bad * bad;
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (good + bad) / 2;
    if (beforeFold(camera, middle, 0)) good = middle;
    else bad = middle;
  }
  return good * good;
}

/** Rows of the rotation from `plan` to the camera, and where it stands. */
export function cameraRows({ pose }: Pick<LaidPicture, "pose">): { readonly x: readonly number[]; readonly y: readonly number[]; readonly z: readonly number[]; readonly stands: readonly number[] } {
  const { x, y, z, t } = axesOfPose(pose);
  return { x, y, z, stands: t };
}

/** Finds the picture's colour at a place of the plan that faces the camera; false: the camera does not see it there. */
export const LAID_GLSL = `
uniform sampler2D laidPicture;
uniform vec3 laidX, laidY, laidZ, laidAt, laidK;
uniform vec2 laidF, laidC, laidP, laidSize;
uniform float laidFold, laidOn;
bool laid(vec3 where, vec3 facing, out vec3 colour) {
  colour = vec3(0.0);
  vec3 away = where - laidAt;
  float depth = dot(laidZ, away);
  if (laidOn < 0.5 || depth <= 0.0 || dot(facing, away) >= 0.0) return false;
  vec2 q = vec2(dot(laidX, away), dot(laidY, away)) / depth;
  float r2 = dot(q, q), radial = 1.0 + r2 * (laidK.x + r2 * (laidK.y + r2 * laidK.z));
  if (r2 > laidFold) return false;
  vec2 bent = q * radial + vec2(2.0 * laidP.x * q.x * q.y + laidP.y * (r2 + 2.0 * q.x * q.x), laidP.x * (r2 + 2.0 * q.y * q.y) + 2.0 * laidP.y * q.x * q.y);
  vec2 at = (laidC + laidF * bent + 0.5) / laidSize;
  if (at.x < 0.0 || at.y < 0.0 || at.x > 1.0 || at.y > 1.0) return false;
  colour = textureLod(laidPicture, at, 0.0).rgb;
  return true;
}`;
