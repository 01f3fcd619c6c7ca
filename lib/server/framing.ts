/** The lines over a run's camera frames, from its plan and where each was taken. */
import { frameDrawing, type FramedStrand } from "../formula/frameDrawing.ts";
import { framedStrands } from "../formula/framedStrands.ts";
import type { FrameResult } from "../model/frame.ts";
import type { FramePlace } from "../model/framePlace.ts";
import type { Camera, Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import type { SheetLayer } from "../model/sheet.ts";
import { buildStations } from "../plan/stations.ts";
import type { BodyInput } from "../report/body/bodyInput.ts";
import { layerOfFrame } from "../report/frameShowing.ts";
import { targetShape } from "../report/targetShape.ts";

export interface Framing {
  readonly frames: readonly FrameResult[];
  readonly layers: readonly SheetLayer[];
  /** null: what is kept of them cannot be read any more. */
  readonly job: Job | null;
  readonly plan: Plan | null;
  readonly places: ReadonlyMap<string, FramePlace>;
}

/** The camera that a frame came from; null: the job names none so. */
export function cameraOf(job: Pick<Job, "devices"> | null, place: Pick<FramePlace, "device"> | undefined): Camera | null {
  return job?.devices.find((device): device is Camera => device.kind === "camera" && device.id === place?.device) ?? null;
}

/** What the report asks for each finding; the plan is laid out in space once, and only where a frame is asked for. */
export function framing({ frames, layers, job, plan, places }: Framing): BodyInput["framed"] {
  let strands: readonly FramedStrand[] | null = null;
  return (frame, over) => {
    const place = places.get(frame.file), camera = cameraOf(job, place);
    if (job === null || plan === null || place === undefined || place.frame !== "plan" || camera === null) return null;
    strands ??= framedStrands(targetShape(buildStations(plan, job.stationSpacingMm), job), layers);
    return { sha256: place.sha256, drawing: frameDrawing({ camera, pose: place.pose, strands, frame, layer: layerOfFrame(frames, frames.indexOf(frame)), ...over }) };
  };
}
