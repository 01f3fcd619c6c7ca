import type { ContributionSwitch } from "../../lib/measure/settings.ts";
import { resolveJob, toleranceEcho } from "../../lib/model/jobSchema.ts";
import type { Message } from "../../lib/model/messages.ts";
import type { InspectResult, StationResult } from "../../lib/model/result.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate, type Rehearsal } from "../../lib/rehearsal/simulate.ts";
import { RunEngine } from "../../lib/run/engine.ts";

/** A rehearsal's messages in reference order: progress and rework before a profile of the same time. */
export function* messagesOf(r: Rehearsal): Generator<Message> {
  const rows = [...r.progress, ...r.rework].sort((a, b) => a.tS - b.tS || (a.kind === b.kind ? 0 : a.kind === "progress" ? -1 : 1));
  let at = 0;
  for (const profile of r.profiles()) {
    for (; at < rows.length && rows[at]!.tS <= profile.tS; at++) yield rows[at]!;
    yield profile;
  }
  for (; at < rows.length; at++) yield rows[at]!;
}

/** Measures a rehearsal in memory, without a folder. */
export function measureRehearsal(r: Rehearsal, contributions?: ContributionSwitch): InspectResult {
  const { job } = resolveJob(r.jobJson, "job.json");
  const { plan } = readPlanCsv(r.planCsv, job, "plan.csv");
  const engine = new RunEngine(plan, job, { hasProgress: r.progress.length > 0, ...(contributions === undefined ? {} : { contributions }) });
  for (const message of messagesOf(r)) engine.push(message);
  return engine.finish([], toleranceEcho(r.jobJson, job));
}

export interface MetricStats { n: number; bias: number; sd: number; worst: number; within2u: number; rmsOverU: number; worstAt: string }

/** One station, measured and true. */
export interface Pair { readonly station: StationResult; readonly truth: Rehearsal["truth"]["stations"][number] }

export interface PhantomReport {
  readonly result: InspectResult;
  readonly rehearsal: Rehearsal;
  readonly pairs: readonly Pair[];
  readonly area: MetricStats; readonly width: MetricStats; readonly height: MetricStats; readonly offset: MetricStats;
  readonly measuredFraction: number;
}

/**
 * Measures a rehearsal and compares it with its truth. Stations closer than `edgeMm` to the edge of a fault are left out of the
 * statistics: there the section changes within one profile spacing.
 */
export function measurePhantom(settings: Partial<RehearsalSettings>, options: { edgeMm?: number; contributions?: ContributionSwitch; only?: (pair: Pair) => boolean } = {}): PhantomReport {
  const rehearsal = simulate(settings);
  const result = measureRehearsal(rehearsal, options.contributions);
  const truths = new Map(rehearsal.truth.stations.map((t) => [`${t.layer}/${t.strand}/${t.sMm.toFixed(4)}/${t.attempt}`, t]));
  const pairs: Pair[] = [];
  for (const station of result.stations) {
    const truth = truths.get(`${station.layer}/${station.strand}/${station.sMm.toFixed(4)}/${station.attempt}`);
    if (truth !== undefined) pairs.push({ station, truth });
  }
  const edgeMm = options.edgeMm ?? 0.8;
  const clear = pairs.filter((p) => p.station.measured !== null && !nearFaultEdge(p, rehearsal, edgeMm) && (options.only?.(p) ?? true));
  const stats = (of: (p: Pair) => [number, number, number] | null): MetricStats => statsOf(clear.map((p) => ({ p, v: of(p) })));
  return {
    result, rehearsal, pairs,
    area: stats((p) => ratio(p)),
    width: stats((p) => triple(p.station.measured!.widthMm, p.truth.true.widthMm, p.station.u!.widthMm)),
    height: stats((p) => triple(p.station.measured!.heightMm, p.truth.true.heightMm, p.station.u!.heightMm)),
    offset: stats((p) => triple(p.station.measured!.offsetMm, p.truth.true.offsetMm, p.station.u!.offsetMm)),
    measuredFraction: result.summary.measured / Math.max(1, result.summary.laid),
  };
}

function ratio(p: Pair): [number, number, number] {
  const planned = p.station.planned.areaMm2;
  return [p.station.measured!.areaMm2 / planned, p.truth.true.areaMm2 / planned, p.station.u!.areaMm2 / planned];
}

function triple(value: number | null, truth: number | null, u: number | null): [number, number, number] | null {
  return value === null || truth === null || u === null ? null : [value, truth, u];
}

function nearFaultEdge(p: Pair, r: Rehearsal, edgeMm: number): boolean {
  return r.truth.faults.some((f) => f.layer === p.station.layer && f.strand === p.station.strand
    && (Math.abs(f.fromMm - p.station.sMm) < edgeMm || Math.abs(f.toMm - p.station.sMm) < edgeMm));
}

function statsOf(list: readonly { p: Pair; v: [number, number, number] | null }[]): MetricStats {
  const errors: number[] = [];
  let within = 0, z2 = 0, worst = 0, worstAt = "";
  for (const { p, v } of list) {
    if (v === null) continue;
    const e = v[0] - v[1];
    errors.push(e);
    if (Math.abs(e) <= 2 * v[2]) within++;
    z2 += (e / v[2]) ** 2;
    if (Math.abs(e) > Math.abs(worst)) { worst = e; worstAt = `${p.station.layer}/${p.station.strand}@${p.station.sMm} ${p.station.measured?.support}`; }
  }
  const n = errors.length;
  const bias = errors.reduce((a, b) => a + b, 0) / n;
  const sd = Math.sqrt(errors.reduce((a, b) => a + (b - bias) ** 2, 0) / Math.max(1, n - 1));
  return { n, bias, sd, worst, within2u: within / n, rmsOverU: Math.sqrt(z2 / n), worstAt };
}
