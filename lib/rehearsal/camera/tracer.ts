/** Rays through a scene: the first thing that a ray meets, and whether anything stands between a point and a light. */
import { laidToMm, chunkNodes, type Body } from "../body.ts";
import { makeBodyRay, type Piece } from "../bodyRay.ts";
import type { Vec3 } from "../../kernel/vec.ts";
import { buildBoxTree } from "./boxTree.ts";
import { NOTHING, TARGET, type Scene } from "./scene.ts";
import { solidsOf, type Solid } from "./solids.ts";

/** What a ray met first. */
export interface Hit {
  /** Index of a body, or one of TARGET, NOZZLE, HANG, HAND, NOTHING. */
  what: number;
  /** Length along the ray; Infinity for NOTHING. */
  lambdaMm: number;
  nx: number; ny: number; nz: number;
}

export interface Tracer {
  /** The last first hit. */
  readonly hit: Readonly<Hit>;
  /** First hit of o + λ·d, d unit; the result is reused by the next call. Without `withNormal` the normal is left as it was. */
  first(o: Vec3, d: Vec3, withNormal: boolean): Readonly<Hit>;
  /** Whether a body or a solid stands on the way from a point, lifted off its surface, in direction d. The target's own relief is not looked at. */
  blocked(o: Vec3, d: Vec3): boolean;
}

/** A piece of the scene in a sphere. */
interface Part extends Piece { readonly what: number; readonly solid: Solid | null }

/** Chunks of a body that are there, each in its bounding sphere. */
function gather(body: Body, what: number, tS: number, parts: Part[], spheres: number[]): void {
  if (tS < body.bornS || tS >= body.goneS) return;
  if (body.kind === "blob") {
    parts.push({ what, solid: null, sweep: null, blob: body, firstNode: 0, lastNode: 0, fromMm: 0, toMm: 0 });
    spheres.push(...body.centre, Math.max(...body.halfMm));
    return;
  }
  const toMm = laidToMm(body, tS), { fromMm } = body;
  if (!(toMm > fromMm)) return;
  for (let chunk = 0; 4 * (chunk + 1) < body.chunks.length; chunk++) {
    const [firstNode, lastNode] = chunkNodes(chunk, body.nodes);
    if ((body.arcMm[lastNode] as number) < fromMm || (body.arcMm[firstNode] as number) > toMm) continue;
    parts.push({ what, solid: null, sweep: body, blob: null, firstNode, lastNode, fromMm, toMm });
    spheres.push(...body.chunks.subarray(4 * (chunk + 1), 4 * (chunk + 2)));
  }
}

/** A tracer of the scene as it is at its instant. One per user: it keeps scratch state. */
export function makeTracer(scene: Scene): Tracer {
  const parts: Part[] = [], spheres: number[] = [], ray = makeBodyRay();
  scene.bodies.forEach((body, index) => gather(body, index, scene.tS, parts, spheres));
  for (const solid of solidsOf(scene)) {
    parts.push({ what: solid.what, solid, sweep: null, blob: null, firstNode: 0, lastNode: 0, fromMm: 0, toMm: 0 });
    spheres.push(...solid.centre, solid.radiusMm);
  }
  const tree = buildBoxTree(Float64Array.from(spheres)), hit: Hit = { what: NOTHING, lambdaMm: Infinity, nx: 0, ny: 0, nz: 1 };
  let o: Vec3 = [0, 0, 0], d: Vec3 = [0, 0, 1], best = Infinity, found = -1;

  function visitFirst(index: number, enterMm: number): number {
    const lambda = castPart(parts[index]!, enterMm, best);
    if (lambda >= 0 && lambda < best) {
      best = lambda;
      found = index;
    }
    return best;
  }
  function visitAny(index: number, enterMm: number): number {
    const lambda = castPart(parts[index]!, enterMm, best);
    if (lambda >= 0) best = -1;
    return best;
  }
  function castPart(part: Part, enterMm: number, limitMm: number): number {
    if (part.solid !== null) return part.solid.castMm(o, d);
    ray.begin(part);
    return -ray.hit(part, o[0], o[1], o[2], -enterMm, -limitMm);
  }
  function setNormal(): void {
    const x = o[0] + best * d[0], y = o[1] + best * d[1], z = o[2] + best * d[2];
    const part = found < 0 ? null : parts[found]!;
    if (part !== null && part.solid === null) ray.begin(part);
    const n = part === null ? scene.surface.normalOver(x, y, z) : part.solid === null ? ray.normalAt(part, x, y, z) : part.solid.normalAt([x, y, z]);
    [hit.nx, hit.ny, hit.nz] = n;
  }

  return {
    hit,
    first(from, along, withNormal) {
      o = from; d = along; found = -1;
      ray.aim(-d[0], -d[1], -d[2], 0);
      const bare = scene.surface.castMm(o[0], o[1], o[2], d[0], d[1], d[2]);
      best = bare > 0 ? bare : Infinity;
      tree.cast(o, d, best, visitFirst);
      hit.what = found >= 0 ? parts[found]!.what : best < Infinity ? TARGET : NOTHING;
      hit.lambdaMm = best;
      if (withNormal && hit.what !== NOTHING) setNormal();
      return hit;
    },
    blocked(from, along) {
      o = from; d = along; best = Infinity;
      ray.aim(-d[0], -d[1], -d[2], 0);
      tree.cast(o, d, best, visitAny);
      return best < 0;
    },
  };
}
