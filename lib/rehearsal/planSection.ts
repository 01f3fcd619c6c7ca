/** Sections square to planned strands: the station's frame, the planned strands that its plane cuts, and its lateral window (contract: "Stations", "The lateral window"). */
import { add, cross, dot, reject, scale, sub, tripleAt, unit, type Vec3 } from "../kernel/vec.ts";
import { outlineMm } from "../formula/bead.ts";
import type { PlannedStrand } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Stance } from "./track.ts";

/** Point on the chords between waypoints and interpolated unit normal at arc length s. */
function placeAt(strand: PlannedStrand, sMm: number): { point: Vec3; normal: Vec3 } {
  const { waypoints, arcMm, track } = strand;
  let i = 0;
  while (i < waypoints.length - 2 && (arcMm[waypoints[i + 1] as number] as number) < sMm) i++;
  const a = waypoints[i] as number, b = waypoints[i + 1] as number, f = (sMm - (arcMm[a] as number)) / ((arcMm[b] as number) - (arcMm[a] as number));
  const mix = (packed: Float64Array): Vec3 => add(scale(tripleAt(packed, a), 1 - f), scale(tripleAt(packed, b), f));
  return { point: mix(track.pointsMm), normal: unit(mix(track.normals)) };
}

/** Station frame: tangent is the chord over ± half a width (round the seam of a closed strand, one-sided at the ends of an open one), made square to the normal. */
export function stationStance(strand: PlannedStrand, sMm: number, widthMm: number): Stance {
  const { lengthMm } = strand;
  const wrap = (s: number): number => (strand.path.closed ? (s < 0 ? s + lengthMm : s > lengthMm ? s - lengthMm : s) : Math.min(lengthMm, Math.max(0, s)));
  const { point, normal } = placeAt(strand, sMm);
  const chord = sub(placeAt(strand, wrap(sMm + widthMm / 2)).point, placeAt(strand, wrap(sMm - widthMm / 2)).point);
  const tangent = unit(reject(chord, normal));
  return { point, tangent, normal, lateral: cross(normal, tangent) };
}

/** Arc lengths of stations: multiples of the spacing and the end (a multiple within 1e-3 mm of the end is the end). */
export function stationArcs(lengthMm: number, spacingMm: number): number[] {
  const arcs: number[] = [];
  for (let i = 0; i * spacingMm < lengthMm - 1e-3; i++) arcs.push(i * spacingMm);
  arcs.push(lengthMm);
  return arcs;
}

export interface Crossing { readonly bMm: number; readonly strand: number; readonly arcMm: number }

/**
 * Lateral places where the plane through `stance` cuts planned strands of a layer within 15 mm, without the strand's own passage at `ownArcMm`.
 * A strand that ends within half a width short of the plane counts where it ends.
 */
export function planCrossings(strands: readonly PlannedStrand[], own: PlannedStrand, ownArcMm: number, stance: Stance, widthMm: number): Crossing[] {
  const found: Crossing[] = [];
  for (const other of strands) {
    if (other.layer !== own.layer) continue;
    const nodes = other.waypoints.length;
    const depth = (i: number): number => dot(sub(tripleAt(other.track.pointsMm, other.waypoints[i] as number), stance.point), stance.tangent);
    const note = (i: number, f: number): void => {
      const a = other.waypoints[i] as number, b = other.waypoints[Math.min(i + 1, nodes - 1)] as number;
      const p = add(scale(tripleAt(other.track.pointsMm, a), 1 - f), scale(tripleAt(other.track.pointsMm, b), f));
      const away = sub(p, stance.point), arcMm = (other.arcMm[a] as number) * (1 - f) + (other.arcMm[b] as number) * f;
      if (Math.hypot(...away) > 15) return;
      if (other === own && arcApart(own, arcMm, ownArcMm) < widthMm) return;
      found.push({ bMm: dot(away, stance.lateral), strand: other.strand, arcMm });
    };
    let before = depth(0);
    let crossed = false;
    for (let i = 1; i < nodes; i++) {
      const here = depth(i);
      if ((before <= 0) !== (here <= 0)) { note(i - 1, before / (before - here)); crossed = true; }
      before = here;
    }
    if (crossed || other === own) continue;
    for (const i of [0, nodes - 1]) if (Math.abs(depth(i)) < widthMm / 2) note(i, 0);
  }
  return found;
}

function arcApart(strand: PlannedStrand, a: number, b: number): number {
  const apart = Math.abs(a - b);
  return strand.path.closed ? Math.min(apart, strand.lengthMm - apart) : apart;
}

export interface Window {
  /** Lateral limits of the window, mm (left positive): [right, left]. */
  readonly rightMm: number; readonly leftMm: number;
  /** Half-way to the neighbours; Infinity where there is none. */
  readonly halfRightMm: number; readonly halfLeftMm: number;
  /** Planned area seen along the normal inside the window, neighbours included, mm². */
  readonly plannedAreaMm2: number;
}

/** The station's window and planned visible area. */
export function windowOf(crossings: readonly Crossing[], settings: RehearsalSettings): Window {
  const { widthMm: w } = settings;
  let halfLeftMm = Infinity, halfRightMm = -Infinity;
  for (const { bMm } of crossings) {
    if (bMm > 0) halfLeftMm = Math.min(halfLeftMm, bMm / 2);
    else halfRightMm = Math.max(halfRightMm, bMm / 2);
  }
  const most = w / 2 + Math.max(0.25 * w, 0.3);
  const leftMm = Math.min(most, halfLeftMm), rightMm = Math.max(-most, halfRightMm);
  const centres = [0, ...crossings.map((one) => one.bMm).filter((b) => Math.abs(b) < most + w)];
  return { rightMm, leftMm, halfRightMm, halfLeftMm, plannedAreaMm2: plannedAreaMm2(centres, settings, rightMm, leftMm) };
}

/** Area under the upper envelope of planned beads at lateral places `centres`: midpoints, in pieces that begin and end at flanks. */
function plannedAreaMm2(centres: readonly number[], settings: RehearsalSettings, rightMm: number, leftMm: number): number {
  const { widthMm: w, heightMm: h, shape } = settings, steps = 600;
  const cuts = [rightMm, leftMm, ...centres.flatMap((b) => [b - w / 2, b + w / 2]).filter((b) => b > rightMm && b < leftMm)].sort((a, b) => a - b);
  let area = 0;
  for (let i = 1; i < cuts.length; i++) {
    const from = cuts[i - 1] as number, step = ((cuts[i] as number) - from) / steps;
    for (let j = 0; j < steps; j++) {
      let top = 0;
      for (const centre of centres) top = Math.max(top, outlineMm(shape, w, h, from + (j + 0.5) * step - centre));
      area += top * step;
    }
  }
  return area;
}
