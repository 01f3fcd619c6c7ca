/** The pre-flight list of a plan: everything that can be said before anything is laid. Pure; near-linear in the number of stations. */
import type { Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import type { Preflight, PreflightItem } from "../model/preflight.ts";
import { checkFlow, checkSegments, checkTime, checkVolume, checkWidths, totalsOf } from "./preflightBead.ts";
import { checkBeneath } from "./preflightBeneath.ts";
import { checkCone } from "./preflightCone.ts";
import { checkCrossings } from "./preflightCross.ts";
import { makeGround } from "./preflightGround.ts";
import { rounded, type Outcome } from "./preflightItem.ts";
import { checkSight } from "./preflightSeen.ts";
import { checkTurns } from "./preflightTurns.ts";
import { buildStations } from "./stations.ts";

/** Judges the plan alone. What could not be checked is listed with its reason: nothing passes in silence. */
export function preflightPlan(plan: Plan, job: Job): Preflight {
  const ground = makeGround(plan, buildStations(plan, job.stationSpacingMm));
  const sight = checkSight(ground, job);
  const outcomes: Outcome[] = [
    checkSegments(plan), ...checkWidths(plan, job), checkFlow(plan), checkVolume(plan, job), checkTime(plan, job),
    checkTurns(ground), checkCrossings(ground), ...checkBeneath(ground), ...checkCone(ground, job), ...sight.outcomes,
  ];
  const totals = totalsOf(plan);
  return {
    items: outcomes.flatMap((o) => o.items).sort(inOrder),
    notChecked: outcomes.flatMap(({ kind, notChecked }) => (notChecked === null ? [] : [{ kind, reason: notChecked }])),
    checked: outcomes.filter((o) => o.isMade).map(({ kind, items }) => ({ kind, itemCount: items.length })),
    detours: sight.detours,
    totals: { lengthMm: rounded(totals.lengthMm), volumeMm3: rounded(totals.volumeMm3), layingTimeS: rounded(totals.layingTimeS) },
    assumptions: sight.assumptions,
  };
}

/** Act before watch, then by layer, strand and place. */
function inOrder(a: PreflightItem, b: PreflightItem): number {
  if (a.severity !== b.severity) return a.severity === "act" ? -1 : 1;
  return a.layer - b.layer || a.strand - b.strand || a.fromMm - b.fromMm;
}
