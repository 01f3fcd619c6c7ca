/** Where the nozzle was at an instant, from progress. */
import type { ProgressMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { Point } from "../model/result.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";

export interface NozzlePlace { readonly tip: Point; readonly axis: Point }

/** Progress that says nothing for longer leaves the nozzle's place unknown, s. */
const LONGEST_S = 3;

export class NozzlePath {
  private readonly rows: ProgressMessage[] = [];

  constructor(private readonly plan: StationPlan, private readonly planned: Plan) {}

  take(row: ProgressMessage): void {
    this.rows.push(row);
  }

  /** The tip and its axis at reference time tS; between two rows linear, after the last one on at the planned speed. null: no strand is being laid. */
  at(tS: number): NozzlePlace | null {
    const next = this.firstAfter(tS), before = this.rows[next - 1], after = this.rows[next];
    if (before === undefined || before.event === "end") return null;
    const strand = this.plan.strands.find((s) => s.layer === before.layer && s.strand === before.strand);
    if (strand === undefined) return null;
    const isSame = after !== undefined && after.layer === before.layer && after.strand === before.strand && after.event !== "start";
    if (!isSame && tS - before.tS > LONGEST_S) return null;
    const speed = isSame ? (after.sMm - before.sMm) / Math.max(1e-9, after.tS - before.tS) : speedAt(this.planned, strand, before.sMm);
    return placeOn(strand, Math.min(strand.lengthMm, before.sMm + speed * (tS - before.tS)));
  }

  /** Index of the first row later than tS. */
  private firstAfter(tS: number): number {
    let low = 0, high = this.rows.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if ((this.rows[mid] as ProgressMessage).tS <= tS) low = mid + 1;
      else high = mid;
    }
    return low;
  }
}

/** The plan point and normal at arc length s, linear between stations. */
function placeOn(strand: StrandStations, sMm: number): NozzlePlace {
  let i = 0;
  while (i + 2 < strand.count && (strand.sMm[i + 1] as number) < sMm) i++;
  const j = Math.min(strand.count - 1, i + 1), s0 = strand.sMm[i] as number, s1 = strand.sMm[j] as number, f = s1 > s0 ? (sMm - s0) / (s1 - s0) : 0;
  const between = (k: number): number => (1 - f) * (strand.frames[12 * i + k] as number) + f * (strand.frames[12 * j + k] as number);
  const n = [between(6), between(7), between(8)] as const, size = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
  return { tip: [between(0), between(1), between(2)], axis: [n[0] / size, n[1] / size, n[2] / size] };
}

/** Planned speed at an arc length. */
function speedAt(plan: Plan, { layer, strand }: StrandStations, sMm: number): number {
  const planned = plan.strands.find((s) => s.layer === layer && s.strand === strand) as Plan["strands"][number];
  let i = 0;
  while (i + 2 < planned.pointCount && (planned.arcMm[i + 1] as number) <= sMm) i++;
  return planned.speedMmS[i] as number;
}
