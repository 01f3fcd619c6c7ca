import { InputError } from "../base/errors.ts";
import { laidAreaMm2, widthFromAreaMm } from "../formula/bead.ts";
import { norm, scale, sub, type Vec3 } from "../kernel/vec.ts";
import type { BeadShape } from "../model/job.ts";
import type { PlanStrand } from "../model/plan.ts";
import { UNIT_TOLERANCE } from "../model/pose.ts";

/** The bead laid from one waypoint to the next: mm, mm/s, mm³/s. */
export interface Bead { readonly widthMm: number; readonly heightMm: number; readonly speedMmS: number; readonly flowMm3S: number }
/** `normal` is unit; `line` is where the waypoint stands in the file. */
export interface Waypoint { readonly line: number; readonly point: Vec3; readonly normal: Vec3; readonly bead: Bead }
export interface StrandRows { readonly layer: number; readonly strand: number; readonly approach: number; readonly line: number; readonly waypoints: readonly Waypoint[] }

/** Points nearer than this, mm, are one waypoint. */
const SAME_POINT_MM = 1e-9;

/**
 * Packs the waypoints of one strand. A waypoint that repeats the place of the one before it is merged into it: the later row's
 * normal and bead hold from there on. Throws plan.zeroLength where fewer than two places are left.
 */
export function packStrand(rows: StrandRows, file: string): PlanStrand {
  const kept = mergeRepeats(rows.waypoints);
  const last = kept.length - 1;
  if (last < 1) {
    const got = rows.waypoints.length < 2 ? "one point" : `${rows.waypoints.length} points at the same place`;
    throw new InputError("plan.zeroLength", `a strand of some length (layer ${rows.layer}, strand ${rows.strand})`, got, { file, line: rows.line });
  }
  const arcMm = new Float64Array(kept.length);
  for (let i = 1; i <= last; i++) arcMm[i] = (arcMm[i - 1] as number) + norm(sub(place(kept, i), place(kept, i - 1)));
  const column = (of: (bead: Bead) => number): Float64Array => Float64Array.from(kept, (_, i) => of((kept[Math.min(i, last - 1)] as Waypoint).bead));
  return {
    layer: rows.layer, strand: rows.strand, approach: rows.approach,
    pointCount: kept.length,
    pointsMm: Float64Array.from(kept.flatMap((w) => w.point)),
    normals: Float64Array.from(kept.flatMap((w) => w.normal)),
    arcMm,
    widthMm: column((b) => b.widthMm), heightMm: column((b) => b.heightMm), speedMmS: column((b) => b.speedMmS), flowMm3S: column((b) => b.flowMm3S),
    lengthMm: arcMm[last] as number,
  };
}

function place(waypoints: readonly Waypoint[], i: number): Vec3 {
  return (waypoints[i] as Waypoint).point;
}

function mergeRepeats(waypoints: readonly Waypoint[]): Waypoint[] {
  const kept: Waypoint[] = [];
  for (const waypoint of waypoints) {
    const before = kept.at(-1);
    if (before !== undefined && norm(sub(waypoint.point, before.point)) <= SAME_POINT_MM) kept[kept.length - 1] = { ...waypoint, point: before.point };
    else kept.push(waypoint);
  }
  return kept;
}

/** `normal` at unit length; plan.notUnit where it is off by more than 1e-3. */
export function unitNormal(normal: Vec3, place: { file: string; line: number; key: string }): Vec3 {
  const lengthN = norm(normal);
  if (!(Math.abs(lengthN - 1) <= UNIT_TOLERANCE)) {
    throw new InputError("plan.notUnit", "a normal of unit length within 0.001", `length ${Number(lengthN.toPrecision(6))}`, place);
  }
  return Math.abs(lengthN - 1) <= 4 * Number.EPSILON ? normal : scale(normal, 1 / lengthN);
}

/**
 * Fills in width or flow (NaN: not given) by volume conservation, flow = laid area · speed.
 * Throws plan.narrow for a bead narrower than high, plan.noBead where the flow makes no bead of that height (`flowKey`: what the file calls it).
 */
export function completeBead(shape: BeadShape, bead: Bead, place: { file: string; line: number }, flowKey = "flow_mm3_s"): Bead {
  const { heightMm, speedMmS } = bead;
  if (Number.isNaN(bead.widthMm)) {
    const widthMm = widthFromAreaMm(shape, bead.flowMm3S / speedMmS, heightMm);
    if (Number.isNaN(widthMm)) {
      throw new InputError("plan.noBead", `a flow that makes a ${shape} ${heightMm} mm high at ${speedMmS} mm/s`, `${Number(bead.flowMm3S.toPrecision(6))} mm³/s`, { ...place, key: flowKey });
    }
    return { ...bead, widthMm };
  }
  if (bead.widthMm < heightMm) {
    throw new InputError("plan.narrow", `a ${shape} at least as wide as it is high (${heightMm} mm)`, `${bead.widthMm} mm`, { ...place, key: "width_mm" });
  }
  return Number.isNaN(bead.flowMm3S) ? { ...bead, flowMm3S: laidAreaMm2(shape, bead.widthMm, heightMm) * speedMmS } : bead;
}
