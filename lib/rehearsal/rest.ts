/**
 * Where a bead comes to rest. The elevation of the real support over the planned base is taken across the middle 60 % of the bead at every node
 * and levelled along the strand: paste is stiff enough to bridge valleys and hollows up to five widths long, on the higher ground at both
 * sides, and hangs between them as a parabola of depth 0.03 · span, at most 0.15 of the height. What lies deeper than a quarter of
 * the height counts as no ground. The bead is then smoothed over a third of its width, and carries the target's lateral slope and curvature.
 * A model of ours for demonstration: no measurement of a paste stands behind its numbers.
 */
import { add, cross, poseOfAxes, scale, tripleAt, type Vec3 } from "../kernel/vec.ts";
import { FRAME, type Body } from "./body.ts";
import type { Caster } from "./caster.ts";
import type { RehearsalSettings } from "./settings.ts";

const SAG_PER_SPAN = 0.03;
const SAG_MOST = 0.15; // of the height

export interface Bed {
  readonly restMm: Float64Array; // Float64Array[node], over the planned base, at the bead's own lateral place
  readonly tilt: Float64Array; // Float64Array[node], lateral slope
  readonly curve: Float64Array; // Float64Array[node], 1/mm
}

/** Elevation over a base point along its normal at lateral b, mm; first choose the plane, then ask. */
export type Elevation = (base: Vec3, lateral: Vec3, normal: Vec3, tangent: Vec3) => (bMm: number) => number;

/** Elevations of the target with those bodies that `counts` lets through at time tS. */
export function makeElevation(caster: Caster, bodies: readonly Body[]): (counts: (body: Body) => boolean, tS: number) => Elevation {
  const ABOVE_MM = 20;
  return (counts, tS) => {
    const there = bodies.filter(counts);
    return (base, lateral, normal) => {
      const pose = poseOfAxes(lateral, cross(normal, lateral), normal, add(base, scale(normal, ABOVE_MM)));
      caster.aim(pose, there, tS, -12, 12, 0);
      return (bMm) => caster.zAt(bMm) + ABOVE_MM;
    };
  };
}

/** The bed of a bead at lateral `sideMm` of base-line frames; `ground` is what may carry it, `target` the bare target. */
export function bedOf(settings: RehearsalSettings, frames: Float64Array, arcMm: Float64Array, sideMm: number, ground: Elevation, target: Elevation): Bed {
  const nodes = arcMm.length, restMm = new Float64Array(nodes), tilt = new Float64Array(nodes), curve = new Float64Array(nodes);
  const { widthMm: w, heightMm } = settings;
  for (let k = 0; k < nodes; k++) {
    const o = FRAME / 3 * k, base = tripleAt(frames, o), tangent = tripleAt(frames, o + 1), normal = tripleAt(frames, o + 2), lateral = tripleAt(frames, o + 3);
    const carries = ground(base, lateral, normal, tangent);
    let sum = 0;
    for (let i = -3; i <= 3; i++) {
      const z = carries(sideMm + 0.1 * i * w);
      sum += sideMm === 0 ? Math.max(z, -0.25 * heightMm) : z;
    }
    const form = target(base, lateral, normal, tangent);
    const right = form(sideMm - w / 2), mid = form(sideMm), left = form(sideMm + w / 2), bend = 4 * (left + right - 2 * mid) / (w * w);
    curve[k] = bend;
    tilt[k] = (left - right) / w - bend * sideMm;
    restMm[k] = sum / 7 - 0.02 * w * w * bend; // the mean of b²/2 over the seven places
  }
  const rest = level(arcMm, restMm, 5 * w, heightMm, 0.15 * w);
  // the form's part at the bead's own place is in `rest` already
  for (let k = 0; k < nodes; k++) rest[k] = (rest[k] as number) - (tilt[k] as number) * sideMm - (curve[k] as number) * sideMm * sideMm / 2;
  return { restMm: rest, tilt, curve };
}

/** Closing along the strand (greatest, then least, over ± half a bridge), sag into what was bridged, smoothing. */
export function level(arcMm: Float64Array, ground: Float64Array, bridgeMm: number, heightMm: number, smoothMm: number): Float64Array {
  const closed = slide(arcMm, slide(arcMm, ground, bridgeMm / 2, Math.max), bridgeMm / 2, Math.min);
  const rest = closed.slice();
  const nodes = arcMm.length;
  for (let k = 0; k < nodes; k++) {
    if (!((closed[k] as number) - (ground[k] as number) > 0.02 * heightMm)) continue;
    let end = k;
    while (end + 1 < nodes && (closed[end + 1] as number) - (ground[end + 1] as number) > 0.02 * heightMm) end++;
    const spanMm = (arcMm[end] as number) - (arcMm[k] as number), sag = Math.min(SAG_PER_SPAN * spanMm, SAG_MOST * heightMm);
    for (let i = k; i <= end; i++) {
      const x = spanMm > 0 ? ((arcMm[i] as number) - (arcMm[k] as number)) / spanMm : 0;
      rest[i] = Math.max(ground[i] as number, (closed[i] as number) - 4 * sag * x * (1 - x));
    }
    k = end;
  }
  const mean = (a: number, b: number): number => a + b;
  for (let turn = 0; turn < 2; turn++) {
    const sums = slide(arcMm, rest, smoothMm, mean), counts = slide(arcMm, new Float64Array(nodes).fill(1), smoothMm, mean);
    for (let k = 0; k < nodes; k++) rest[k] = (sums[k] as number) / (counts[k] as number);
  }
  return rest;
}

/** Folds every node's neighbours within ± halfMm. */
function slide(arcMm: Float64Array, values: Float64Array, halfMm: number, fold: (a: number, b: number) => number): Float64Array {
  const out = new Float64Array(values.length);
  let low = 0;
  for (let k = 0; k < values.length; k++) {
    while ((arcMm[k] as number) - (arcMm[low] as number) > halfMm + 1e-9) low++;
    let value = values[low] as number;
    for (let i = low + 1; i < values.length && (arcMm[i] as number) - (arcMm[k] as number) <= halfMm + 1e-9; i++) value = fold(value, values[i] as number);
    out[k] = value;
  }
  return out;
}
