/** A camera's calibration from pictures of a board: what was asked, what came out, and how far it can be trusted. Lengths in the picture in px. */
import type { Camera, CameraCalibration, LensName, Mount } from "./job.ts";
import type { ReportSection } from "./report.ts";

export const BOARD_PATTERNS = ["checkerboard", "dots"] as const;
export type BoardPattern = (typeof BOARD_PATTERNS)[number];

/** The board that all pictures show. */
export interface BoardGiven {
  readonly pattern: BoardPattern;
  /** Inner corners, or dots, along a row and a column; null: the size that most pictures show. */
  readonly columns: number | null;
  readonly rows: number | null;
  /** From one corner, or one dot's middle, to the next. */
  readonly pitchMm: number;
  /** Id of the device in the job. */
  readonly camera: string;
}

/** How it is to be solved. */
export interface CalibrationOptions {
  /** Half-size of the window in which a corner is looked for; null: three tenths of the way to the next corner. */
  readonly cornerWindowPx: number | null;
  /** One focal length for both axes. */
  readonly isSquare: boolean;
  /** Distortions that stay 0. */
  readonly fixed: readonly ("k1" | "k2" | "p1" | "p2" | "k3")[];
  /** No picture is left out for its error. */
  readonly keepsAll: boolean;
}

export const CALIBRATION_DEFAULT: CalibrationOptions = { cornerWindowPx: null, isSquare: false, fixed: [], keepsAll: false };

export type CalibrationVerdict = CameraCalibration["verdict"];
export const LENS_NAMES: readonly LensName[] = ["fx", "fy", "cx", "cy", "k1", "k2", "p1", "p2", "k3"];

/** One thing that was judged, with the limits that it was judged by in its sentence. */
export interface CalibrationCheck { readonly name: string; readonly verdict: CalibrationVerdict; readonly sentence: string }

/** One picture's board as it was used. */
export interface BoardSeen {
  readonly file: string;
  /** x0, y0, x1, y1 …, row by row. */
  readonly pointsPx: readonly number[];
  /** Seen minus computed, alike. */
  readonly residualsPx: readonly number[];
  readonly rmsPx: number;
  /** Between the board's normal and the view's axis. */
  readonly tiltDeg: number;
  /** From the camera to the board's middle. */
  readonly distanceMm: number;
}

export interface PictureLeftOut { readonly file: string; readonly why: string }

export type CalibratedCamera = Omit<Camera, "maskPx" | "clockOffsetS" | "calibration"> & { readonly calibration: CameraCalibration };

/** Where the camera sits on the tool. */
export interface HandEyeSaid {
  readonly pictures: number;
  readonly verdict: CalibrationVerdict;
  readonly checks: readonly CalibrationCheck[];
  /** null: not determined. */
  readonly mount: Mount | null;
  /** What is left a picture and axis: of the board's middle in base, of its turn. */
  readonly rmsMm: number | null;
  readonly rmsDeg: number | null;
}

export interface Calibration {
  readonly contract: "aslaid/1";
  readonly board: BoardGiven & { readonly columns: number; readonly rows: number };
  readonly device: CalibratedCamera;
  readonly checks: readonly CalibrationCheck[];
  readonly boards: readonly BoardSeen[];
  readonly leftOut: readonly PictureLeftOut[];
  /** null: no poses were given. */
  readonly handEye: HandEyeSaid | null;
  readonly warnings: readonly string[];
}

/** What goes into a job: a device and, where it is known, its mount. */
export interface CalibrationBlocks {
  readonly devices: readonly [CalibratedCamera];
  readonly mounts: readonly Mount[];
}

export function jobBlocksOf({ device, handEye }: Pick<Calibration, "device" | "handEye">): CalibrationBlocks {
  return { devices: [device], mounts: handEye === null || handEye.mount === null ? [] : [handEye.mount] };
}

/** What a page shows of it. */
export interface CalibrationSheet {
  readonly headline: string;
  readonly detail: string;
  readonly camera: string;
  readonly verdict: CalibrationVerdict;
  readonly rmsWords: string;
  readonly at: string;
  readonly pictureCount: number;
  readonly sections: readonly ReportSection[];
  /** The job's blocks as JSON. */
  readonly blocksText: string;
}
