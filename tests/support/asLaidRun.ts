/** A rehearsal measured with its sections, the rows of its surface, and how far a point lies from what truly lies there. */
import { resolveJob, toleranceEcho } from "../../lib/model/jobSchema.ts";
import { add, cross, dot, poseOfAxes, scale, sub, type Vec3 } from "../../lib/kernel/vec.ts";
import type { AsLaidRow } from "../../lib/model/asLaid.ts";
import type { Job } from "../../lib/model/job.ts";
import type { InspectResult } from "../../lib/model/result.ts";
import { unpackCut, type SectionCut } from "../../lib/model/sectionCut.ts";
import type { StationPlan, StrandStations } from "../../lib/model/stations.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { makeCaster } from "../../lib/rehearsal/caster.ts";
import { layBodies } from "../../lib/rehearsal/lay.ts";
import { stationStance } from "../../lib/rehearsal/planSection.ts";
import { planStrands } from "../../lib/rehearsal/planned.ts";
import { makeSchedule } from "../../lib/rehearsal/schedule.ts";
import { fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate, type Rehearsal } from "../../lib/rehearsal/simulate.ts";
import { makeSurface } from "../../lib/rehearsal/surface.ts";
import { asLaidRows, latticeOf, surfaceBiasOf } from "../../lib/report/asLaidRows.ts";
import type { LaidStrandPlace } from "../../lib/report/asLaidVertices.ts";
import { RunEngine } from "../../lib/run/engine.ts";
import { RunKeeper } from "../../lib/run/keepRun.ts";
import { messagesOf } from "./phantom.ts";

export interface AsLaidRun { readonly rehearsal: Rehearsal; readonly job: Job; readonly plan: StationPlan; readonly result: InspectResult; readonly cutsOf: (strand: StrandStations) => SectionCut[]; readonly rowsOf: (strand: StrandStations) => { readonly place: LaidStrandPlace; readonly rows: AsLaidRow[] } }

export function measureAsLaid(settings: Partial<RehearsalSettings>): AsLaidRun {
  const rehearsal = simulate(settings), { job } = resolveJob(rehearsal.jobJson, "job.json"), keeper = new RunKeeper();
  const engine = new RunEngine(readPlanCsv(rehearsal.planCsv, job, "plan.csv").plan, job, { hasProgress: true, output: keeper });
  for (const message of messagesOf(rehearsal)) engine.push(message);
  const result = engine.finish([], toleranceEcho(rehearsal.jobJson, job));
  const attempts = new Map(result.stations.filter((at) => at.measured !== null).map((at) => [`${at.layer}/${at.strand}/${at.sMm.toFixed(4)}`, at.attempt]));
  const cuts = [...keeper.cuts()].map(unpackCut);
  const cutsOf = (strand: StrandStations): SectionCut[] => cuts
    .filter((cut) => cut.layer === strand.layer && cut.strand === strand.strand && attempts.get(`${cut.layer}/${cut.strand}/${(strand.sMm[cut.stationIndex] as number).toFixed(4)}`) === cut.attempt)
    .sort((p, q) => p.stationIndex - q.stationIndex);
  return {
    rehearsal, job, plan: engine.plan, result, cutsOf,
    rowsOf: (strand) => {
      const lattice = latticeOf(strand);
      return { place: { strand, lattice, shape: engine.plan.beadShape }, rows: [...asLaidRows(strand, lattice, cutsOf(strand), surfaceBiasOf(job))] };
    },
  };
}

const STEP_MM = 0.003, REACH_MM = 0.15, ABOVE_MM = 20;

/** Distance of a point near (layer, strand, s) from the true surface as the layer was last seen: of points cast along the normal, walls included. */
export function trueDistance(given: Partial<RehearsalSettings>): (layer: number, strand: number, sMm: number, point: Vec3) => number {
  const settings = fillSettings(given), surface = makeSurface(settings.surface, settings.radiusMm), strands = planStrands(settings, surface), schedule = makeSchedule(settings, surface, strands);
  const caster = makeCaster(surface), { bodies } = layBodies(settings, strands, schedule, caster);
  return (layer, number, sMm, point) => {
    const strand = strands.find((one) => one.layer === layer && one.strand === number)!, stance = stationStance(strand, sMm, settings.widthMm);
    caster.aim(poseOfAxes(stance.lateral, cross(stance.normal, stance.lateral), stance.normal, add(stance.point, scale(stance.normal, ABOVE_MM))), bodies, schedule.layers[layer - 1]!.afterS, -3, 3, 0.05);
    const from = sub(point, stance.point), b = dot(from, stance.lateral), n = dot(from, stance.normal), along = dot(from, stance.tangent);
    let best = Infinity, x0 = Number.NaN, z0 = Number.NaN;
    for (let x = b - REACH_MM; x <= b + REACH_MM; x += STEP_MM) {
      const z = caster.zAt(x) + ABOVE_MM;
      if (z0 === z0) best = Math.min(best, toSegment(b - x0, n - z0, x - x0, z - z0));
      [x0, z0] = [x, z];
    }
    return Math.hypot(best, along);
  };
}

function toSegment(px: number, py: number, dx: number, dy: number): number {
  const f = Math.max(0, Math.min(1, (px * dx + py * dy) / (dx * dx + dy * dy)));
  return Math.hypot(px - f * dx, py - f * dy);
}
