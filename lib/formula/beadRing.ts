/**
 * A bead's outline as a ring of nine points that is swept along a strand, from the base on the right of travel over the crown to the base on the left.
 * The undercut is filled, as it is seen from above; the base closes the ring.
 */
import type { BeadShape } from "../model/job.ts";
import { flankRadiusMm } from "./bead.ts";

export const RING_POINTS = 9;
/** Numbers a point: b (+ left of travel) and n over the base, mm; the outward normal's b and n, unit; the way along the outline from the crown, mm, + to the left. */
export const RING_STRIDE = 5;
/** Thinner than this a bead is drawn as thick as this, mm. */
const LEAST_MM = 0.02;

/** Writes the ring (Float64Array[5 · 9]). A stadium narrower than high, as a measured thread may be, keeps a round crown of half its width. */
export function writeBeadRing(shape: BeadShape, widthMm: number, heightMm: number, out: Float64Array): void {
  const w = Math.max(widthMm, LEAST_MM), h = Math.max(heightMm, LEAST_MM);
  if (shape === "stadium") writeStadium(w, h, out);
  else writeSegment(w, h, out);
  writeWay(out);
}

function put(out: Float64Array, j: number, b: number, n: number, angle: number): void {
  out.set([b, n, Math.sin(angle), Math.cos(angle)], RING_STRIDE * j);
}

/** Base, flank, half-way round it, edge of the crown, crown, and the same again. */
function writeStadium(w: number, h: number, out: Float64Array): void {
  const r = Math.min(w, h) / 2, half = w / 2, slant = r * Math.SQRT1_2;
  for (const side of [-1, 1] as const) {
    const j = (fromBase: number): number => (side < 0 ? fromBase : RING_POINTS - 1 - fromBase);
    put(out, j(0), side * half, 0, side * Math.PI / 2);
    put(out, j(1), side * half, h - r, side * Math.PI / 2);
    put(out, j(2), side * (half - r + slant), h - r + slant, side * Math.PI / 4);
    put(out, j(3), side * (half - r), h, 0);
  }
  put(out, 4, 0, h, 0);
}

/** Even steps round the circle; one that overhangs stands on its width. */
function writeSegment(w: number, h: number, out: Float64Array): void {
  const r = flankRadiusMm("segment", w, h), middle = h - r, overhangs = h > w / 2, last = RING_POINTS - 1;
  const widest = overhangs ? Math.PI / 2 : Math.asin(Math.min(1, w / (2 * r))), first = overhangs ? 1 : 0;
  for (let j = first; j <= last - first; j++) {
    const angle = widest * (2 * (j - first) / (last - 2 * first) - 1);
    put(out, j, r * Math.sin(angle), middle + r * Math.cos(angle), angle);
  }
  if (!overhangs) return;
  put(out, 0, -w / 2, 0, -Math.PI / 2);
  put(out, last, w / 2, 0, Math.PI / 2);
}

function writeWay(out: Float64Array): void {
  const middle = (RING_POINTS - 1) / 2;
  out[RING_STRIDE * middle + 4] = 0;
  for (let k = 1; k <= middle; k++) {
    for (const side of [-1, 1] as const) {
      const at = RING_STRIDE * (middle + side * k), inner = RING_STRIDE * (middle + side * (k - 1));
      const step = Math.hypot((out[at] as number) - (out[inner] as number), (out[at + 1] as number) - (out[inner + 1] as number));
      out[at + 4] = (out[inner + 4] as number) + side * step;
    }
  }
}
