/** What the camera is told beside its picture, and the stations as flat columns. */
import type { UnusedReason } from "../model/frame.ts";
import type { Pose } from "../model/job.ts";
import type { Point } from "../model/result.ts";
import type { StationPlan } from "../model/stations.ts";

/** Of stations in `FrameScene.laid`. */
export const NOT_LAID = 0, LAID = 1, LAID_BEFORE = 2;

/** All of it is paste: corner to corner in pixels of a frame. */
export interface PasteRect { readonly file: string; readonly rectPx: readonly [number, number, number, number] }

/** What was known when a frame was taken. Station columns follow the plan's strands, one after another. May be cloned into another thread. */
export interface FrameScene {
  readonly file: string;
  readonly device: string;
  readonly tS: number;
  /** Carries camera coordinates into `frame`. */
  readonly pose: Pose;
  readonly frame: string;
  /** The one being laid. */
  readonly layer: number;
  /** NOT_LAID, LAID, or LAID_BEFORE: paste of an attempt that was taken off later. */
  readonly laid: Uint8Array; // Uint8Array[station]
  readonly attempt: Uint8Array; // Uint8Array[station], from 1
  /** Of the profiler's reading that stands; NaN: none. */
  readonly widthMm: Float32Array; // Float32Array[station]
  readonly heightMm: Float32Array; // Float32Array[station]
  readonly uHeightMm: Float32Array; // Float32Array[station]
  readonly offsetMm: Float32Array; // Float32Array[station]
  /** 1: the profiler calls it good. */
  readonly good: Uint8Array; // Uint8Array[station]
  /** 1: the profiler calls it a gap. */
  readonly bare: Uint8Array; // Uint8Array[station]
  /** null: nothing is being laid. */
  readonly nozzle: { readonly tip: Point; readonly axis: Point } | null;
  /** Rectangles in frames of this camera that a person marked as paste; known by then, or in the end. */
  readonly marks: readonly PasteRect[];
  /** Where earlier frames saw bodies, plan: they are asked for again. */
  readonly places: readonly Point[];
}

/** Of stations in `FrameReading.states`. */
export const UNSEEN = 0, PRESENT = 1, ABSENT = 2, HIDDEN = 3;

/** Paste off the path, as a frame shows it. */
export interface SeenBody {
  /** Centroid on the target, plan. */
  readonly position: Point;
  /** Footprint along the normal. */
  readonly areaMm2: number;
  /** Its longest side. */
  readonly lengthMm: number;
  /** A few points of its outline on the target, plan. */
  readonly outline: readonly Point[];
}

/** What one frame says. */
export interface FrameReading {
  readonly file: string;
  readonly device: string;
  readonly tS: number;
  readonly layer: number;
  /** null: it is used. */
  readonly reason: UnusedReason | null;
  /** NaN: not known. */
  readonly separability: number;
  /** NaN: not estimated. */
  readonly poseErrorMm: number;
  /** UNSEEN (not laid, or taken off since), PRESENT, ABSENT or HIDDEN; all UNSEEN where the frame is not used. */
  readonly states: Uint8Array; // Uint8Array[station]
  readonly attempt: Uint8Array; // Uint8Array[station]
  /** Share of the planned width that paste covers, of what can be decided; NaN: hidden. */
  readonly pasteFraction: Float32Array; // Float32Array[station]
  readonly widthMm: Float32Array; // Float32Array[station], NaN = not both flanks seen
  readonly uWidthMm: Float32Array; // Float32Array[station]
  readonly bodies: readonly SeenBody[];
  /** Of `FrameScene.places`: 1, the place is in full view here. */
  readonly placesSeen: Uint8Array; // Uint8Array[place]
  /** NaN: nozzle not in view. */
  readonly nozzleHangMm2: number;
  readonly tip: Point | null;
  /** The middle of what it shows, plan. */
  readonly middle: Point;
}

/** The stations of a plan as columns, strand after strand. */
export interface StationColumns {
  readonly count: number;
  readonly strandOf: Int32Array; // Int32Array[station], index in `StationPlan.strands`
  readonly first: Int32Array; // Int32Array[strand + 1], the strand's first station
  readonly frames: Float64Array; // Float64Array[12 · station], position, tangent, normal, lateral
  readonly widthMm: Float64Array; // Float64Array[station]
  readonly heightMm: Float64Array; // Float64Array[station]
  /** How far the lateral window reaches beyond the planned flank, which it may end before. */
  readonly beyondLeftMm: Float64Array; // Float64Array[station]
  readonly beyondRightMm: Float64Array; // Float64Array[station]
}

export function stationColumns(plan: StationPlan): StationColumns {
  const first = new Int32Array(plan.strands.length + 1);
  plan.strands.forEach((strand, k) => { first[k + 1] = (first[k] as number) + strand.count; });
  const count = first[plan.strands.length] as number;
  const per = (): Float64Array => new Float64Array(count), columns = { count, first, strandOf: new Int32Array(count), frames: new Float64Array(12 * count), widthMm: per(), heightMm: per(), beyondLeftMm: per(), beyondRightMm: per() };
  plan.strands.forEach((strand, k) => {
    const at = first[k] as number;
    columns.strandOf.fill(k, at, at + strand.count);
    columns.frames.set(strand.frames, 12 * at);
    columns.widthMm.set(strand.widthMm, at);
    columns.heightMm.set(strand.heightMm, at);
    columns.beyondLeftMm.set(strand.windowLeftMm.map((mm, i) => mm - (strand.widthMm[i] as number) / 2), at);
    columns.beyondRightMm.set(strand.windowRightMm.map((mm, i) => mm - (strand.widthMm[i] as number) / 2), at);
  });
  return columns;
}
