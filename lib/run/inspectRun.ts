import type { Warning } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import { toleranceEcho } from "../model/jobSchema.ts";
import type { FrameMessage, Message } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { InspectResult } from "../model/result.ts";
import { CameraEye } from "../camera/eye.ts";
import type { FramePixels } from "../model/frame.ts";
import { RunEngine, type RunOutput } from "./engine.ts";

/** A recorded run that is open for reading, as `source/` hands it over. */
export interface RecordedRun {
  readonly job: Job;
  readonly rawJob: unknown;
  readonly plan: Plan;
  /** Grows while messages are read. */
  readonly warnings: readonly Warning[];
  readonly files: readonly { readonly path: string }[];
  messages(): AsyncGenerator<readonly Message[]>;
  /** A frame's picture; null: it cannot be read, which is among the warnings then. */
  pixels(frame: FrameMessage): Promise<FramePixels | null>;
  /** Is handed what is not in the result, where somebody keeps it. */
  readonly output?: RunOutput;
}

/** Measures and judges a whole recorded run. `heard` is told of the messages taken so far, now and then. */
export async function inspectRun(run: RecordedRun, heard?: (messageCount: number, tS: number) => void): Promise<InspectResult> {
  const engine = new RunEngine(run.plan, run.job, { hasProgress: run.files.some((f) => f.path === "progress.csv"), ...(run.output === undefined ? {} : { output: run.output }) });
  const frames: FrameMessage[] = [];
  let count = 0;
  for await (const batch of run.messages()) {
    for (const message of batch) {
      engine.push(message);
      if (message.kind === "frame") frames.push(message);
    }
    count += batch.length;
    const last = batch[batch.length - 1];
    if (last !== undefined) heard?.(count, last.tS);
  }
  await measureFrames(run, engine, frames, (frameCount, tS) => heard?.(count + frameCount, tS));
  return engine.finish(run.warnings, toleranceEcho(run.rawJob, run.job));
}

/** Frames are measured last, with what all profiles say: a bead's own height and place, and which stretches may be learned from. */
async function measureFrames(run: RecordedRun, engine: RunEngine, frames: readonly FrameMessage[], heard: (frameCount: number, tS: number) => void): Promise<void> {
  const eyes = new Map(run.job.devices.flatMap((device) => (device.kind === "camera" ? [[device.id, new CameraEye(run.job, engine.plan, device)] as const] : [])));
  if (frames.length > 0) engine.endPasses();
  for (const [i, frame] of frames.entries()) {
    const scene = engine.frameScene(frame), eye = eyes.get(frame.device) as CameraEye;
    for (const mark of eye.unlearned(scene)) {
      const marked = frames.find(({ file, device }) => file === mark.file && device === frame.device);
      eye.learnMark(mark, marked === undefined ? null : await run.pixels(marked));
    }
    engine.takeFrame(eye.measure(scene, await run.pixels(frame)));
    heard(i + 1, frame.tS);
  }
}
