/**
 * When each station first comes into a profiler's view, with the profiler carried by the tool along the plan. The plan says where the
 * nozzle points and not how the tool is turned about it: taken is the tool's +x along the travel (y left of it, z away from the target).
 */
import { boxesNear } from "../kernel/pointGrid.ts";
import { axesOfPose, dot, type Vec3 } from "../kernel/vec.ts";
import type { Job, Mount, Profiler } from "../model/job.ts";
import { tripleOf, type Ground, type GroundLayer } from "./preflightGround.ts";

/** cos 45°: a profile's plane may stand so far from square across the strand. */
const SQUARE_COS = Math.SQRT1_2;
/** Less than this cosine between the surface's normal and the sensor's z: it looks along the surface. */
const FACING_COS = 0.25;
/** A target that falls away lets the line reach further than on a flat one: by this share, and this much, mm. */
const REACH_SHARE = 1.25;
const REACH_MM = 3;

/** Time and path of the first sight of each station, NaN: never. */
export interface Sight { readonly timeS: Float64Array; readonly pathMm: Float64Array }

/** A profiler on the tool: where it stands and how its axes lie there. */
interface Eye { readonly t: Vec3; readonly x: Vec3; readonly y: Vec3; readonly z: Vec3; readonly lowMm: number; readonly highMm: number; readonly reachMm: number }

/** Profilers of the job that have a mount to the tool. */
export function mountedProfilers({ devices, mounts }: Job): { profiler: Profiler; mount: Mount }[] {
  return devices.flatMap((profiler) => {
    const mount = mounts.find((m) => m.from === profiler.id && m.to === "tool");
    return profiler.kind === "profiler" && mount !== undefined ? [{ profiler, mount }] : [];
  });
}

/** A line that never meets the level of the tip reaches nothing (null). */
function eyeOf(profiler: Profiler, mount: Mount): Eye | null {
  const { x, y, z, t } = axesOfPose(mount.pose);
  const lowMm = profiler.x0Mm, highMm = profiler.x0Mm + (profiler.points - 1) * profiler.dxMm;
  if (z[2] < FACING_COS) return null;
  const far = (xMm: number): number => {
    const down = -(t[2] + xMm * x[2]) / z[2]; // along the sensor's z to the tip's level
    return Math.hypot(t[0] + xMm * x[0] + down * z[0], t[1] + xMm * x[1] + down * z[1]);
  };
  return { t, x, y, z, lowMm, highMm, reachMm: REACH_SHARE * Math.max(far(lowMm), far(highMm)) + REACH_MM };
}

/** Goes through the plan once, in the order of laying. */
export function findSight(ground: Ground, mounted: readonly { profiler: Profiler; mount: Mount }[]): Sight {
  const eyes = mounted.flatMap(({ profiler, mount }) => eyeOf(profiler, mount) ?? []);
  const search = new SightSearch(ground);
  for (let station = 0; station < ground.count; station++) {
    search.lay(station);
    for (const eye of eyes) search.look(eye, station);
  }
  return search.sight;
}

class SightSearch {
  readonly sight: Sight;
  private readonly ground: Ground;
  private readonly waiting: Uint8Array; // Uint8Array[station], 1 = laid, not yet seen, not covered
  private readonly boxOf: Int32Array; // Int32Array[station], box in its layer's grid
  private readonly left: Int32Array[]; // per layer Int32Array[box], stations waiting in it
  private readonly near = { boxes: new Int32Array(256), count: 0 };

  constructor(ground: Ground) {
    const empty = (): Float64Array => new Float64Array(ground.count).fill(Number.NaN);
    this.ground = ground;
    this.sight = { timeS: empty(), pathMm: empty() };
    this.waiting = new Uint8Array(ground.count);
    this.boxOf = new Int32Array(ground.count);
    this.left = ground.layers.map(({ grid }) => new Int32Array(grid.start.length - 1));
    for (const { grid, from } of ground.layers) {
      for (let box = 0; box + 1 < grid.start.length; box++) {
        for (let p = grid.start[box] as number; p < (grid.start[box + 1] as number); p++) this.boxOf[from + (grid.points[p] as number)] = box;
      }
    }
  }

  /** The nozzle has reached a station: it waits to be seen, and what lies under it in the layer before waits no longer. */
  lay(station: number): void {
    const layer = this.layerAt(station);
    this.waiting[station] = 1;
    this.left[layer]![this.boxOf[station] as number]!++;
    if (layer === 0) return;
    const { xyz, normal, widthMm } = this.ground, half = (widthMm[station] as number) / 2;
    this.eachWaiting(layer - 1, station, half + 2 * (this.ground.heightMm[station] as number), (other) => {
      const d = [0, 1, 2].map((k) => (xyz[3 * other + k] as number) - (xyz[3 * station + k] as number)) as unknown as Vec3;
      const up = dot(d, tripleOf(normal, station));
      if (dot(d, d) - up * up <= half * half) this.drop(layer - 1, other);
    });
  }

