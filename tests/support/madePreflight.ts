import type { Job } from "../../lib/model/job.ts";
import type { Plan } from "../../lib/model/plan.ts";
import type { Preflight, PreflightItem, PreflightKind } from "../../lib/model/preflight.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { preflightPlan } from "../../lib/plan/preflight.ts";
import { madeJob, madePlan, type MadeStrand } from "./madePlan.ts";

/** A job in which everything can be checked: syringe, working time, nozzle length, and a profiler that looks where the nozzle is. */
export function wholeJob(change: (json: Record<string, any>) => void = () => {}, shape: "stadium" | "segment" = "stadium"): Job {
  return madeJob(shape, (json) => {
    json["nozzle"].lengthMm = 12.7;
    Object.assign(json["material"], { syringeVolumeMm3: 900, workingTimeS: 200 });
    json["tolerance"] = { judgeWithinS: 30 };
    json["mounts"] = [mountBehind(0)];
    change(json);
  });
}

/** The profiler on the tool, 60 mm up, looking down, its line across the travel `mm` behind the nozzle. */
export function mountBehind(mm: number): Record<string, unknown> {
  return { from: "profiler-1", to: "tool", pose: [-mm, 0, 60, 0, 0, -Math.SQRT1_2, Math.SQRT1_2] };
}

export function judged(strands: readonly MadeStrand[], job: Job = wholeJob()): Preflight {
  return preflightPlan(madePlan(strands, job), job);
}

export function itemsOf(preflight: Preflight, kind: PreflightKind): PreflightItem[] {
  return preflight.items.filter((item) => item.kind === kind);
}

/** A strand of 12 mm along x at y, its top at z, of `rows` [width, height, speed, flow or ""] laid between equal pieces. */
export function planOfRows(rows: readonly (readonly [number, number, number, number | ""])[], job: Job): Plan {
  const head = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s";
  const piece = 12 / rows.length;
  const lines = [...rows, rows.at(-1)!].map(([w, h, v, q], i) => `1,1,${i * piece},0,0.5,0,0,1,${w},${h},${v},${q}`);
  return readPlanCsv([head, ...lines, ""].join("\n"), job, "plan.csv").plan;
}
