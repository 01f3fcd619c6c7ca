import type { BeadShape, Job } from "../../lib/model/job.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { Plan } from "../../lib/model/plan.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import type { Triple } from "./madePath.ts";

export interface MadeStrand {
  readonly layer?: number;
  readonly strand: number;
  readonly points: readonly Triple[];
  /** One for all waypoints, or one each. */
  readonly normals?: Triple | readonly Triple[];
  readonly widthMm?: number;
  readonly heightMm?: number;
}

const HEAD = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s";

/** A job with one profiler of 200 points at 0.05 mm, σ 0.01 mm; `change` alters its JSON. */
export function madeJob(beadShape: BeadShape = "stadium", change: (json: Record<string, any>) => void = () => {}): Job {
  const json = {
    contract: "aslaid/1", name: "made by hand", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 },
    material: { name: "paste", beadShape }, devices: [{ id: "profiler-1", kind: "profiler", points: 200, x0Mm: -5, dxMm: 0.05, sigmaZMm: 0.01 }],
  };
  change(json);
  return resolveJob(json, "job.json").job;
}

/** A plan from waypoints, read as any plan is; beads 1.0 × 0.5 mm at 6 mm/s where nothing is said. */
export function madePlan(strands: readonly MadeStrand[], job: Job = madeJob()): Plan {
  const rows = strands.flatMap(({ layer = 1, strand, points, normals = [0, 0, 1], widthMm = 1, heightMm = 0.5 }) =>
    points.map((p, i) => [layer, strand, ...p, ...(typeof normals[0] === "number" ? (normals as Triple) : (normals as readonly Triple[])[i]!), widthMm, heightMm, 6, ""].join(",")));
  return readPlanCsv([HEAD, ...rows, ""].join("\n"), job, "plan.csv").plan;
}