  /** What the line passes over while the nozzle goes from this station to the next of its strand, or stands at the strand's end. */
  look(eye: Eye, station: number): void {
    const { ground } = this;
    const isLast = station + 1 === ground.count || ground.strandOf[station + 1] !== ground.strandOf[station];
    const isFirst = station === 0 || ground.strandOf[station - 1] !== ground.strandOf[station];
    const next = isLast ? station : station + 1;
    const near = ground.stations.spacingMm / 2;
    for (const layer of [this.layerAt(station), this.layerAt(station) - 1]) {
      if (layer < 0) continue;
      this.eachWaiting(layer, station, eye.reachMm, (other) => {
        const before = this.ahead(eye, station, other), after = next === station ? before : this.ahead(eye, next, other);
        const passes = Math.abs(before) <= 1e-6 || before * after < 0;
        const stands = (isFirst || isLast) && Math.abs(before) <= near * this.along(eye, station, other) + 1e-9;
        if (!passes && !stands) return;
        const share = passes && after !== before ? before / (before - after) : 0;
        if (!this.isInView(eye, share < 0.5 ? station : next, other)) return;
        this.sight.timeS[other] = (ground.timeS[station] as number) + share * ((ground.timeS[next] as number) - (ground.timeS[station] as number));
        this.sight.pathMm[other] = (ground.pathMm[station] as number) + share * ((ground.pathMm[next] as number) - (ground.pathMm[station] as number));
        this.drop(layer, other);
      });
    }
  }

  /** Visits waiting stations whose boxes lie within reach; the visitor may drop the one it is given. */
  private eachWaiting(layer: number, station: number, reachMm: number, visit: (other: number) => void): void {
    const { grid, from } = this.ground.layers[layer] as GroundLayer;
    const left = this.left[layer] as Int32Array, at = 3 * station, { xyz } = this.ground;
    boxesNear(grid, xyz[at] as number, xyz[at + 1] as number, xyz[at + 2] as number, reachMm, this.near);
    for (let n = 0; n < this.near.count; n++) {
      const box = this.near.boxes[n] as number;
      if (left[box] === 0) continue;
      for (let p = grid.start[box] as number; p < (grid.start[box + 1] as number); p++) {
        const other = from + (grid.points[p] as number);
        if (this.waiting[other] === 1) visit(other);
      }
    }
  }

  private drop(layer: number, station: number): void {
    this.waiting[station] = 0;
    this.left[layer]![this.boxOf[station] as number]!--;
  }

  private layerAt(station: number): number {
    return (this.ground.stations.strands[this.ground.strandOf[station] as number]?.layer ?? 1) - 1;
  }

  /** A plan vector in the tool's axes while the nozzle stands at `station`. */
  private inTool(station: number, v: Vec3): Vec3 {
    const { tangent, lateral, normal } = this.ground;
    return [dot(v, tripleOf(tangent, station)), dot(v, tripleOf(lateral, station)), dot(v, tripleOf(normal, station))];
  }

  /** From the sensor's middle to the point, in the tool's axes. `asideMm` is to the left of the other strand. */
  private seenFrom(eye: Eye, station: number, other: number, asideMm = 0): Vec3 {
    const { xyz, lateral } = this.ground;
    const at = (k: number): number => (xyz[3 * other + k] as number) + asideMm * (lateral[3 * other + k] as number) - (xyz[3 * station + k] as number);
    const v = this.inTool(station, [at(0), at(1), at(2)]);
    return [v[0] - eye.t[0], v[1] - eye.t[1], v[2] - eye.t[2]];
  }

  /** How far the point lies before the laser plane, mm. */
  private ahead(eye: Eye, station: number, other: number): number {
    return dot(this.seenFrom(eye, station, other), eye.y);
  }

  /** Cosine between the plane's normal and the other strand. */
  private along(eye: Eye, station: number, other: number): number {
    return Math.abs(dot(this.inTool(station, tripleOf(this.ground.tangent, other)), eye.y));
  }

  /** The whole lateral window on the line, the surface facing the sensor, the plane within 45° of square: what makes a reading good. */
  private isInView(eye: Eye, station: number, other: number): boolean {
    if (this.along(eye, station, other) < SQUARE_COS) return false;
    if (dot(this.inTool(station, tripleOf(this.ground.normal, other)), eye.z) < FACING_COS) return false;
    const which = this.ground.strandOf[other] as number, strand = this.ground.stations.strands[which];
    const i = other - (this.ground.firstOf[which] as number);
    for (const asideMm of [strand?.windowLeftMm[i] as number, -(strand?.windowRightMm[i] as number)]) {
      const v = this.seenFrom(eye, station, other, asideMm), xMm = dot(v, eye.x);
      if (!(xMm >= eye.lowMm && xMm <= eye.highMm && dot(v, eye.z) < 0)) return false;
    }
    return true;
  }
}
