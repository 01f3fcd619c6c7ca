/**
 * One ray against one piece of a body: rays run along −Z, a hit is told as its depth z on the ray's point r + z·Z; what counts is the first hit
 * from +Z's side. Sweeps are convex across the ray nearly everywhere, so the first hit is found by secants from outside on the section's signed
 * distance, which never pass it; where a ramp bends the body inwards the secant is bracketed. Hits are good to about 1e-7 mm. All of it is one
 * closure over plain numbers: the inner loop runs a million times a second.
 */
import { add, dot, scale, sub, unit, type Vec3 } from "../kernel/vec.ts";
import { FRAME, SECTION, type Blob, type Sweep } from "./body.ts";

const CLOSE_MM = 1e-8;
/** Neighbouring runs of one strand overlap by this. */
const SEAM_MM = 1e-7;
/** Step of the differences that a normal is taken from, mm. */
const NORMAL_STEP_MM = 1e-4;

/** A piece of a body: nodes of a sweep between arc lengths, or a blob. */
export interface Piece {
  readonly sweep: Sweep | null;
  readonly blob: Blob | null;
  readonly firstNode: number; readonly lastNode: number;
  readonly fromMm: number; readonly toMm: number;
}

export interface BodyRay {
  /** Direction Z that rays come from, and by how much bodies are lengthened at their flat ends. */
  aim(x: number, y: number, z: number, endSlackMm: number): void;
  /** A new piece: the search for nodes begins in its middle. */
  begin(piece: Piece): void;
  /** Depth z of the first hit of the ray through r, between `topZ` (outside the piece, or where a sweep's ray begins) and `floorZ`; NaN: none. */
  hit(piece: Piece, rx: number, ry: number, rz: number, topZ: number, floorZ: number): number;
  /** Cosine of incidence of the last hit. */
  cosine(): number;
  /** Outer unit normal of the piece at a point of its surface, by differences. */
  normalAt(piece: Piece, x: number, y: number, z: number): Vec3;
}

