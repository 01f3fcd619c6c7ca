/** Where the tool is, and its moves: along a track, across between two places, up and down. The nozzle leads; the profiler's foot follows on its own stance. */
import { add, cross, dot, lerp, norm, reject, scale, sub, unit, type Vec3 } from "../kernel/vec.ts";
import { makeRamp, type Ramp } from "./liveRamp.ts";
import { stanceAt, type Stance, type Track } from "./track.ts";

/** Stances at the height of the plan; the whole tool stands `liftMm` over them along the normals. */
export interface Tool { readonly nozzle: Stance; readonly profiler: Stance; readonly liftMm: number }

/** One movement from rest to rest; its time begins at `startS`. */
export interface Move {
  readonly kind: "lay" | "look" | "scan" | "across" | "lift";
  readonly startS: number;
  readonly ramp: Ramp;
  /** Profiles are taken by the way covered (else by time alone). */
  readonly byWay: boolean;
  /** The tool at a way of the ramp; the profiler's stance `aheadMm` further on. */
  at(wayMm: number, aheadMm: number): Tool;
}

/** Greatest speed of moves between strands, mm/s. */
export const ACROSS_MM_S = 40;
/** Acceleration there, mm/s². */
export const ACROSS_MM_S2 = 400;
/** Lift for moves without paste, mm. */
export const CLEAR_MM = 2;

/** Acceleration along strands: at full speed after at most 0.13 s, so that a pause stands within the cell's 0.15 s; mm/s². */
export function strandAccelMmS2(speedMmS: number): number {
  return Math.max(60, speedMmS / 0.13);
}

/** Along a track, nozzle from `fromMm`, the profiler `trailMm` behind it. */
export function trackMove(kind: Move["kind"], startS: number, ramp: Ramp, way: { readonly track: Track; readonly fromMm: number; readonly trailMm: number; readonly liftMm: number; readonly byWay: boolean }): Move {
  const { track, fromMm, trailMm, liftMm, byWay } = way;
  return {
    kind, startS, ramp, byWay,
    at: (wayMm, aheadMm) => ({ nozzle: stanceAt(track, fromMm + wayMm), profiler: stanceAt(track, fromMm + wayMm - trailMm + aheadMm), liftMm }),
  };
}

/** Straight across from one place to another, turning on the way; the lift stays. */
export function acrossMove(startS: number, from: Tool, to: Tool): Move {
  const lengthMm = Math.max(norm(sub(to.nozzle.point, from.nozzle.point)), norm(sub(to.profiler.point, from.profiler.point)));
  const ramp = makeRamp(lengthMm, ACROSS_MM_S, ACROSS_MM_S2);
  return {
    kind: "across", startS, ramp, byWay: false,
    at(wayMm, aheadMm) {
      const f = lengthMm > 0 ? wayMm / lengthMm : 1;
      return aheadOf({ nozzle: between(from.nozzle, to.nozzle, f), profiler: between(from.profiler, to.profiler, f), liftMm: from.liftMm }, aheadMm);
    },
  };
}

/** Up or down to a lift. */
export function liftMove(startS: number, from: Tool, toMm: number): Move {
  const lengthMm = Math.abs(toMm - from.liftMm), sign = Math.sign(toMm - from.liftMm);
  return {
    kind: "lift", startS, ramp: makeRamp(lengthMm, ACROSS_MM_S, ACROSS_MM_S2), byWay: false,
    at: (wayMm, aheadMm) => ({ ...aheadOf(from, aheadMm), liftMm: from.liftMm + sign * wayMm }),
  };
}

/** The same move, brought to rest from time `tS` on as fast as its acceleration allows. */
export function brakedMove(move: Move, tS: number): Move {
  const wayMm = move.ramp.sAt(tS - move.startS), speedMmS = move.ramp.speedAt(tS - move.startS), a = move.ramp.accelMmS2;
  return { ...move, startS: tS, ramp: makeRamp(speedMmS * speedMmS / (2 * a), speedMmS, a, speedMmS), at: (further, aheadMm) => move.at(wayMm + further, aheadMm) };
}

/** The tool with its profiler's stance a little further on. */
export function aheadOf(tool: Tool, aheadMm: number): Tool {
  const { profiler } = tool;
  return { ...tool, profiler: { ...profiler, point: add(profiler.point, scale(profiler.tangent, aheadMm)) } };
}

/** A point of the tool with its lift. */
export function liftedPoint(stance: Stance, liftMm: number): Vec3 {
  return add(stance.point, scale(stance.normal, liftMm));
}

/** Point straight between; the tangent turns about the normal by its share of the angle (also right round). */
function between(a: Stance, b: Stance, f: number): Stance {
  const normal = unit(lerp(a.normal, b.normal, f));
  const from = unit(reject(a.tangent, normal)), to = unit(reject(b.tangent, normal)), side = cross(normal, from);
  const angle = f * Math.atan2(dot(to, side), dot(to, from));
  const tangent = add(scale(from, Math.cos(angle)), scale(side, Math.sin(angle)));
  return { point: lerp(a.point, b.point, f), normal, tangent, lateral: cross(normal, tangent) };
}
