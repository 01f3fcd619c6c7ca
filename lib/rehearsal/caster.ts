/**
 * Ray casting in one plane: a laser plane, or the section square to a strand. Rays run in the plane along −Z of a pose, ray x from
 * t + x·X; what counts is the first hit from the sensor's side. Sweeps are convex across the ray nearly everywhere, so the first hit is
 * found by secants from outside on the section's signed distance, which never pass it; where a ramp bends the body inwards the secant is
 * bracketed. Hits are good to about 1e-7 mm. All of it is one closure over plain numbers: the inner loop runs a million times a second.
 */
import { axesOfPose, dot, sub, tripleAt, type Pose7, type Vec3 } from "../kernel/vec.ts";
import { chunkNodes, FRAME, laidToMm, SECTION, type Blob, type Body, type Sweep } from "./body.ts";
import type { Surface } from "./surface.ts";

/** Hit on the target itself; other hits are indices into the bodies given to `aim`. */
export const ON_TARGET = -1;
const CLOSE_MM = 1e-8;
/** Neighbouring runs of one strand overlap by this. */
const SEAM_MM = 1e-7;
/** A run of chunks is cut where the strand has turned by more than this (cosine): one ray then has one place on it. */
const RUN_TURN = Math.cos(0.5);

interface Run {
  readonly index: number;
  readonly sweep: Sweep | null;
  readonly blob: Blob | null;
  readonly firstNode: number; lastNode: number;
  lowX: number; highX: number; topZ: number;
  readonly fromMm: number; readonly toMm: number;
}

export interface Caster {
  /** The last ray's hit: body index or ON_TARGET. */
  readonly hit: { index: number; cosIncidence: number };
  /** Sets pose and bodies as they are at time tS; `endSlackMm` lengthens every body at its flat ends (the limit from inside, for truth). */
  aim(pose: Pose7, bodies: readonly Body[], tS: number, lowX: number, highX: number, endSlackMm: number): void;
  /** Sensor z of the first hit at x; NaN: none. */
  zAt(x: number): number;
  /** The same for the regular grid x0 + i·dx: heights and hit indices, and |cos| of incidence on bodies (1 on the target). */
  castRow(x0: number, dx: number, z: Float64Array, index: Int32Array, cosIncidence: Float32Array): void;
}

