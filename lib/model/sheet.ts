/** What a review sheet shows, ready to be drawn: made by report/, sent to pages as plain data. null where nothing was measured. */
import type { Warning } from "../base/errors.ts";
import type { SheetFrame } from "./frameView.ts";
import type { BeadShape } from "./job.ts";
import type { FindingKind, Point, Severity, StationLimits, Verdict } from "./result.ts";

/** In `SheetStrand.support`: nothing was measured. */
export const NO_SUPPORT = 255;
/** In `SheetStrand.camera`: no used frame shows it. */
export const NO_CAMERA = 255;

/** One strand unrolled: columns of one length, one entry a station of the newest attempt. Packed, as a run has up to some 100 000 stations; NaN where nothing was measured. */
export interface SheetStrand {
  readonly layer: number;
  readonly strand: number;
  readonly lengthMm: number;
  readonly closed: boolean;
  readonly attempt: Uint16Array; // from 1; above it where the stretch was taken off and laid again
  readonly sMm: Float32Array; // ascending
  readonly laid: Uint8Array; // 1: laid
  readonly xMm: Float32Array; // the plan point in the layer's map, to the right
  readonly yMm: Float32Array; // and up
  readonly plannedWidthMm: Float32Array;
  readonly plannedHeightMm: Float32Array;
  readonly plannedAreaMm2: Float32Array;
  readonly widthMm: Float32Array;
  readonly heightMm: Float32Array;
  readonly areaMm2: Float32Array;
  readonly offsetMm: Float32Array; // + is left of travel
  readonly areaRatio: Float32Array;
  readonly uWidthMm: Float32Array; // one standard uncertainty each
  readonly uHeightMm: Float32Array;
  readonly uAreaMm2: Float32Array;
  readonly uOffsetMm: Float32Array;
  readonly coverage: Float32Array; // 0..1
  readonly sagMm: Float32Array; // of spanned beads alone
  readonly support: Uint8Array; // index in SUPPORT_KINDS, or NO_SUPPORT
  readonly ageS: Float32Array;
  readonly verdict: Uint8Array; // index in VERDICTS
  readonly proven: Uint8Array; // 1: proven
  readonly limits: Uint32Array; // index in Sheet.limits
  readonly camera: Uint8Array; // index in CAMERA_STATES, or NO_CAMERA
  readonly cameraFrame: Int32Array; // index in Sheet.frames of the newest used frame that shows it, or −1
  readonly cameraWidthMm: Float32Array;
  readonly uCameraWidthMm: Float32Array; // one standard uncertainty
}

/** A finding with its place in the drawing and its words. */
export interface SheetFinding {
  /** Place in the list, worst first, from 0. */
  readonly rank: number;
  /** Place in the result's own order, from 0: what a disposition names. */
  readonly findingIndex: number;
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly proven: boolean;
  readonly layer: number;
  /** The strand it is shown at; for a body off the path the one that lies nearest. */
  readonly strand: number;
  /** False: it lies in the strand itself. True: beside it. */
  readonly offPath: boolean;
  readonly fromMm: number;
  readonly toMm: number;
  /** The worst station's. */
  readonly sMm: number;
  /** In the map of its layer. */
  readonly xMm: number;
  readonly yMm: number;
  /** Footprint on the target of a body or a pore, mm²; null for what has none. */
  readonly areaMm2: number | null;
  /** "strand 5", "by strand 5", "nozzle", "camera-1". */
  readonly whereWords: string;
  /** "6.0–8.6 mm"; off the path the nearest place, "5.0 mm", and of nozzle and camera with the strand. */
  readonly rangeWords: string;
  /** "area ratio 0.02 ± 0.01". */
  readonly valueWords: string;
  /** "limit 0.25". */
  readonly limitWords: string;
  readonly advice: string;
}

/** How a layer's map is seen: along `normal`, which points to the viewer; unit vectors in `plan`. */
export interface LayerFrame { readonly normal: Point; readonly right: Point; readonly up: Point }

export interface SheetLayer { readonly layer: number; readonly strands: readonly SheetStrand[]; readonly frame: LayerFrame; readonly frameWords: string }

export interface SheetHead {
  readonly runId: string;
  readonly name: string;
  readonly specimen: string | null;
  readonly lot: string | null;
  readonly materialName: string;
  /** ISO 8601, UTC: when it was brought in. */
  readonly createdAt: string;
  readonly rehearsal: boolean;
  readonly demo: boolean;
  readonly planSha256: string;
}

/** A line of facts. */
export interface Fact { readonly name: string; readonly value: string }

/** A run's record as of now. */
export interface RecordWords { readonly whole: boolean; /** For the title block. */ readonly title: string; readonly sentence: string; readonly facts: readonly Fact[] }

/** Limits of one kind of planned bead, as they were in force. */
export interface BandWords { readonly bead: string; readonly rows: readonly { readonly name: string; readonly watch: string; readonly act: string }[] }

export interface Sheet {
  readonly head: SheetHead;
  readonly resultId: string;
  readonly beadShape: BeadShape;
  readonly words: { readonly acceptable: boolean | null; readonly headline: string; readonly detail: string; readonly advice: string | null };
  readonly layers: readonly SheetLayer[];
  readonly limits: readonly StationLimits[];
  /** Worst first. */
  readonly findings: readonly SheetFinding[];
  readonly warnings: readonly Warning[];
  /** Camera frames in the order of time. */
  readonly frames: readonly SheetFrame[];
  /** By a finding's rank: the frame that shows its place, as an index in `frames`; null: none does. */
  readonly frameOfRank: readonly (number | null)[];
  /** The job as used. */
  readonly job: readonly Fact[];
  readonly bands: readonly BandWords[];
  /** Strands that were taken off and laid again: how many earlier attempts are kept. */
  readonly earlierAttemptCount: number;
}

/** What a stretch of a small picture says: seen and fine enough, not laid yet, not seen, or a verdict that has its own mark. */
export type StretchLook = "seen" | "planned" | "blank" | Exclude<Verdict, "inBand" | "watch" | "unmeasured" | "pending" | "removed">;
export interface ThumbnailStretch { readonly fromMm: number; readonly toMm: number; readonly look: StretchLook }
export interface ThumbnailStrand { readonly layer: number; readonly strand: number; readonly lengthMm: number; readonly stretches: readonly ThumbnailStretch[] }

/** One line of the register of runs. */
export interface RunLine {
  readonly head: SheetHead;
  readonly headline: string;
  readonly acceptable: boolean | null;
  /** "two layers", "24 strands". */
  readonly sizeWords: readonly string[];
  readonly thumbnail: readonly ThumbnailStrand[];
}
