import type { Warning } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import { readPlanCsv } from "./readCsv.ts";
import { readPlanGcode } from "./readGcode.ts";

/** Reads the plan in the format that the job names; `file` stands in errors. */
export function readPlan(text: string, job: Job, file: string): { plan: Plan; warnings: Warning[] } {
  return job.plan.gcode === null ? readPlanCsv(text, job, file) : readPlanGcode(text, job, job.plan.gcode, file);
}
