/** A camera frame as pages and reports show it: what stands with the picture, and the lines over it as plain data. Places in px, pixel (0, 0) being the centre of the top left one. */
import type { FrameResult } from "./frame.ts";
import type { FramePlace } from "./framePlace.ts";
import type { Camera, Pose } from "./job.ts";
import type { FindingKind, Point } from "./result.ts";
import type { Fact } from "./sheet.ts";

/** Line types over a picture (ISO 128): planned thin, present thick, hidden dashed; absent as a gap is drawn everywhere; what is masked dotted; the chosen station a centre line. */
export const FRAME_LOOKS = ["planned", "mask", "hidden", "present", "absent", "body", "chosen"] as const;
export type FrameLook = (typeof FRAME_LOOKS)[number];

/** `points`: x0, y0, x1, y1 …. */
export interface FrameLine { readonly look: FrameLook; readonly points: readonly number[]; readonly closed: boolean }
/** Words that stand at a place of the picture. */
export interface FrameTag { readonly x: number; readonly y: number; readonly text: string }

export interface FrameDrawing {
  readonly widthPx: number;
  readonly heightPx: number;
  /** What lies on top comes last. */
  readonly lines: readonly FrameLine[];
  readonly tags: readonly FrameTag[];
  /** Length of the frame's stretches that has no line, mm: outside the picture; and of layers beneath, hidden in it. */
  readonly outsideMm: number;
  readonly beneathMm: number;
}

/** A frame in a sheet's list: enough to leaf through hundreds. */
export interface SheetFrame {
  /** As the result names it. */
  readonly file: string;
  readonly tS: number;
  readonly used: boolean;
  /** "used", "not used: it is blurred". */
  readonly words: string;
}

/** A frame that was measured while its run goes on. */
export interface MeasuredFrame {
  readonly frame: FrameResult;
  readonly place: Pick<FramePlace, "device" | "pose" | "frame">;
  /** The one that was being laid. */
  readonly layer: number;
}

/** Everything about one frame that a page asks for when it shows it. */
export interface FrameView {
  readonly frame: FrameResult;
  /** Of frames.csv; null: the pose is not in `plan`, and nothing can be drawn over the picture. */
  readonly pose: Pose | null;
  /** Of the job; null: it names no such camera. */
  readonly camera: Camera | null;
  /** Where the picture is to be had; null: it was dropped from what is kept. */
  readonly picture: string | null;
  /** Planned lines are drawn of the strands of this layer. */
  readonly layer: number;
  /** That have their place in what this frame shows. */
  readonly findings: readonly { readonly kind: FindingKind; readonly position: Point }[];
  readonly facts: readonly Fact[];
  /** What somebody is told who does not see it. */
  readonly alt: string;
}

/** Where everything about a frame is asked for. */
export const framePath = (runId: string, resultId: string, file: string): string => `/api/runs/${encodeURIComponent(runId)}/frame?${new URLSearchParams({ resultId, file }).toString()}`;

/** Where a kept picture of a run is served, by its hash. */
export const picturePath = (runId: string, sha256: string): string => `/api/runs/${encodeURIComponent(runId)}/pictures/${sha256}`;

/** The same of a run that lives. */
export const liveFramePath = (runId: string, file: string): string => `/api/live/${encodeURIComponent(runId)}/frame?${new URLSearchParams({ file }).toString()}`;
export const livePicturePath = (runId: string, file: string): string => `/api/live/${encodeURIComponent(runId)}/picture?${new URLSearchParams({ file }).toString()}`;
