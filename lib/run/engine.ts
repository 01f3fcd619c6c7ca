/** One run: messages in, readings judged as they come, a result at any time. Pure: no clock, no I/O. */
import { guardOf, limitsAt } from "../judge/bands.ts";
import { judgeBodies } from "../judge/bodies.ts";
import type { JudgedStation } from "../judge/judged.ts";
import { judgePores } from "../judge/pores.ts";
import { findStretches } from "../judge/stretches.ts";
import type { ContributionSwitch } from "../measure/settings.ts";
import type { LaidStrand } from "../measure/laid.ts";
import { Measurer, type MeasureOutput } from "../measure/measurer.ts";
import { findSupport } from "../measure/supportFound.ts";
import type { Body } from "../model/body.ts";
import type { Job } from "../model/job.ts";
import type { Message, ReworkMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { Reading } from "../model/reading.ts";
import type { BodyFinding, Finding, InspectResult, Point, PoreFinding, StationResult, StretchFinding, ToleranceEcho } from "../model/result.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { SupportFound } from "../model/supportFound.ts";
import type { Warning } from "../base/errors.ts";
import { plannedPores } from "../plan/pores.ts";
import { buildStations } from "../plan/stations.ts";
import { StandingReadings, type Taken } from "./standing.ts";
import { positionOf, rounded, stationResult } from "./stationResult.ts";
import { summarise } from "./summary.ts";

export interface EngineOptions {
  /** False: layers are read as laid whole when their profiles begin. */
  readonly hasProgress: boolean;
  readonly contributions?: ContributionSwitch;
  /** Where what is not in the result goes as it comes about; without it nothing of it is made. */
  readonly output?: RunOutput;
}

/** Whoever keeps readings and sections. */
export interface RunOutput {
  /** Every reading, good or not, as it is made. */
  reading(strand: StrandStations, station: number, attempt: number, taken: Taken): void;
  /** The section of the reading that has just come to stand; made where it is asked for alone. */
  cut?(cut: SectionCut): void;
  /** What layer 1 is about to be laid on; made where it is asked for alone. */
  supportFound?(found: SupportFound): void;
}

export class RunEngine {
  readonly plan: StationPlan;
  private readonly job: Job;
  private readonly output: RunOutput | undefined;
  private readonly readings: StandingReadings;
  private readonly measurer: Measurer;
  private readonly bodies = new Map<number, readonly Body[]>();
  private readonly earlierAttempts: StationResult[] = [];

  constructor(plan: Plan, job: Job, options: EngineOptions) {
    this.job = job;
    this.output = options.output;
    this.plan = buildStations(plan, job.stationSpacingMm);
    this.readings = new StandingReadings(this.plan.strands, job);
    this.measurer = new Measurer(this.plan, job, {
      hasProgress: options.hasProgress, ...(options.contributions === undefined ? {} : { contributions: options.contributions }),
      output: { reading: (strand, station, reading) => this.take(strand, station, reading), bodies: (layer, found) => { this.bodies.set(layer, found); }, ...this.keeperPorts() },
    });
  }

  private take(strand: StrandStations, station: number, reading: Reading): void {
    const laid = this.measurer.laid[strand.index] as LaidStrand;
    const taken = this.readings.take(strand, station, reading, laid.laidAtS[station] as number);
    this.output?.reading(strand, station, laid.attempt[station] as number, taken);
  }

  /** Sections and the support as found are made only where somebody keeps them; sections of readings that stand alone. */
  private keeperPorts(): Pick<MeasureOutput, "cut" | "support"> {
    const { output, job: { tolerance, acceptance, stationSpacingMm: spacingMm } } = this;
    const rules = { heightActAt: (w: number, h: number) => limitsAt(tolerance, w, h).heightMm.act, minSeenFraction: acceptance.minMeasuredFraction, spacingMm };
    return {
      ...(output?.cut === undefined ? {} : { cut: (strand, station, reading, take) => { if (this.readings.of(strand, station)?.reading === reading) output.cut?.(take()); } }),
      ...(output?.supportFound === undefined ? {} : { support: (charts, strands) => output.supportFound?.(findSupport(charts, strands, rules)) }),
    };
  }

  /** Takes the next message in reference order. */
  push(message: Message): void {
    switch (message.kind) {
      case "profile": this.measurer.profile(message); break;
      case "progress": this.measurer.progress(message); break;
      case "rework": this.rework(message); break;
      case "pose": case "signal": case "frame": break; // decoded, checked and kept; nothing is measured from them
      default: message satisfies never;
    }
  }

  /** What was read of the stretch becomes an earlier attempt before the stretch is opened again. */
  private rework(message: ReworkMessage): void {
    const strand = this.plan.strands.find((s) => s.layer === message.layer && s.strand === message.strand);
    if (strand === undefined) throw new RangeError(`no strand ${message.strand} in layer ${message.layer}`);
    this.measurer.endPasses();
    const laid = this.measurer.laid[strand.index];
    for (let i = 0; laid !== undefined && i < strand.count; i++) {
      const s = strand.sMm[i] as number;
      if (laid.laid[i] !== 1 || s < message.fromMm - 1e-3 || s > message.toMm + 1e-3) continue;
      this.earlierAttempts.push(stationResult(strand, i, laid, this.readings.of(strand, i), this.readings));
      this.readings.clear(strand, i);
    }
    this.measurer.rework(message);
  }

  /** Ends every pass under way: what comes now is another look at what lies there. */
  endPasses(): void {
    this.measurer.endPasses();
  }

  /** The result once the last message has been pushed. */
  finish(warnings: readonly Warning[], tolerance: ToleranceEcho): InspectResult {
    this.measurer.finish();
    const judged = this.plan.strands.map((strand) => this.judgedStations(strand));
    const stretches = judged.flatMap((stations) => findStretches(stations, this.job.tolerance));
    const stations = judged.flatMap((list) => list.map((s) => s.result));
    return {
      contract: "aslaid/1", warnings, tolerance, stations, findings: [...stretches.map(tidy), ...this.bodyFindings(stretches), ...this.poreFindings()].sort(inOrder),
      events: [], frames: [], motion: null, earlierAttempts: this.earlierAttempts, summary: summarise(stations),
    };
  }

  /** The findings along a strand as its readings stand now; passes under way go on. Of layers that are not begun: none. */
  standingFindings(strand: StrandStations): StretchFinding[] {
    return findStretches(this.judgedStations(strand), this.job.tolerance).map(tidy);
  }

  /** Bodies off the path of the layer being laid, as they stand now; `gaps`: those found along its strands. null: no layer is begun. */
  standingBodies(gaps: readonly StretchFinding[]): { readonly layer: number; readonly findings: readonly BodyFinding[] } | null {
    const standing = this.measurer.standingBodies();
    return standing === null ? null : { layer: standing.layer, findings: this.bodyFindingsOf(standing.layer, standing.found, gaps) };
  }

  private judgedStations(strand: StrandStations): JudgedStation[] {
    const laid = this.measurer.laid[strand.index];
    if (laid === undefined) throw new RangeError(`strand ${strand.index} is not followed`);
    return Array.from({ length: strand.count }, (_, i) => {
      const standing = this.readings.of(strand, i);
      const result = stationResult(strand, i, laid, standing, this.readings);
      return { result, cause: standing !== null && standing.judgement.verdict === result.verdict ? standing.judgement.cause : null };
    });
  }

  private bodyFindings(stretches: readonly StretchFinding[]): BodyFinding[] {
    const gaps = stretches.filter((f) => f.kind === "gap");
    return [...this.bodies].flatMap(([layer, bodies]) => this.bodyFindingsOf(layer, bodies, gaps));
  }

  private bodyFindingsOf(layer: number, bodies: readonly Body[], gaps: readonly StretchFinding[]): BodyFinding[] {
    const first = this.plan.strands.find((s) => s.layer === layer) as StrandStations;
    const least = this.readings.limitsOf(first, 0).strayAreaMm2;
    return judgeBodies(bodies, gaps, least, (gap) => this.pointsOf(gap)).map((f) => ({
      ...f, areaMm2: rounded(f.areaMm2), volumeMm3: f.volumeMm3 === null ? null : rounded(f.volumeMm3), lengthMm: rounded(f.lengthMm),
      position: f.position.map(rounded) as unknown as Point, worst: { ...f.worst, value: rounded(f.worst.value), limit: rounded(f.worst.limit) },
    }));
  }

  private poreFindings(): PoreFinding[] {
    const found = judgePores(plannedPores(this.plan), {
      strands: this.plan.strands, guard: guardOf(this.job.tolerance.decisionRule),
      readingAt: (strand, station) => this.readings.of(this.plan.strands[strand] as StrandStations, station)?.reading ?? null,
    });
    return found.map((f) => ({ ...f, areaMm2: rounded(f.areaMm2), position: f.position.map(rounded) as unknown as Point }));
  }

  private pointsOf(gap: StretchFinding): Point[] {
    const strand = this.plan.strands.find((s) => s.layer === gap.layer && s.strand === gap.strand) as StrandStations;
    const points: Point[] = [];
    for (let i = 0; i < strand.count; i++) {
      const s = strand.sMm[i] as number;
      if (s >= gap.fromMm - this.plan.spacingMm && s <= gap.toMm + this.plan.spacingMm) points.push(positionOf(strand, i));
    }
    return points;
  }
}

function tidy(f: StretchFinding): StretchFinding {
  const { value, limit } = f.worst;
  return {
    ...f, fromMm: rounded(f.fromMm), toMm: rounded(f.toMm), lengthMm: rounded(f.toMm - f.fromMm),
    worst: { ...f.worst, value: value === null ? null : rounded(value), limit: rounded(limit) },
  };
}

/** Act before watch, then by layer, strand (off the path last) and place. */
function inOrder(a: Finding, b: Finding): number {
  if (a.severity !== b.severity) return a.severity === "act" ? -1 : 1;
  if (a.layer !== b.layer) return a.layer - b.layer;
  const strand = (f: Finding): number => ("strand" in f ? f.strand : Number.MAX_SAFE_INTEGER);
  if (strand(a) !== strand(b)) return strand(a) - strand(b);
  return ("fromMm" in a ? a.fromMm : 0) - ("fromMm" in b ? b.fromMm : 0);
}
