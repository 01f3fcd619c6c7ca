/**
 * A polyline with a unit normal at each vertex, read by arc length. Numbers only: it knows no strands.
 * The frame at s is [position, tangent, normal, lateral]: the normal interpolated and normalised, the tangent the chord over
 * s ± halfChord made square to it, lateral = normal × tangent.
 */
export interface Path {
  readonly pointsMm: Float64Array; // Float64Array[3 · vertex]
  readonly normals: Float64Array; // Float64Array[3 · vertex], unit
  readonly arcMm: Float64Array; // Float64Array[vertex], ascending from 0
  /** The last vertex lies on the first: the chord runs over the seam. */
  readonly closed: boolean;
}

/** Length of a packed frame: position, tangent, normal, lateral. */
export const FRAME_LENGTH = 12;

/** Index i of the segment [i, i + 1] that holds arc length s (ends are clamped). */
export function segmentAt(arcMm: Float64Array, sMm: number): number {
  let low = 0;
  let high = arcMm.length - 2;
  while (low < high) {
    const mid = (low + high + 1) >> 1;
    if ((arcMm[mid] as number) <= sMm) low = mid;
    else high = mid - 1;
  }
  return low;
}

/** Point at arc length s into out[at…at+2]; beyond an end the end segment is followed straight on. */
export function pointAt(path: Path, sMm: number, out: Float64Array, at: number): void {
  const i = segmentAt(path.arcMm, sMm);
  const a = path.arcMm[i] as number;
  const f = (sMm - a) / ((path.arcMm[i + 1] as number) - a);
  const p = path.pointsMm;
  for (let k = 0; k < 3; k++) {
    const p0 = p[3 * i + k] as number;
    out[at + k] = p0 + ((p[3 * i + 3 + k] as number) - p0) * f;
  }
}

const chord = new Float64Array(6);

/** Frame at arc length s into `out` (Float64Array[12]). s may lie beyond an open end: the end frame, moved along its tangent. */
export function frameAt(path: Path, sMm: number, halfChordMm: number, out: Float64Array): void {
  const length = path.arcMm[path.arcMm.length - 1] as number;
  const wrapped = path.closed ? wrap(sMm, length) : sMm;
  const inside = wrapped < 0 ? 0 : wrapped > length ? length : wrapped;
  pointAt(path, wrapped, out, 0);
  normalAt(path, inside, out);
  let from = inside - halfChordMm;
  let to = inside + halfChordMm;
  if (path.closed) {
    from = wrap(from, length);
    to = wrap(to, length);
  } else {
    if (from < 0) from = 0;
    if (to > length) to = length;
  }
  pointAt(path, from, chord, 0);
  pointAt(path, to, chord, 3);
  let tx = (chord[3] as number) - (chord[0] as number);
  let ty = (chord[4] as number) - (chord[1] as number);
  let tz = (chord[5] as number) - (chord[2] as number);
  const nx = out[6] as number, ny = out[7] as number, nz = out[8] as number;
  const along = tx * nx + ty * ny + tz * nz;
  tx -= along * nx; ty -= along * ny; tz -= along * nz;
  const n = Math.sqrt(tx * tx + ty * ty + tz * tz);
  if (!(n > 0)) throw new RangeError(`the path has no direction across its normal at s = ${sMm} mm`);
  tx /= n; ty /= n; tz /= n;
  out[3] = tx; out[4] = ty; out[5] = tz;
  out[9] = ny * tz - nz * ty; out[10] = nz * tx - nx * tz; out[11] = nx * ty - ny * tx;
}

function normalAt(path: Path, sMm: number, out: Float64Array): void {
  const i = segmentAt(path.arcMm, sMm);
  const a = path.arcMm[i] as number;
  const f = (sMm - a) / ((path.arcMm[i + 1] as number) - a);
  const v = path.normals;
  let sum = 0;
  for (let k = 0; k < 3; k++) {
    const n0 = v[3 * i + k] as number;
    const n = n0 + ((v[3 * i + 3 + k] as number) - n0) * f;
    out[6 + k] = n;
    sum += n * n;
  }
  const size = Math.sqrt(sum);
  for (let k = 0; k < 3; k++) out[6 + k] = (out[6 + k] as number) / size;
}

function wrap(sMm: number, length: number): number {
  return sMm < 0 ? sMm + length : sMm > length ? sMm - length : sMm;
}
