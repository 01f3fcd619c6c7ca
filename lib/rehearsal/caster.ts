/**
 * Ray casting in one plane: a laser plane, or the section square to a strand. Rays run in the plane along −Z of a pose, ray x from
 * t + x·X; what counts is the first hit from the sensor's side (`bodyRay.ts`).
 */
import { axesOfPose, dot, sub, tripleAt, type Pose7, type Vec3 } from "../kernel/vec.ts";
import { chunkNodes, laidToMm, type Blob, type Body, type Sweep } from "./body.ts";
import { makeBodyRay, type Piece } from "./bodyRay.ts";
import type { Surface } from "./surface.ts";

/** Hit on the target itself; other hits are indices into the bodies given to `aim`. */
export const ON_TARGET = -1;
/** A run of chunks is cut where the strand has turned by more than this (cosine): one ray then has one place on it. */
const RUN_TURN = Math.cos(0.5);

interface Run extends Piece {
  readonly index: number;
  lastNode: number;
  lowX: number; highX: number; topZ: number;
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
  const ray = makeBodyRay();
  const hit = { index: ON_TARGET, cosIncidence: 1 };

  const hitRun = (run: Run, x: number, floorZ: number): number => ray.hit(run, ox + x * xx, oy + x * xy, oz + x * xz, run.topZ, floorZ);

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
      ray.aim(zx, zy, zz, slack);
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
        ray.begin(run);
        const z = hitRun(run, x, best);
        if (z > best || (Number.isNaN(best) && !Number.isNaN(z))) {
          best = z;
          hit.index = run.index;
          hit.cosIncidence = Math.abs(ray.cosine());
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
        ray.begin(run);
        for (let i = first; i <= last; i++) {
          const found = hitRun(run, x0 + i * dx, z[i]!);
          if (found > z[i]! || (Number.isNaN(z[i]!) && !Number.isNaN(found))) {
            z[i] = found;
            index[i] = run.index;
            cosIncidence[i] = Math.abs(ray.cosine());
          }
        }
      }
    },
  };
}