/** A caster on a target. One per user: it keeps scratch state. */
export function makeCaster(surface: Surface): Caster {
  let ox = 0, oy = 0, oz = 0, xx = 0, xy = 0, xz = 0, zx = 0, zy = 0, zz = 0, slack = 0;
  let runs: Run[] = [];
  let cell = 0, cosine = 1;
  const hit = { index: ON_TARGET, cosIncidence: 1 };

  /** Signed distance (a lower bound of it, outside) of the point at depth z on the ray through (rx, ry, rz) to the run's piece of body. */
  function distance(run: Run, rx: number, ry: number, rz: number, z: number): number {
    const body = run.sweep as Sweep, frames = body.frames;
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

  /** Depth z of the first hit of ray x on a sweep's run above `floorZ`, NaN where there is none. */
  function hitSweep(run: Run, x: number, floorZ: number): number {
    const rx = ox + x * xx, ry = oy + x * xy, rz = oz + x * xz;
    let z0 = run.topZ, f0 = distance(run, rx, ry, rz, z0);
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
  function bracketed(run: Run, rx: number, ry: number, rz: number, zIn: number, fIn: number, zOut: number, fOut: number): number {
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
  function hitBlob(blob: Blob, x: number): number {
    const from: Vec3 = sub([ox + x * xx, oy + x * xy, oz + x * xz], blob.centre), along: Vec3 = [zx, zy, zz];
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

  const hitRun = (run: Run, x: number, floorZ: number): number => (run.sweep === null ? hitBlob(run.blob as Blob, x) : hitSweep(run, x, floorZ));

  function targetZ(x: number): number {
    return -surface.castMm(ox + x * xx, oy + x * xy, oz + x * xz, -zx, -zy, -zz);
  }

  /** Gathers the sweep's chunks that the plane cuts between lowX and highX into runs. */
  function gatherSweep(sweep: Sweep, index: number, tS: number, y: Vec3, lowX: number, highX: number): void {
    const toMm = laidToMm(sweep, tS);
    if (!(toMm > sweep.fromMm)) return;
    const spheres = sweep.chunks;
    const wx = spheres[0]! - ox, wy = spheres[1]! - oy, wz = spheres[2]! - oz, whole = spheres[3]! + slack, alongX = wx * xx + wy * xy + wz * xz;
    if (Math.abs(wx * y[0] + wy * y[1] + wz * y[2]) >= whole || alongX + whole < lowX || alongX - whole > highX) return;
    let run: Run | null = null;
    for (let chunk = 0; 4 * (chunk + 1) < spheres.length; chunk++) {
      const o = 4 * (chunk + 1), cx = spheres[o]! - ox, cy = spheres[o + 1]! - oy, cz = spheres[o + 2]! - oz, radius = spheres[o + 3]! + slack;
      const off = cx * y[0] + cy * y[1] + cz * y[2];
      const x = cx * xx + cy * xy + cz * xz, half = Math.sqrt(Math.max(0, radius * radius - off * off));
      const [k0, k1] = chunkNodes(chunk, sweep.nodes);
      const there = sweep.arcMm[k1]! + slack >= sweep.fromMm && sweep.arcMm[k0]! - slack <= toMm;
      if (!there || Math.abs(off) >= radius || x + half < lowX || x - half > highX) { run = null; continue; }
      const top = cx * zx + cy * zy + cz * zz + radius;
      if (run !== null && dot(tripleAt(sweep.frames, 4 * run.firstNode + 1), tripleAt(sweep.frames, 4 * k1 + 1)) < RUN_TURN) run = null;
      if (run === null) {
        run = { index, sweep, blob: null, firstNode: k0, lastNode: k1, lowX: x - half, highX: x + half, topZ: top, fromMm: sweep.fromMm, toMm };
        runs.push(run);
        continue;
      }
      run.lastNode = k1;
      run.lowX = Math.min(run.lowX, x - half);
      run.highX = Math.max(run.highX, x + half);
      run.topZ = Math.max(run.topZ, top);
    }
  }

  function gatherBlob(blob: Blob, index: number, y: Vec3, lowX: number, highX: number): void {
    const c = sub(blob.centre, [ox, oy, oz]), radius = Math.max(...blob.halfMm), off = dot(c, y), x = c[0] * xx + c[1] * xy + c[2] * xz;
    if (Math.abs(off) >= radius || x + radius < lowX || x - radius > highX) return;
    runs.push({ index, sweep: null, blob, firstNode: 0, lastNode: 0, lowX: x - radius, highX: x + radius, topZ: 0, fromMm: 0, toMm: 0 });
  }

  return {
    hit,
    aim(pose, bodies, tS, lowX, highX, endSlackMm) {
      const axes = axesOfPose(pose);
      [ox, oy, oz] = axes.t;
      [xx, xy, xz] = axes.x;
      [zx, zy, zz] = axes.z;
      slack = endSlackMm;
      runs = [];
      bodies.forEach((body, index) => {
        if (tS < body.bornS || tS >= body.goneS) return;
        if (body.kind === "sweep") gatherSweep(body, index, tS, axes.y, lowX, highX);
        else gatherBlob(body, index, axes.y, lowX, highX);
      });
    },
    zAt(x) {
      let best = targetZ(x);
      hit.index = ON_TARGET;
      hit.cosIncidence = 1;
      for (const run of runs) {
        if (x < run.lowX || x > run.highX) continue;
        cell = (run.firstNode + run.lastNode) >> 1;
        const z = hitRun(run, x, best);
        if (z > best || (Number.isNaN(best) && !Number.isNaN(z))) {
          best = z;
          hit.index = run.index;
          hit.cosIncidence = Math.abs(cosine);
        }
      }
      return best;
    },
    castRow(x0, dx, z, index, cosIncidence) {
      const count = z.length;
      for (let i = 0; i < count; i++) z[i] = targetZ(x0 + i * dx);
      index.fill(ON_TARGET);
      cosIncidence.fill(1);
      for (const run of runs) {
        const first = Math.max(0, Math.ceil((run.lowX - x0) / dx)), last = Math.min(count - 1, Math.floor((run.highX - x0) / dx));
        cell = (run.firstNode + run.lastNode) >> 1;
        for (let i = first; i <= last; i++) {
          const found = hitRun(run, x0 + i * dx, z[i]!);
          if (found > z[i]! || (Number.isNaN(z[i]!) && !Number.isNaN(found))) {
            z[i] = found;
            index[i] = run.index;
            cosIncidence[i] = Math.abs(cosine);
          }
        }
      }
    },
  };
}
