import { FRAME_LENGTH, frameAt } from "../kernel/path.ts";
import type { StrandStations } from "../model/stations.ts";
import { nearestStation } from "./footprint.ts";
import type { Line } from "./line.ts";
import { SQUARE_COS } from "./settings.ts";

/**
 * Where one profile's plane cuts one strand, and the map from sensor (x, z) to the strand's own coordinates there:
 * δ along the strand from the cut, b to its left, n over the planned base.
 * To second order in δ, with the frame's normal curvature κn, geodesic curvature κg and torsion τ (Darboux frame of a curve on a surface):
 *   T = δ (1 − κg b − κn ν),  B = b + κg δ²/2 + τ ν δ,  N = ν + κn δ²/2 − τ b δ,  with ν = n − h.
 */
export interface Crossing {
  strand: StrandStations;
  sMm: number;
  /** Nearest station: planned bead, windows. */
  at: number;
  widthMm: number; heightMm: number;
  frame: Float64Array; // Float64Array[12]
  t0: number; tx: number; tz: number; // T = t0 + x tx + z tz
  b0: number; bx: number; bz: number;
  n0: number; nx: number; nz: number; // over the planned base
  kn: number; kg: number; tau: number;
  /** Lateral limits that the bead is followed to. */
  leftMm: number; rightMm: number;
}

export function makeCrossing(strand: StrandStations): Crossing {
  return {
    strand, sMm: 0, at: 0, widthMm: 0, heightMm: 0, frame: new Float64Array(FRAME_LENGTH), t0: 0, tx: 0, tz: 0, b0: 0, bx: 0, bz: 0,
    n0: 0, nx: 0, nz: 0, kn: 0, kg: 0, tau: 0, leftMm: 0, rightMm: 0,
  };
}

/** Sets `out` for the cut at arc length s; false where the plane stands over 45° from square or the surface looks away. */
export function placeCrossing(out: Crossing, strand: StrandStations, sMm: number, spacingMm: number, line: Line): boolean {
  const at = nearestStation(strand, sMm, spacingMm);
  out.strand = strand;
  out.sMm = sMm;
  out.at = at;
  out.widthMm = strand.widthMm[at] as number;
  out.heightMm = strand.heightMm[at] as number;
  const f = out.frame;
  frameAt(strand.path, sMm, out.widthMm / 2, f);
  if (Math.abs(dot(f, 3, line.ey)) < SQUARE_COS || dot(f, 6, line.ez) < 0.25) return false;
  out.tx = dot(f, 3, line.ex); out.tz = dot(f, 3, line.ez);
  out.bx = dot(f, 9, line.ex); out.bz = dot(f, 9, line.ez);
  out.nx = dot(f, 6, line.ex); out.nz = dot(f, 6, line.ez);
  const dx = (line.o[0] as number) - (f[0] as number), dy = (line.o[1] as number) - (f[1] as number), dz = (line.o[2] as number) - (f[2] as number);
  out.t0 = dx * f[3]! + dy * f[4]! + dz * f[5]!;
  out.b0 = dx * f[9]! + dy * f[10]! + dz * f[11]!;
  out.n0 = dx * f[6]! + dy * f[7]! + dz * f[8]! + out.heightMm;
  out.kn = strand.turn[3 * at] as number;
  out.kg = strand.turn[3 * at + 1] as number;
  out.tau = strand.turn[3 * at + 2] as number;
  out.leftMm = Math.min(strand.halfWayLeftMm[at] as number, (strand.windowLeftMm[at] as number) + out.widthMm);
  out.rightMm = Math.min(strand.halfWayRightMm[at] as number, (strand.windowRightMm[at] as number) + out.widthMm);
  return true;
}

function dot(frame: Float64Array, at: number, a: Float64Array): number {
  return (frame[at] as number) * (a[0] as number) + (frame[at + 1] as number) * (a[1] as number) + (frame[at + 2] as number) * (a[2] as number);
}

/** Sensor x whose ray meets the level n over the planned base at lateral b (first order). */
export function sensorXAt(c: Crossing, bMm: number, nMm: number): number {
  // b = b0 + x bx + z bz, n = n0 + x nx + z nz
  const det = c.bx * c.nz - c.bz * c.nx;
  return ((bMm - c.b0) * c.nz - (nMm - c.n0) * c.bz) / det;
}

/** Change of lateral position per sample step along a level surface, mm per mm of sensor x. */
export function lateralPerX(c: Crossing): number {
  return c.bx - c.bz * c.nx / c.nz;
}

