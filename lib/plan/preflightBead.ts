/** Checks of the planned bead itself, waypoint by waypoint: its form, its size against the nozzle, its flow, and what the whole plan needs. */
import { flowMm3S, laidAreaMm2 } from "../formula/bead.ts";
import { tripleAt } from "../kernel/vec.ts";
import type { Job } from "../model/job.ts";
import type { Plan, PlanStrand } from "../model/plan.ts";
import type { PreflightItem, PreflightKind, PreflightTotals } from "../model/preflight.ts";
import { found, isOver, itemsAlong, makeItem, notMade, type Outcome, type Over, type Places } from "./preflightItem.ts";

/** A segment higher than this share of its chord overhangs: from above its flanks are hidden (plane geometry). */
const CHORD_SHARE = 0.5;
/** A bead is drawn thin or torn below this share of the bore, and swells round the tip beyond this share of the tip (common practice, no source). */
const BORE_SHARE = 0.75;
const TIP_SHARE = 1.5;
/** Flow against laid area · speed may differ by this, percent (common practice, no source). */
const FLOW_PERCENT = 2;

/** The pieces between waypoints, each standing at its first. */
function piecesOf(strand: PlanStrand): Places {
  return { layer: strand.layer, strand: strand.strand, count: strand.pointCount - 1, edgesMm: strand.arcMm, sMm: strand.arcMm, pointAt: (i) => tripleAt(strand.pointsMm, i) };
}

function along(plan: Plan, kind: PreflightKind, overAt: (strand: PlanStrand, i: number) => Over | null): Outcome {
  return found(kind, plan.strands.flatMap((strand) => itemsAlong(kind, piecesOf(strand), (i) => overAt(strand, i))));
}

export function checkSegments(plan: Plan): Outcome {
  if (plan.beadShape !== "segment") return found("segmentTooHigh", []);
  return along(plan, "segmentTooHigh", (strand, i) => {
    const value = strand.heightMm[i] as number, limit = CHORD_SHARE * (strand.widthMm[i] as number);
    return isOver(value, limit) ? { value, limit, excess: value / limit } : null;
  });
}

export function checkWidths(plan: Plan, { nozzle }: Job): Outcome[] {
  const least = BORE_SHARE * nozzle.innerDiameterMm, most = TIP_SHARE * nozzle.outerDiameterMm;
  return [
    along(plan, "beadTooNarrow", (strand, i) => {
      const value = strand.widthMm[i] as number;
      return isOver(-value, -least) ? { value, limit: least, excess: least - value } : null;
    }),
    along(plan, "beadTooWide", (strand, i) => {
      const value = strand.widthMm[i] as number;
      return isOver(value, most) ? { value, limit: most, excess: value - most } : null;
    }),
  ];
}

/** Volume conservation: flow = laid area · speed. The value is how much more (or less) flows than the bead takes, percent. */
export function checkFlow(plan: Plan): Outcome {
  return along(plan, "flowDisagrees", (strand, i) => {
    const needed = flowMm3S(laidAreaMm2(plan.beadShape, strand.widthMm[i] as number, strand.heightMm[i] as number), strand.speedMmS[i] as number);
    const value = 100 * ((strand.flowMm3S[i] as number) / needed - 1), excess = Math.abs(value);
    return isOver(excess, FLOW_PERCENT) ? { value, limit: value < 0 ? -FLOW_PERCENT : FLOW_PERCENT, excess } : null;
  });
}

/** Seconds and mm³ of one piece: length / speed, and flow times that. */
function timeOf(strand: PlanStrand, i: number): number {
  return ((strand.arcMm[i + 1] as number) - (strand.arcMm[i] as number)) / (strand.speedMmS[i] as number);
}

function volumeOf(strand: PlanStrand, i: number): number {
  return timeOf(strand, i) * (strand.flowMm3S[i] as number);
}

function sumOver(plan: Plan, of: (strand: PlanStrand, i: number) => number): number {
  let sum = 0;
  for (const strand of plan.strands) for (let i = 0; i < strand.pointCount - 1; i++) sum += of(strand, i);
  return sum;
}

export function totalsOf(plan: Plan): PreflightTotals {
  return {
    lengthMm: plan.strands.reduce((sum, strand) => sum + strand.lengthMm, 0),
    volumeMm3: sumOver(plan, volumeOf), layingTimeS: sumOver(plan, timeOf),
  };
}

export function checkVolume(plan: Plan, { material }: Job): Outcome {
  if (material.syringeVolumeMm3 === null) return notMade("volumeOver", "the job gives no syringeVolumeMm3");
  return found("volumeOver", usedUp(plan, "volumeOver", volumeOf, material.syringeVolumeMm3));
}

export function checkTime(plan: Plan, { material }: Job): Outcome {
  if (material.workingTimeS === null) return notMade("timeOver", "the job gives no workingTimeS");
  return found("timeOver", usedUp(plan, "timeOver", timeOf, material.workingTimeS), "moves between strands and the time from the clock's start to the first strand are not in the plan and come on top");
}

/** Where a running sum passes its limit: one item from there to the strand's end, with the whole plan's sum. */
function usedUp(plan: Plan, kind: "volumeOver" | "timeOver", of: (strand: PlanStrand, i: number) => number, limit: number): PreflightItem[] {
  const value = sumOver(plan, of);
  if (!isOver(value, limit)) return [];
  let before = 0;
  for (const strand of plan.strands) {
    for (let i = 0; i < strand.pointCount - 1; i++) {
      const piece = of(strand, i);
      if (!isOver(before + piece, limit)) {
        before += piece;
        continue;
      }
      const share = Math.min(1, (limit - before) / piece), a = tripleAt(strand.pointsMm, i), b = tripleAt(strand.pointsMm, i + 1);
      const sMm = (strand.arcMm[i] as number) + share * ((strand.arcMm[i + 1] as number) - (strand.arcMm[i] as number));
      const at = (k: 0 | 1 | 2): number => a[k] + share * (b[k] - a[k]);
      return [makeItem(kind, { layer: strand.layer, strand: strand.strand, fromMm: sMm, toMm: strand.lengthMm, sMm, position: [at(0), at(1), at(2)], value, limit, other: null })];
    }
  }
  return [];
}
