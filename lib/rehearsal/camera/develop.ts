/** From light to bytes: motion, blur, corners, exposure, noise, the sRGB curve and 8 bits. */
import type { Random } from "../random.ts";
import type { Look } from "./look.ts";

/** A linear picture. */
export interface Light3 { readonly widthPx: number; readonly heightPx: number; readonly linear: Float32Array /* Float32Array[3 · pixel] */ }

/** sRGB transfer function (IEC 61966-2-1), 0..1 to 0..1. */
export function toSrgb(linear: number): number {
  return linear <= 0.0031308 ? 12.92 * linear : 1.055 * linear ** (1 / 2.4) - 0.055;
}

/** The curve in 8 bits for signals in steps of 1/65535. */
const BYTES = Uint8Array.from({ length: 65536 }, (_, i) => Math.round(255 * toSrgb(i / 65535)));

/** Weights of a Gaussian of `sigmaPx`, out to 3.5 of it, summing to 1. */
function gaussian(sigmaPx: number): Float64Array {
  const reach = Math.ceil(3.5 * sigmaPx), weights = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-0.5 * ((i - reach) / sigmaPx) ** 2));
  const sum = weights.reduce((a, b) => a + b, 0);
  return weights.map((w) => w / sum);
}

/** One pass of `weights` along the offsets (dx, dy) per step, row by row; the edge's own pixels go on beyond it. */
function* smear({ widthPx, heightPx, linear }: Light3, weights: Float64Array, dx: number, dy: number): Generator<void, Float32Array> {
  const out = new Float32Array(linear.length), reach = (weights.length - 1) / 2;
  for (let v = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++) {
      let r = 0, g = 0, b = 0;
      for (let i = 0; i < weights.length; i++) {
        const x = Math.min(widthPx - 1, Math.max(0, u + Math.round((i - reach) * dx))), y = Math.min(heightPx - 1, Math.max(0, v + Math.round((i - reach) * dy)));
        const q = 3 * (y * widthPx + x), w = weights[i]!;
        r += w * linear[q]!; g += w * linear[q + 1]!; b += w * linear[q + 2]!;
      }
      const o = 3 * (v * widthPx + u);
      out[o] = r; out[o + 1] = g; out[o + 2] = b;
    }
    yield;
  }
  return out;
}

/** The camera's bytes, rgb // Uint8Array[3 · pixel], in steps of a row. `random` is the noise's. */
export function* develop(light: Light3, look: Look, random: Random): Generator<void, Uint8Array> {
  const { widthPx, heightPx } = light;
  let { linear } = light;
  const [mx, my] = look.motionPx, steps = Math.ceil(Math.max(Math.abs(mx), Math.abs(my)));
  if (steps > 0) linear = yield* smear({ ...light, linear }, new Float64Array(2 * Math.ceil(steps / 2) + 1).fill(1 / (2 * Math.ceil(steps / 2) + 1)), mx / steps, my / steps);
  if (look.blurPx > 0) {
    const weights = gaussian(look.blurPx);
    linear = yield* smear({ ...light, linear: yield* smear({ ...light, linear }, weights, 1, 0) }, weights, 0, 1);
  }
  const rgb = new Uint8Array(linear.length), cornerSquare = (widthPx * widthPx + heightPx * heightPx) / 4;
  for (let v = 0, q = 0; v < heightPx; v++) {
    for (let u = 0; u < widthPx; u++) {
      const x = u - (widthPx - 1) / 2, y = v - (heightPx - 1) / 2, gain = look.exposure * (1 - look.vignetteFraction * (x * x + y * y) / cornerSquare);
      for (let c = 0; c < 3; c++, q++) {
        const signal = gain * linear[q]!, sd = Math.sqrt(signal / look.fullWell + look.readFraction * look.readFraction);
        const seen = signal + sd * random.gauss();
        rgb[q] = BYTES[Math.round(65535 * Math.min(1, Math.max(0, seen)))]!;
      }
    }
    yield;
  }
  return rgb;
}
