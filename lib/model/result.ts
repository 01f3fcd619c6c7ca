import type { Warning } from "../base/errors.ts";
import type { CameraState, FrameResult, StationCamera } from "./frame.ts";
import type { Band, Range } from "./job.ts";

/** What a reading means against the bands. */
export const VERDICTS = ["inBand", "watch", "under", "over", "gap", "lifted", "displaced", "unmeasured", "pending", "removed"] as const;
export type Verdict = (typeof VERDICTS)[number];

/** In place: a stretch of a strand. */
export const STRETCH_KINDS = ["underExtrusion", "overExtrusion", "gap", "liftedStrand", "displacedStrand", "unmeasured"] as const;
/** Off the path: a body on the target. */
export const BODY_KINDS = ["detachedStrand", "strayMaterial"] as const;
/** What only frames raise. */
export const CAMERA_KINDS = ["nozzleHang", "sensorsDisagree", "cameraPose"] as const;
export const FINDING_KINDS = [...STRETCH_KINDS, ...BODY_KINDS, "closedPore", ...CAMERA_KINDS] as const;
export type StretchKind = (typeof STRETCH_KINDS)[number];
export type BodyKind = (typeof BODY_KINDS)[number];
export type CameraKind = (typeof CAMERA_KINDS)[number];
export type FindingKind = (typeof FINDING_KINDS)[number];
export const isFindingKind = (kind: string): kind is FindingKind => FINDING_KINDS.some((each) => each === kind);
export type Severity = "act" | "watch";

export type Metric = "areaRatio" | "widthMm" | "heightMm" | "offsetMm";
export const SUPPORT_KINDS = ["measured", "planned", "spanned"] as const;
export type SupportKind = (typeof SUPPORT_KINDS)[number];

export type Point = readonly [number, number, number];

/** A station's own limits, in force for its planned bead. */
export interface StationLimits {
  readonly areaRatio: Band;
  readonly widthMm: Band;
  readonly heightMm: Band;
  readonly offsetMm: { readonly watch: number; readonly act: number };
  readonly gapRatio: number;
  readonly liftMm: number;
  readonly strayAreaMm2: number;
}

export interface StationReading {
  readonly widthMm: number | null;
  readonly heightMm: number | null;
  readonly areaMm2: number;
  readonly offsetMm: number | null;
  /** 0..1 of the lateral window that returned light. */
  readonly coverage: number;
  readonly support: SupportKind;
  /** Seconds from laying to the reading; null without progress. */
  readonly ageS: number | null;
}
export interface StationUncertainty {
  readonly widthMm: number | null; readonly heightMm: number | null; readonly areaMm2: number; readonly offsetMm: number | null;
  readonly placementMm: number | null;
}

export interface StationResult {
  readonly layer: number; readonly strand: number; readonly sMm: number; readonly attempt: number;
  readonly position: Point;
  readonly laid: boolean;
  readonly planned: { readonly widthMm: number; readonly heightMm: number; readonly areaMm2: number };
  readonly measured: StationReading | null;
  readonly u: StationUncertainty | null;
  readonly areaRatio: number | null;
  readonly verdict: Verdict;
  readonly proven: boolean;
  readonly sagMm: number | null;
  /** null: no used frame shows it. */
  readonly camera: StationCamera | null;
  readonly limits: StationLimits;
}

export interface StretchFinding {
  readonly kind: StretchKind; readonly severity: Severity; readonly proven: boolean;
  readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly lengthMm: number;
  readonly position: Point;
  readonly worst: { readonly metric: Metric | "coverage" | "pasteFraction"; readonly value: number | null; readonly limit: number };
  /** The frame that shows it, where no profile does. */
  readonly file?: string;
}
export interface BodyFinding {
  readonly kind: BodyKind; readonly severity: Severity; readonly proven: boolean;
  readonly layer: number; readonly areaMm2: number; readonly volumeMm3: number | null; readonly lengthMm: number;
  readonly position: Point;
  readonly worst: { readonly metric: "areaMm2"; readonly value: number; readonly limit: number };
  /** The newest frame that shows it; absent: profiles alone do. */
  readonly file?: string;
}
export interface PoreFinding {
  readonly kind: "closedPore"; readonly severity: Severity; readonly proven: boolean;
  readonly layer: number; readonly strand: number; readonly position: Point; readonly areaMm2: number;
}
/** Paste hangs at the nozzle. `position`: the nozzle's tip. */
export interface HangFinding {
  readonly kind: "nozzleHang"; readonly severity: Severity; readonly proven: boolean;
  readonly layer: number; readonly areaMm2: number; readonly position: Point;
  readonly worst: { readonly metric: "areaMm2"; readonly value: number; readonly limit: number };
  readonly file: string;
}
/** A stretch of which the camera says one thing and the profiler another: nobody averages them. `worst`: share of the planned width that the camera sees covered. */
export interface DisagreementFinding {
  readonly kind: "sensorsDisagree"; readonly severity: Severity; readonly proven: boolean;
  readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly lengthMm: number;
  readonly position: Point;
  readonly camera: Exclude<CameraState, "hidden">;
  readonly verdict: Verdict;
  readonly worst: { readonly metric: "pasteFraction"; readonly value: number; readonly limit: number };
  readonly file: string;
}
/** A camera is not where it says: told once a camera. `position`: the middle of what it shows. */
export interface CameraPoseFinding {
  readonly kind: "cameraPose"; readonly severity: Severity; readonly proven: boolean;
  /** The one being laid. */
  readonly layer: number;
  readonly device: string;
  readonly position: Point;
  readonly worst: { readonly metric: "poseErrorMm"; readonly value: number; readonly limit: number };
  readonly file: string;
}
/** What lies along a strand. */
export type StrandFinding = StretchFinding | DisagreementFinding;
export type CameraFinding = HangFinding | DisagreementFinding | CameraPoseFinding;
export type Finding = StretchFinding | BodyFinding | PoreFinding | CameraFinding;

/** The tolerance as the job gave it; limits that follow the planned bead are absent here and stand with each station. */
export type ToleranceEcho = Readonly<Record<string, unknown>>;

export interface Summary {
  readonly stations: number; readonly laid: number; readonly measured: number;
  /** In-band over laid length, 0..1; null while nothing is laid. */
  readonly inBandLengthFraction: number | null;
  /** Visible area × length over measured stations. */
  readonly plannedVolumeMm3: number; readonly measuredVolumeMm3: number;
}

export interface InspectResult {
  readonly contract: "aslaid/1";
  readonly warnings: readonly Warning[];
  readonly tolerance: ToleranceEcho;
  readonly stations: readonly StationResult[];
  readonly findings: readonly Finding[];
  readonly events: readonly never[];
  /** In order of time. */
  readonly frames: readonly FrameResult[];
  readonly motion: null;
  readonly earlierAttempts: readonly StationResult[];
  readonly summary: Summary;
}

export type { Band, Range };
