import type { Warning } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import { toleranceEcho } from "../model/jobSchema.ts";
import type { Message } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { InspectResult } from "../model/result.ts";
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
  /** Is handed what is not in the result, where somebody keeps it. */
  readonly output?: RunOutput;
}

/** Measures and judges a whole recorded run. `heard` is told of the messages taken so far, now and then. */
export async function inspectRun(run: RecordedRun, heard?: (messageCount: number, tS: number) => void): Promise<InspectResult> {
  const engine = new RunEngine(run.plan, run.job, { hasProgress: run.files.some((f) => f.path === "progress.csv"), ...(run.output === undefined ? {} : { output: run.output }) });
  let count = 0;
  for await (const batch of run.messages()) {
    for (const message of batch) engine.push(message);
    count += batch.length;
    const last = batch[batch.length - 1];
    if (last !== undefined) heard?.(count, last.tS);
  }
  return engine.finish(run.warnings, toleranceEcho(run.rawJob, run.job));
}
