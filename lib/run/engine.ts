/** One run: messages in, readings judged as they come, a result at any time. Pure: no clock, no I/O. */
import { stationColumns, type FrameReading, type FrameScene } from "../camera/scene.ts";
import type { FrameResult } from "../model/frame.ts";
import { guardOf, leastLengthMm, limitsAt } from "../judge/bands.ts";
import type { JudgedStation } from "../judge/judged.ts";
import { cameraGaps, disagreements, outsideGaps, type SeenStation } from "../judge/cameraStretches.ts";
import { judgePores } from "../judge/pores.ts";
import { findStretches } from "../judge/stretches.ts";
import type { ContributionSwitch } from "../measure/settings.ts";
import type { LaidStrand } from "../measure/laid.ts";
import { Measurer, type MeasureOutput } from "../measure/measurer.ts";
import { findSupport } from "../measure/supportFound.ts";
import type { Body } from "../model/body.ts";
import type { Job } from "../model/job.ts";
import type { FrameMessage, Message, PasteMarkMessage, ProfileMessage, ReworkMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import type { Reading } from "../model/reading.ts";
import type { BodyFinding, CameraFinding, DisagreementFinding, InspectResult, Point, PoreFinding, StationResult, StretchFinding, ToleranceEcho } from "../model/result.ts";
import type { SectionCut } from "../model/sectionCut.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { SupportFound } from "../model/supportFound.ts";
import type { Warning } from "../base/errors.ts";
import { plannedPores } from "../plan/pores.ts";
import { buildStations } from "../plan/stations.ts";
import { sceneOf, type EarlierPaste } from "./cameraScene.ts";
import { CameraStanding } from "./cameraStanding.ts";
import { NozzlePath } from "./nozzlePath.ts";
import { inOrder, tidy } from "./findingOrder.ts";
import { isMissing, offPathFindings, type Missing } from "./offPath.ts";
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
  private readonly camera: CameraStanding;
  private readonly nozzle: NozzlePath;
  private readonly earlierPaste: EarlierPaste[] = [];
  private readonly marks: PasteMarkMessage[] = [];
  private readonly firstStation: Int32Array; // Int32Array[strand + 1], among all stations
  private readonly begunS = new Map<number, number>(); // by layer
  private readonly hasProgress: boolean;

  constructor(plan: Plan, job: Job, options: EngineOptions) {
    this.job = job;
    this.output = options.output;
    this.plan = buildStations(plan, job.stationSpacingMm);
    this.readings = new StandingReadings(this.plan.strands, job);
    this.hasProgress = options.hasProgress;
    const columns = stationColumns(this.plan);
    this.firstStation = columns.first;
    this.camera = new CameraStanding(this.plan, columns, job);
    this.nozzle = new NozzlePath(this.plan, plan);
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
      case "profile": this.profile(message); break;
      case "progress":
        this.measurer.progress(message);
        this.nozzle.take(message);
        this.begin(message.layer, message.tS);
        break;
      case "rework": this.rework(message); break;
      case "frame": if (!this.hasProgress && !this.job.devices.some(({ kind }) => kind === "profiler")) this.layWithoutProfiles(); break; // measured apart: takeFrame
      case "pasteMark": this.marks.push(message); break;
      case "pose": case "signal": break; // decoded, checked and kept; nothing is measured from them
      default: message satisfies never;
    }
  }

  private profile(message: ProfileMessage): void {
    this.measurer.profile(message);
    if (!this.hasProgress) this.begin(message.layer ?? 1, message.layer === null ? -Infinity : message.tS); // where nobody names layers, all of it lay there before
  }

  /** A camera alone, and nobody who says what is laid: all of it is. */
  private layWithoutProfiles(): void {
    this.measurer.layerWithoutProgress(null);
    this.begin(1, -Infinity);
  }

  private begin(layer: number, tS: number): void {
    if (!this.begunS.has(layer)) this.begunS.set(layer, tS);
  }

  /** What is known at a frame's instant, as the camera is told it. May go into another thread. */
  frameScene(frame: FrameMessage): FrameScene {
    return sceneOf(frame, {
      plan: this.plan, laid: this.measurer.laid, readings: this.readings, earlier: this.earlierPaste, nozzle: this.nozzle, begunS: (layer) => this.begunS.get(layer) ?? Number.NaN,
      marks: this.marks, places: this.camera.bodies.map(({ body }) => body.position),
    });
  }

  /** The frame that was taken last; null: none was. */
  get newestFrame(): FrameResult | null { return this.camera.frames.at(-1) ?? null; }

  /** Takes what a frame says, in order of the frames' time. */
  takeFrame(reading: FrameReading): void {
    this.camera.take(reading);
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
      this.earlierPaste.push({ station: (this.firstStation[strand.index] as number) + i, attempt: laid.attempt[i] as number, laidAtS: laid.laidAtS[i] as number, goneS: message.tS });
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
    const along = this.plan.strands.flatMap((strand, k) => this.findingsAlong(strand, judged[k] as readonly JudgedStation[]));
    const stations = judged.flatMap((list) => list.map((s) => s.result)), earlierAttempts = this.earlierAttempts.map((station) => ({ ...station, camera: this.cameraOf(station) }));
    return {
      contract: "aslaid/1", warnings, tolerance, stations, findings: [...along, ...this.bodyFindings(along), ...this.poreFindings(), ...this.camera.findings()].sort(inOrder),
      events: [], frames: this.camera.frames, motion: null, earlierAttempts, summary: summarise(stations),
    };
  }

  /** The findings along a strand as its readings and frames stand now; passes under way go on. Of layers that are not begun: none. */
  standingFindings(strand: StrandStations): (StretchFinding | DisagreementFinding)[] {
    return this.findingsAlong(strand, this.judgedStations(strand));
  }

  /** What frames alone have found and what has no place along a strand: paste at the nozzle, a camera that is not where it says. */
  standingCamera(): CameraFinding[] {
    return this.camera.findings();
  }

  private findingsAlong(strand: StrandStations, judged: readonly JudgedStation[]): (StretchFinding | DisagreementFinding)[] {
    const { tolerance } = this.job, found = findStretches(judged, tolerance);
    if (this.camera.frames.length === 0) return found.map(tidy);
    const seen = judged.map(({ result }, i): SeenStation => {
      const share = this.camera.shareAt(strand.index, i, result.attempt), reading = this.readings.of(strand, i)?.reading;
      return { result, pasteFraction: share?.pasteFraction ?? Number.NaN, isNewer: share !== null && reading !== undefined && share.tS >= reading.tS };
    });
    const gaps = cameraGaps(seen, tolerance), leastMm = leastLengthMm(tolerance, "unmeasured", strand.widthMm[0] as number);
    return [...outsideGaps(found, gaps, leastMm), ...gaps, ...disagreements(seen, tolerance)].sort((a, b) => a.fromMm - b.fromMm).map(tidy);
  }

  private cameraOf({ layer, strand, sMm, attempt }: StationResult): StationResult["camera"] {
    const stations = this.plan.strands.find((s) => s.layer === layer && s.strand === strand) as StrandStations;
    return this.camera.cameraAt(stations.index, stations.sMm.findIndex((s) => Math.abs(s - sMm) < 1e-5), attempt);
  }

  /** Bodies off the path of the layer being laid, as they stand now; `along`: what was found along its strands. null: no layer is begun. */
  standingBodies(along: readonly (StretchFinding | DisagreementFinding)[]): { readonly layer: number; readonly findings: readonly BodyFinding[] } | null {
    const standing = this.measurer.standingBodies();
    return standing === null ? null : { layer: standing.layer, findings: this.bodyFindingsOf(standing.layer, standing.found, along.filter(isMissing)) };
  }

  private judgedStations(strand: StrandStations): JudgedStation[] {
    const laid = this.measurer.laid[strand.index];
    if (laid === undefined) throw new RangeError(`strand ${strand.index} is not followed`);
    return Array.from({ length: strand.count }, (_, i) => {
      const standing = this.readings.of(strand, i);
      const result = { ...stationResult(strand, i, laid, standing, this.readings), camera: this.camera.cameraAt(strand.index, i, laid.attempt[i] as number) };
      return { result, cause: standing !== null && standing.judgement.verdict === result.verdict ? standing.judgement.cause : null };
    });
  }

  private bodyFindings(along: readonly (StretchFinding | DisagreementFinding)[]): BodyFinding[] {
    const missing = along.filter(isMissing), layers = new Set([...this.bodies.keys(), ...this.camera.bodies.map(({ layer }) => layer)]);
    return [...layers].flatMap((layer) => this.bodyFindingsOf(layer, this.bodies.get(layer) ?? [], missing));
  }

  private bodyFindingsOf(layer: number, bodies: readonly Body[], missing: readonly Missing[]): BodyFinding[] {
    const first = this.plan.strands.find((s) => s.layer === layer) as StrandStations;
    return offPathFindings({ layer, bodies, seen: this.camera.bodies.filter((each) => each.layer === layer), missing, leastMm2: this.readings.limitsOf(first, 0).strayAreaMm2, pointsOf: (gap) => this.pointsOf(gap) });
  }

  private poreFindings(): PoreFinding[] {
    const found = judgePores(plannedPores(this.plan), {
      strands: this.plan.strands, guard: guardOf(this.job.tolerance.decisionRule),
      readingAt: (strand, station) => this.readings.of(this.plan.strands[strand] as StrandStations, station)?.reading ?? null,
    });
    return found.map((f) => ({ ...f, areaMm2: rounded(f.areaMm2), position: f.position.map(rounded) as unknown as Point }));
  }

  private pointsOf(gap: Missing): Point[] {
    const strand = this.plan.strands.find((s) => s.layer === gap.layer && s.strand === gap.strand) as StrandStations;
    const points: Point[] = [];
    for (let i = 0; i < strand.count; i++) {
      const s = strand.sMm[i] as number;
      if (s >= gap.fromMm - this.plan.spacingMm && s <= gap.toMm + this.plan.spacingMm) points.push(positionOf(strand, i));
    }
    return points;
  }
}