/** One per user: it keeps scratch state. */
export function makeBodyRay(): BodyRay {
  let zx = 0, zy = 0, zz = 0, slack = 0, cell = 0, cosine = 1;

  /** Signed distance (a lower bound of it, outside) of the point at depth z on the ray through (rx, ry, rz) to the run's piece of body. */
  function distance(run: Piece, rx: number, ry: number, rz: number, z: number): number {
    const body = run.sweep!, frames = body.frames;
    const px = rx + z * zx, py = ry + z * zy, pz = rz + z * zz;
    let k = cell, a0 = 0, a1 = 0, o = 0;
    for (let guard = 2 * (run.lastNode - run.firstNode) + 4; ; guard--) {
      if (guard < 0) return 1;
      o = FRAME * k;
      a0 = (px - frames[o]!) * frames[o + 3]! + (py - frames[o + 1]!) * frames[o + 4]! + (pz - frames[o + 2]!) * frames[o + 5]!;
      if (a0 < 0 && k > run.firstNode) { k--; continue; }
      a1 = (px - frames[o + 12]!) * frames[o + 15]! + (py - frames[o + 13]!) * frames[o + 16]! + (pz - frames[o + 14]!) * frames[o + 17]!;
      if (a1 > 0 && k < run.lastNode - 1) { k++; continue; }
      break;
    }
    cell = k;
    const span = a0 - a1;
    if (!(span > 1e-9)) return 1; // beyond the centre of the strand's turn
    const u = a0 / span, v = 1 - u;
    const dx0 = px - frames[o]!, dy0 = py - frames[o + 1]!, dz0 = pz - frames[o + 2]!;
    const dx1 = px - frames[o + 12]!, dy1 = py - frames[o + 13]!, dz1 = pz - frames[o + 14]!;
    const n = v * (dx0 * frames[o + 6]! + dy0 * frames[o + 7]! + dz0 * frames[o + 8]!) + u * (dx1 * frames[o + 18]! + dy1 * frames[o + 19]! + dz1 * frames[o + 20]!);
    const b = v * (dx0 * frames[o + 9]! + dy0 * frames[o + 10]! + dz0 * frames[o + 11]!) + u * (dx1 * frames[o + 21]! + dy1 * frames[o + 22]! + dz1 * frames[o + 23]!);
    const sections = body.sections, q = SECTION * k;
    const c = v * sections[q]! + u * sections[q + 7]!, r = v * sections[q + 1]! + u * sections[q + 8]!, m = v * sections[q + 2]! + u * sections[q + 9]!;
    const offset = v * sections[q + 3]! + u * sections[q + 10]!, rest = v * sections[q + 4]! + u * sections[q + 11]!;
    const tilt = v * sections[q + 5]! + u * sections[q + 12]!, curve = v * sections[q + 6]! + u * sections[q + 13]!;
    const side = b - offset, across = side > c ? side - c : side < -c ? side + c : 0;
    const nn = n - rest - tilt * b - curve * b * b / 2, up = nn - m;
    const far = Math.sqrt(across * across + up * up);
    let f = r < 1e-7 ? far + 1e-6 : far - r;
    // how the ray meets the section's outline: normal · Z
    const bz = zx * frames[o + 9]! + zy * frames[o + 10]! + zz * frames[o + 11]!, nz = zx * frames[o + 6]! + zy * frames[o + 7]! + zz * frames[o + 8]!;
    cosine = far > 0 ? (across * bz + up * nz) / far : nz;
    if (body.chord && -nn > f) { f = -nn; cosine = -nz; }
    const tz = zx * frames[o + 3]! + zy * frames[o + 4]! + zz * frames[o + 5]!;
    if (k === run.firstNode) {
      const over = -a0 - (k === 0 ? slack : SEAM_MM);
      if (over > f) { f = over; cosine = -tz; }
    }
    if (k === run.lastNode - 1) {
      const over = a1 - (k === body.nodes - 2 ? slack : SEAM_MM);
      if (over > f) { f = over; cosine = tz; }
    }
    const s = v * body.arcMm[k]! + u * body.arcMm[k + 1]!;
    if (run.fromMm - s - slack > f) { f = run.fromMm - s - slack; cosine = -tz; }
    if (s - run.toMm - slack > f) { f = s - run.toMm - slack; cosine = tz; }
    return f;
  }

  function hitSweep(run: Piece, rx: number, ry: number, rz: number, topZ: number, floorZ: number): number {
    let z0 = topZ, f0 = distance(run, rx, ry, rz, z0);
    let step = f0; // a signed distance is safe to walk
    for (let turn = 0; turn < 80; turn++) {
      const z1 = z0 - step;
      const f1 = distance(run, rx, ry, rz, z1);
      if (f1 < CLOSE_MM && f1 > -CLOSE_MM) return z1;
      if (f1 < 0) return bracketed(run, rx, ry, rz, z1, f1, z0, f0);
      if (f1 >= f0 || z1 < floorZ) return Number.NaN; // going away, or hidden by what was hit already
      const slope = (f0 - f1) / (z0 - z1);
      step = Math.min(f1 / slope, 4);
      if (step < 1e-10) return z1;
      z0 = z1;
      f0 = f1;
    }
    return Number.NaN;
  }

  /** The outermost root between zIn (inside, f < 0) and zOut (outside): Illinois, then halving. */
  function bracketed(run: Piece, rx: number, ry: number, rz: number, zIn: number, fIn: number, zOut: number, fOut: number): number {
    let a = zIn, fa = fIn, b = zOut, fb = fOut;
    for (let turn = 0; turn < 60; turn++) {
      const mid = turn % 3 === 2 ? (a + b) / 2 : a + (b - a) * (-fa / (fb - fa));
      const f = distance(run, rx, ry, rz, mid);
      if (Math.abs(f) < CLOSE_MM || b - a < 1e-10) return mid;
      if (f < 0) { a = mid; fa = f; fb /= 1.5; } else { b = mid; fb = f; fa /= 1.5; }
    }
    return (a + b) / 2;
  }

  /** A half ellipsoid, closed form. */
  function hitBlob(blob: Blob, rx: number, ry: number, rz: number): number {
    const from: Vec3 = sub([rx, ry, rz], blob.centre), along: Vec3 = [zx, zy, zz];
    let a = 0, b = 0, c = -1;
    for (let j = 0; j < 3; j++) {
      const axis = blob.axes[j] as Vec3, half = blob.halfMm[j] as number, p = dot(from, axis) / half, d = dot(along, axis) / half;
      a += d * d; b += p * d; c += p * p;
    }
    const root = b * b - a * c;
    if (root <= 0) return Number.NaN;
    const z = (-b + Math.sqrt(root)) / a;
    cosine = 0;
    for (let j = 0; j < 3; j++) {
      const axis = blob.axes[j] as Vec3, half = blob.halfMm[j] as number;
      cosine += (dot(from, axis) + z * dot(along, axis)) / (half * half) * dot(along, axis);
    }
    cosine = Math.min(1, Math.abs(cosine) * Math.min(...blob.halfMm));
    return z;
  }

  function blobNormal(blob: Blob, p: Vec3): Vec3 {
    let n: Vec3 = [0, 0, 0];
    for (let j = 0; j < 3; j++) {
      const axis = blob.axes[j] as Vec3, half = blob.halfMm[j] as number;
      n = add(n, scale(axis, dot(sub(p, blob.centre), axis) / (half * half)));
    }
    return unit(n);
  }

  return {
    aim(x, y, z, endSlackMm) {
      zx = x; zy = y; zz = z;
      slack = endSlackMm;
    },
    begin(piece) { cell = (piece.firstNode + piece.lastNode) >> 1; },
    hit: (piece, rx, ry, rz, topZ, floorZ) => (piece.sweep === null ? hitBlob(piece.blob!, rx, ry, rz) : hitSweep(piece, rx, ry, rz, topZ, floorZ)),
    cosine: () => cosine,
    normalAt(piece, x, y, z) {
      if (piece.blob !== null) return blobNormal(piece.blob, [x, y, z]);
      const f = distance(piece, x, y, z, 0), e = NORMAL_STEP_MM;
      return unit([distance(piece, x + e, y, z, 0) - f, distance(piece, x, y + e, z, 0) - f, distance(piece, x, y, z + e, 0) - f]);
    },
  };
}
