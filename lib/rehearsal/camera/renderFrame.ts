/** A camera frame of a scene: one ray a pixel with the lens undone exactly, nine where something ends between neighbours, then the sensor. Pure; every byte follows from the seed. */
import { axesOfPose, type Pose7, type Vec3 } from "../../kernel/vec.ts";
import { makeRandom } from "../random.ts";
import { develop } from "./develop.ts";
import { unproject, type Lens } from "./lens.ts";
import type { Look } from "./look.ts";
import type { Scene } from "./scene.ts";
import { makeShader } from "./shade.ts";
import { makeTracer } from "./tracer.ts";

/** A lens at a place; the pose carries the camera's axes into `plan`. */
export interface PlacedCamera { readonly lens: Lens; readonly pose: Pose7 }
/** rgb // Uint8Array[3 · pixel], row by row from the top left, sRGB. */
export interface Frame { readonly widthPx: number; readonly heightPx: number; readonly rgb: Uint8Array }

/** Rays a side of a pixel that something ends in. */
const FINE = 3;
/** Neighbours whose normals stand further apart than this (cosine) have an edge between them. */
const EDGE_COSINE = 0.85;

/** Unit direction in `plan` of pixel (u, v); null where the lens shows nothing there. */
export function makeSight({ lens, pose }: PlacedCamera): { readonly from: Vec3; along(u: number, v: number): Vec3 | null } {
  const { x: ax, y: ay, z: az, t } = axesOfPose(pose), ideal = new Float64Array(2);
  return {
    from: t,
    along(u, v) {
      unproject(lens, u, v, ideal);
      const x = ideal[0]!, y = ideal[1]!;
      if (x !== x) return null;
      const k = 1 / Math.sqrt(x * x + y * y + 1);
      return [k * (x * ax[0] + y * ay[0] + az[0]), k * (x * ax[1] + y * ay[1] + az[1]), k * (x * ax[2] + y * ay[2] + az[2])];
    },
  };
}

/** linear // Float32Array[3 · pixel]; what the middle of each pixel shows, what // Int32Array[pixel] (scene.ts). */
interface Traced { readonly linear: Float32Array; readonly what: Int32Array }

/** The light that falls on every pixel, before the sensor, in steps of a row. */
function* traceSteps(scene: Scene, camera: PlacedCamera, look: Look, seed: number): Generator<void, Traced> {
  const { widthPx, heightPx } = camera.lens, pixels = widthPx * heightPx, tracer = makeTracer(scene), shader = makeShader(tracer, look, seed), sight = makeSight(camera);
  const linear = new Float32Array(3 * pixels), what = new Int32Array(pixels), shadow = new Uint8Array(pixels), normals = new Float32Array(3 * pixels), colour = new Float64Array(3);
  const look1 = (u: number, v: number): number => {
    const d = sight.along(u, v);
    if (d === null) { colour.fill(0); return -1; }
    return shader.shade(tracer.first(sight.from, d, true), sight.from, d, colour);
  };
  const { hit } = tracer;
  for (let v = 0, i = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++, i++) {
      shadow[i] = look1(u, v);
      what[i] = hit.what;
      linear.set(colour, 3 * i);
      normals[3 * i] = hit.nx; normals[3 * i + 1] = hit.ny; normals[3 * i + 2] = hit.nz;
    }
    yield;
  }
  const apart = (i: number, j: number): boolean => what[i] !== what[j] || shadow[i] !== shadow[j]
    || normals[3 * i]! * normals[3 * j]! + normals[3 * i + 1]! * normals[3 * j + 1]! + normals[3 * i + 2]! * normals[3 * j + 2]! < EDGE_COSINE;
  for (let v = 0, i = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++, i++) {
      const edge = (u > 0 && apart(i, i - 1)) || (u + 1 < widthPx && apart(i, i + 1)) || (v > 0 && apart(i, i - widthPx)) || (v + 1 < heightPx && apart(i, i + widthPx));
      if (!edge) continue;
      let r = 0, g = 0, b = 0;
      for (let k = 0; k < FINE * FINE; k++) {
        look1(u + (k % FINE + 0.5) / FINE - 0.5, v + (Math.floor(k / FINE) + 0.5) / FINE - 0.5);
        r += colour[0]!; g += colour[1]!; b += colour[2]!;
      }
      linear[3 * i] = r / (FINE * FINE); linear[3 * i + 1] = g / (FINE * FINE); linear[3 * i + 2] = b / (FINE * FINE);
    }
    yield;
  }
  return { linear, what };
}

/** A frame and what the middle of each of its pixels shows (scene.ts). */
export interface Taken { readonly frame: Frame; readonly what: Int32Array }

/** The frame that the camera gives, in steps of a row, each a millisecond or a few. Grain follows from the seed, noise from seed and instant. What the scene's bodies are is settled by the first step. */
export function* takeSteps(scene: Scene, camera: PlacedCamera, look: Look, seed: number): Generator<void, Taken> {
  const { widthPx, heightPx } = camera.lens, { linear, what } = yield* traceSteps(scene, camera, look, seed);
  return { frame: { widthPx, heightPx, rgb: yield* develop({ widthPx, heightPx, linear }, look, makeRandom(seed, `camera noise ${scene.tS}`)) }, what };
}

/** All steps at once. */
export function atOnce<T>(steps: Generator<void, T>): T {
  for (;;) {
    const { done, value } = steps.next();
    if (done === true) return value;
  }
}

/** The light alone. */
export function traceFrame(scene: Scene, camera: PlacedCamera, look: Look, seed: number): Traced {
  return atOnce(traceSteps(scene, camera, look, seed));
}

/** The frame alone. */
export function renderFrame(scene: Scene, camera: PlacedCamera, look: Look, seed: number): Frame {
  return atOnce(takeSteps(scene, camera, look, seed)).frame;
}
