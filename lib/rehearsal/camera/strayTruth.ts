/** Paste that lies off the path: its footprint along the normal, where it is, and how much of it can be seen. */
import { add, dot, lerp, norm, scale, sub, tripleAt, type Vec3 } from "../../kernel/vec.ts";
import { FRAME, laidToMm, SECTION, type Blob, type Body, type Sweep } from "../body.ts";
import type { LaidOut } from "../simulate.ts";
import { laidAttempt, type Sees } from "./frameTruth.ts";

/** Samples across a footprint. */
const ACROSS = 9;

export interface StrayTruth {
  /** Centroid of the footprint, on the target. */
  readonly position: Vec3;
  /** The whole footprint, and the share of it that lies outside the lateral window of every station laid by then. */
  readonly areaMm2: number;
  readonly outsideFraction: number;
  readonly visibleFraction: number;
}

/** A piece of a footprint. */
interface Patch { readonly foot: Vec3; readonly top: Vec3; readonly areaMm2: number }

/** Truth of one stray body at tS. */
export function strayTruth(world: LaidOut, body: Body, tS: number, sees: Sees): StrayTruth {
  const patches = [...(body.kind === "sweep" ? sweepPatches(body, tS) : blobPatches(body))], isOutside = makeOutside(world, body.layer, tS);
  let area = 0, seen = 0, outside = 0, sum: Vec3 = [0, 0, 0];
  for (const { foot, top, areaMm2 } of patches) {
    area += areaMm2;
    sum = add(sum, scale(foot, areaMm2));
    if (sees(top)) seen += areaMm2;
    if (isOutside(foot)) outside += areaMm2;
  }
  const round = (x: number): number => Math.round(x * 1e6) / 1e6, share = (part: number): number => (area > 0 ? round(part / area) : 0);
  return { position: scale(sum, 1 / area).map(round) as unknown as Vec3, areaMm2: round(area), outsideFraction: share(outside), visibleFraction: share(seen) };
}

/** Slices between two nodes, each in pieces across. */
function* sweepPatches(body: Sweep, tS: number): Generator<Patch> {
  const { frames, sections, arcMm } = body, toMm = laidToMm(body, tS);
  for (let k = 0; k + 1 < body.nodes; k++) {
    const from = Math.max(arcMm[k]!, body.fromMm), to = Math.min(arcMm[k + 1]!, toMm), span = arcMm[k + 1]! - arcMm[k]!;
    if (!(to > from)) continue;
    const f = ((from + to) / 2 - arcMm[k]!) / span, frame = (j: number): Vec3 => lerp(tripleAt(frames, FRAME / 3 * k + j), tripleAt(frames, FRAME / 3 * (k + 1) + j), f);
    const section = (j: number): number => sections[SECTION * k + j]! * (1 - f) + sections[SECTION * (k + 1) + j]! * f;
    const [base, normal, lateral] = [frame(0), frame(2), frame(3)], [c, r, m, offset, rest, tilt, curve] = [0, 1, 2, 3, 4, 5, 6].map(section) as [number, number, number, number, number, number, number];
    const end = (node: number): Vec3 => add(tripleAt(frames, FRAME / 3 * node), scale(tripleAt(frames, FRAME / 3 * node + 3), offset));
    const lengthMm = (to - from) / span * norm(sub(end(k + 1), end(k))), half = c + r;
    for (let i = 0; i < ACROSS; i++) {
      const side = half * (2 * (i + 0.5) / ACROSS - 1), b = offset + side, foot = rest + tilt * b + curve * b * b / 2, out = Math.max(0, Math.abs(side) - c);
      const at = (up: number): Vec3 => add(add(base, scale(lateral, b)), scale(normal, up));
      yield { foot: at(foot), top: at(foot + m + Math.sqrt(Math.max(0, r * r - out * out))), areaMm2: 2 * half * lengthMm / ACROSS };
    }
  }
}

/** Rings of equal width, each in twelve pieces. */
function* blobPatches({ centre, axes, halfMm }: Blob): Generator<Patch> {
  for (let ring = 0; ring < ACROSS; ring++) {
    const inner = ring / ACROSS, outer = (ring + 1) / ACROSS, r = (inner + outer) / 2;
    for (let i = 0; i < 12; i++) {
      const angle = 2 * Math.PI * (i + 0.5) / 12, foot = add(add(centre, scale(axes[0], r * Math.cos(angle) * halfMm[0])), scale(axes[1], r * Math.sin(angle) * halfMm[1]));
      yield { foot, top: add(foot, scale(axes[2], halfMm[2] * Math.sqrt(1 - r * r))), areaMm2: Math.PI * halfMm[0] * halfMm[1] * (outer * outer - inner * inner) / 12 };
    }
  }
}

/** Whether a point lies outside the lateral window of every strand of the layer, as far as it is laid by tS. */
function makeOutside(world: LaidOut, layer: number, tS: number): (p: Vec3) => boolean {
  const { widthMm } = world.settings, mostMm = widthMm / 2 + Math.max(0.25 * widthMm, 0.3);
  const nodes = world.strands.filter((one) => one.layer === layer).flatMap((strand) => Array.from(strand.arcMm, (sMm, k) => ({ strand, sMm, k })))
    .filter(({ strand, sMm }) => laidAttempt(world, strand, sMm, tS) !== null)
    .map(({ strand, k }) => ({ p: tripleAt(strand.track.pointsMm, k), n: tripleAt(strand.track.normals, k) }));
  return (p) => nodes.every((node) => {
    const away = sub(p, node.p), up = dot(away, node.n);
    return dot(away, away) - up * up > mostMm * mostMm;
  });
}
