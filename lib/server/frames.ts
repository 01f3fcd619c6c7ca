/** One camera frame of a result as a page shows it: read when somebody looks at it. */
import { InputError } from "../base/errors.ts";
import type { FrameResult } from "../model/frame.ts";
import type { FramePlace } from "../model/framePlace.ts";
import { picturePath, type FrameView } from "../model/frameView.ts";
import type { Job } from "../model/job.ts";
import { resolveJob } from "../model/jobSchema.ts";
import { CAMERA_DEFAULT } from "../model/jobShape.ts";
import type { Finding } from "../model/result.ts";
import { frameAlt, frameFacts } from "../report/frameWords.ts";
import { layerOfFrame } from "../report/frameShowing.ts";
import { readFramePlaces } from "../store/framePlaces.ts";
import { readFrames } from "../store/frameRows.ts";
import { listResults } from "../store/readRuns.ts";
import { cameraOf } from "./framing.ts";
import { isKept } from "./pictures.ts";
import { sharedStore } from "./settings.ts";

/** The job of a result without its plan; null where what is kept of it cannot be read any more. */
function jobOf(text: string): Job | null {
  try {
    return resolveJob(JSON.parse(text), "job.json").job;
  } catch (error) {
    if (error instanceof InputError || error instanceof SyntaxError) return null;
    throw error;
  }
}

export interface ViewedFrame {
  /** In order of time. */
  readonly frames: readonly FrameResult[];
  readonly index: number;
  /** Where planned lines are drawn. */
  readonly layer: number;
  readonly place: Pick<FramePlace, "device" | "pose" | "frame"> | undefined;
  readonly job: Job | null;
  readonly findings: readonly Finding[];
  /** Where the picture is to be had; null: it is kept no more. */
  readonly picture: string | null;
}

/** Findings that have their place in a frame: those that name it, and those of the layer that was being laid. */
export function frameViewOf({ frames, index, layer, place, job, findings, picture }: ViewedFrame): FrameView {
  const frame = frames[index] as FrameResult, limits = job?.tolerance.camera ?? CAMERA_DEFAULT;
  return {
    frame, picture, layer, pose: place?.frame === "plan" ? place.pose : null, camera: cameraOf(job, place),
    findings: findings.filter((finding) => ("file" in finding ? finding.file === frame.file : finding.layer === layer)).map(({ kind, position }) => ({ kind, position })),
    facts: frameFacts(frame, limits), alt: frameAlt(frame, limits),
  };
}

/** `query`: resultId, and the frame's file. InputError `store.noRun`. */
export async function readFrameView(runId: string, query: URLSearchParams): Promise<FrameView> {
  const { db, prisma } = sharedStore(), resultId = query.get("resultId") ?? "", file = query.get("file") ?? "";
  const result = (await listResults(prisma, runId)).find(({ id }) => id === resultId), frames = result === undefined ? [] : [...readFrames(db, result.id)], index = frames.findIndex((frame) => frame.file === file);
  if (result === undefined || index < 0) throw new InputError("store.noRun", "a run that is kept, and a frame of one of its results", JSON.stringify(`${resultId} ${file}`.slice(0, 90)), {});
  const own = db.prepare<[string], { jobText: string }>(`SELECT jobText FROM "Run" WHERE id = ?`).get(runId), place = readFramePlaces(db, result.id).get(file);
  const picture = place !== undefined && isKept({ db }, runId, place.sha256) ? picturePath(runId, place.sha256) : null;
  return frameViewOf({ frames, index, layer: layerOfFrame(frames, index), place, job: jobOf(result.recompute?.jobText ?? own?.jobText ?? ""), findings: result.findings, picture });
}