/** δ along the strand of the profile at lateral b on the level n (first order). */
export function alongAt(c: Crossing, bMm: number, nMm: number): number {
  const x = sensorXAt(c, bMm, nMm);
  const z = (nMm - c.n0 - x * c.nx) / c.nz;
  const T = c.t0 + x * c.tx + z * c.tz;
  return T / (1 - c.kg * bMm - c.kn * (nMm - c.heightMm));
}

/** How far along the strand the profile lies per mm of b and per mm of n beyond its cut through the plan (first order). */
export function slantOf(c: Crossing): { readonly perB: number; readonly perN: number } {
  const det = c.bx * c.nz - c.bz * c.nx;
  return { perB: (c.tx * c.nz - c.tz * c.nx) / det, perN: (c.tz * c.bx - c.tx * c.bz) / det };
}

/** Samples of one profile in a strand's own coordinates, b ascending. */
export interface Samples {
  count: number;
  b: Float64Array; n: Float64Array; d: Float64Array; // Float64Array[sample], mm; d = δ along the strand
  /** Lateral range that the sensor's field covers at the planned base. */
  seenRightMm: number; seenLeftMm: number;
  pitchMm: number;
}

export function makeSamples(): Samples {
  return { count: 0, b: new Float64Array(0), n: new Float64Array(0), d: new Float64Array(0), seenRightMm: 0, seenLeftMm: 0, pitchMm: 0 };
}

/** Carries the samples between the crossing's lateral limits (and `beyondMm` more) into `out`; heights are lowered by offset + tilt · x. */
export function takeSamples(out: Samples, c: Crossing, line: Line, drift: { offsetMm: number; tilt: number }, beyondMm: number): void {
  if (out.b.length < line.count) {
    out.b = new Float64Array(line.count);
    out.n = new Float64Array(line.count);
    out.d = new Float64Array(line.count);
  }
  const per = lateralPerX(c);
  const rising = per > 0;
  const end1 = lateralOfX(c, line.minX), end2 = lateralOfX(c, line.maxX);
  out.seenRightMm = Math.min(end1, end2);
  out.seenLeftMm = Math.max(end1, end2);
  out.pitchMm = line.pitchMm * Math.abs(per);
  const low = -c.rightMm - beyondMm, high = c.leftMm + beyondMm;
  const slack = Math.abs(c.bz / c.nz) * 2 * c.heightMm + 2 * out.pitchMm;
  const xa = sensorXAt(c, low - slack, 0), xb = sensorXAt(c, high + slack, 0);
  const first = lowerBound(line.x, line.count, Math.min(xa, xb)), last = lowerBound(line.x, line.count, Math.max(xa, xb)) - 1;
  const nLow = -4 * c.heightMm - 0.5, nHigh = 5 * c.heightMm + 1;
  const { x: xs, z: zs } = line;
  const { b: bs, n: ns, d: ds } = out;
  const { offsetMm, tilt } = drift;
  const { t0, tx, tz, b0, bx, bz, n0, nx, nz, kn, kg, tau, heightMm } = c;
  let m = 0;
  for (let q = 0, total = last - first + 1; q < total; q++) {
    const j = rising ? first + q : last - q;
    const x = xs[j] as number;
    const z = (zs[j] as number) - offsetMm - tilt * x;
    if (z !== z) continue;
    const T = t0 + x * tx + z * tz, B = b0 + x * bx + z * bz, N = n0 + x * nx + z * nz;
    const delta = T / (1 - kg * B - kn * (N - heightMm));
    const b = B - 0.5 * kg * delta * delta - tau * (N - heightMm) * delta;
    const n = N - 0.5 * kn * delta * delta + tau * b * delta;
    if (b < low || b > high || n < nLow || n > nHigh) continue;
    // under an overhang, or behind it: from above only the higher one is seen
    while (m > 0 && b <= (bs[m - 1] as number) && n > (ns[m - 1] as number)) m--;
    if (m > 0 && b <= (bs[m - 1] as number)) continue;
    bs[m] = b; ns[m] = n; ds[m] = delta;
    m++;
  }
  out.count = m;
}

function lateralOfX(c: Crossing, x: number): number {
  return c.b0 + x * c.bx + c.bz * (-c.n0 - x * c.nx) / c.nz;
}

/** First index with x[i] ≥ value. */
function lowerBound(x: Float64Array, count: number, value: number): number {
  let low = 0, high = count;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((x[mid] as number) < value) low = mid + 1;
    else high = mid;
  }
  return low;
}
