/**
 * The job as the program uses it: every optional block filled in with the contract's default (what has no default is null).
 * Lengths in mm, times in s, angles as the key says.
 */
export type BeadShape = "stadium" | "segment";
export type Pose = readonly [number, number, number, number, number, number, number];
export type Range = readonly [number, number];

export interface Band { readonly watch: Range; readonly act: Range }

export interface PlanSource {
  readonly file: string;
  /** G-code only; null for CSV. */
  readonly gcode: {
    readonly flowWord: string;
    readonly flowUnit: "mm3" | "plungerMm";
    readonly flowMode: "total" | "increment";
    /** mm², needed for plungerMm. */
    readonly syringeAreaMm2: number | null;
    /** Three words of the tool axis; null: constant 0 0 1. */
    readonly axisWords: string | null;
  } | null;
}

export interface Nozzle {
  readonly innerDiameterMm: number;
  readonly outerDiameterMm: number;
  readonly coneAngleDeg: number;
  readonly lengthMm: number | null;
}

export interface Material {
  readonly name: string;
  readonly lot: string | null;
  readonly beadShape: BeadShape;
  readonly syringeVolumeMm3: number | null;
  readonly workingTimeS: number | null;
  readonly clockStarts: "mixing" | "wetting" | "warming" | "none" | null;
  readonly mixedAt: string | null;
  readonly translucent: boolean;
}

export interface Profiler {
  readonly id: string;
  readonly kind: "profiler";
  readonly points: number;
  readonly x0Mm: number;
  readonly dxMm: number;
  readonly sigmaZMm: number;
  /** Taken out of every height and carried; null: none stated. */
  readonly surfaceBiasMm: { readonly value: number; readonly u: number } | null;
  readonly clockOffsetS: number | null;
}
export interface Camera {
  readonly id: string;
  readonly kind: "camera";
  readonly widthPx: number; readonly heightPx: number;
  readonly fx: number; readonly fy: number; readonly cx: number; readonly cy: number;
  readonly k1: number; readonly k2: number; readonly p1: number; readonly p2: number; readonly k3: number;
  readonly maskPx: readonly (readonly [number, number, number, number])[];
  readonly clockOffsetS: number | null;
  /** Where its numbers come from; null: nobody says. */
  readonly calibration: CameraCalibration | null;
}
/** A calibration's own word on a camera's numbers (model/calibration.ts makes it, README says how it is judged). */
export interface CameraCalibration {
  /** "sha256:" and the hash over board, options and pictures: the same inputs have the same one. */
  readonly at: string;
  readonly pictures: number;
  readonly points: number;
  readonly rmsPx: number;
  /** Standard uncertainties; 0: held at its value; null: the pictures do not determine it. */
  readonly u: Readonly<Record<LensName, number | null>>;
  readonly verdict: "good" | "doubtful" | "bad";
  readonly why: readonly string[];
}
export type LensName = "fx" | "fy" | "cx" | "cy" | "k1" | "k2" | "p1" | "p2" | "k3";
export interface Tracker { readonly id: string; readonly kind: "tracker"; readonly sigmaMm: number | null; readonly clockOffsetS: number | null }
export interface Arm { readonly id: string; readonly kind: "arm"; readonly clockOffsetS: number | null }
export type Device = Profiler | Camera | Tracker | Arm;

/**
 * Limits as the job gave them: `null` means "follows the planned bead of each station" (`judge/bands.ts` fills them in there).
 * Width and height limits are deviations from the plan, the offset's are sizes.
 */
export interface Tolerance {
  readonly areaRatio: Band;
  readonly widthMm: Band | null;
  readonly heightMm: Band | null;
  readonly offsetMm: { readonly watch: number; readonly act: number } | null;
  readonly gapRatio: number;
  readonly liftMm: number | null;
  readonly strayAreaMm2: number | null;
  readonly judgeWithinS: number | null;
  readonly minLengthMm: {
    readonly gap: number | null; readonly underExtrusion: number | null; readonly overExtrusion: number | null;
    readonly liftedStrand: number | null; readonly displacedStrand: number | null; readonly unmeasured: number | null;
  };
  /** "guarded-K": what is called good lies inside its limits by K standard uncertainties (ISO 14253-1). */
  readonly decisionRule: string;
  readonly camera: { readonly separability: number; readonly poseErrorMm: number };
  readonly motion: {
    readonly horizonS: number; readonly markerLostHoldS: number; readonly displacementMm: number;
    readonly registrationNormalMm: number; readonly registrationMm: number;
  };
}

export interface Acceptance { readonly minMeasuredFraction: number; readonly minInBandFraction: number; readonly maxActFindings: number }

export type PolicyAct = "log" | "advise" | "pause";
export type PauseAt = "now" | "strandEnd" | "layerEnd";
export interface Policy {
  readonly onFinding: Readonly<Record<string, PolicyAct>>;
  readonly pauseAt: Readonly<Record<string, PauseAt>>;
  readonly layerGate: { readonly minMeasuredFraction: number; readonly openAct: "hold" | "advise" };
  readonly flow: { readonly mode: "off" | "advise" | "act"; readonly clamp: Range; readonly ratePerS: number };
  readonly watchdogs: {
    readonly profilerSilentS: number; readonly progressSilentS: number; readonly receiptS: number; readonly cellSilenceS: number;
    readonly diskFreeFraction: number; readonly backlogS: number; readonly workingTimeLeftS: number;
  };
  readonly resume: { readonly overlapMm: number; readonly safeHeightMm: number; readonly nozzleIdleS: number };
}

export interface Mount { readonly from: string; readonly to: string; readonly pose: Pose; readonly u: { readonly mm: number; readonly deg: number } | null }
export interface DhRow { readonly aMm: number; readonly alphaRad: number; readonly dMm: number; readonly thetaRad: number; readonly minRad: number; readonly maxRad: number }

export interface Job {
  readonly contract: "aslaid/1";
  readonly name: string;
  readonly specimen: string | null;
  /** A simulated cell prints it: everything of it says REHEARSAL. */
  readonly rehearsal: boolean;
  readonly plan: PlanSource;
  readonly stationSpacingMm: number;
  readonly nozzle: Nozzle;
  readonly material: Material;
  readonly devices: readonly Device[];
  readonly tolerance: Tolerance;
  readonly acceptance: Acceptance;
  readonly policy: Policy;
  readonly mounts: readonly Mount[];
  readonly arm: { readonly dh: readonly DhRow[] } | null;
}
