/** The engine of one live run: reads what is kept, measures it in order of time, and tells what it found. What it says is provisional. */
import { orNull } from "../../base/missing.ts";
import { ABSENT, type FrameReading } from "../../camera/scene.ts";
import type { Job } from "../../model/job.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { LiveEvents, LiveReading } from "../../model/liveEvent.ts";
import type { LiveFacts } from "../../model/liveFacts.ts";
import { packCut, unpackCut, type PackedCut, type SectionCut } from "../../model/sectionCut.ts";
import type { Message, ReworkMessage } from "../../model/messages.ts";
import type { StrandFinding } from "../../model/result.ts";
import type { StrandStations } from "../../model/stations.ts";
import { readPlan } from "../../plan/readPlan.ts";
import { RunEngine } from "../../run/engine.ts";
import { PrintFacts } from "../../run/printFacts.ts";
import { Reorder } from "../../run/reorder.ts";
import { SteadyBodies } from "../../run/steadyBodies.ts";
import type { Taken } from "../../run/standing.ts";
import { JOURNAL_START, JournalReader } from "../../source/journal.ts";
import { onReference } from "../../sensing/clock.ts";
import { compareMessages } from "../../source/merge.ts";
import type { LiveHead } from "./liveFolder.ts";
import type { FramePort } from "./frameEye.ts";
import { FrameQueue } from "./frameQueue.ts";
import type { StationAt } from "./threadMessages.ts";

export interface EngineEars {
  reading(readings: LiveEvents["reading"]): void;
  finding(finding: LiveEvents["finding"]): void;
  bodies(bodies: LiveEvents["bodies"]): void;
  frame(frames: LiveEvents["frame"]): void;
  facts(facts: LiveFacts): void;
  /** Bytes of the journal that were read, the newest stamp that was measured (NaN: none), and messages that were too late. */
  measured(bytes: number, tS: number, lateCount: number): void;
}

/** Findings of a strand are looked for again at most so often, ms. */
const FINDINGS_EVERY_MS = 500;
/** What is known beside readings is told at most so often, ms. */
const FACTS_EVERY_MS = 100;
/** How frames stand is told at most so often, ms. */
const FRAMES_EVERY_MS = 100;
/** Sections that are kept, of the stations read last: some 2 kB each. */
const MOST_CUTS = 20_000;
/** Bodies off the path are looked for again at most so often, ms, and so many times as long after as the last look took. */
const BODIES_EVERY_MS = 1000, BODIES_SHARE = 20;
/** A station at the end of a stretch belongs to it, mm. */
const PLACE_MM = 1e-3;
/** Records that are read before what they brought is measured. */
const RECORDS_AT_ONCE = 16;

export class LiveEngine {
  private readonly engine: RunEngine;
  private readonly reorder = new Reorder(compareMessages);
  private readonly changed = new Set<StrandStations>();
  private readonly toldMs = new Map<StrandStations, number>(); // when its findings were last looked for
  private readonly told = new Map<StrandStations, string>();
  private readonly standing = new Map<string, number>(); // attempt of the reading that stands, by "layer/strand/station"
  private readonly facts: PrintFacts;
  private readonly cuts = new Map<string, PackedCut>(); // by "layer/strand/station", the newest last
  private factsMs = -Infinity;
  private readonly found = new Map<StrandStations, readonly StrandFinding[]>(); // as told last
  private bodiesDueMs = -Infinity;
  private bodiesProfileS = Number.NaN; // the newest profile at the last look
  private readonly steady = new SteadyBodies();
  private toldBodies = "";
  private toldFacts = "";
  private readings: LiveReading[] = [];
  private offset = JOURNAL_START;
  private measuredS = Number.NaN;
  private progressS = Number.NaN; // of the newest progress
  readonly frames = new FrameQueue();
  private readonly job: Job;
  private frameStates: Uint8Array = new Uint8Array(0); // Uint8Array[station], of the newest frame that was taken
  private framesMs = -Infinity;

  /** `eye`: what measures frames; null: nothing does, and they wait for the end of the run. */
  constructor(head: LiveHead, private readonly reader: JournalReader, private readonly tell: EngineEars, private readonly eye: FramePort | null) {
    const { job } = resolveJob(JSON.parse(head.jobText), "job.json"), { plan } = readPlan(head.planText, job, head.planFile);
    this.job = job;
    this.engine = new RunEngine(plan, job, {
      hasProgress: true,
      output: { reading: (strand, station, attempt, taken) => this.take(strand, station, attempt, taken), cut: (cut) => this.keepCut(cut) },
    });
    this.facts = new PrintFacts(plan, this.engine.plan, job);
  }

  private take(strand: StrandStations, station: number, attempt: number, { reading: r, judgement, ageS, stands }: Taken): void {
    if (!stands) return;
    this.changed.add(strand);
    this.standing.set(`${strand.layer}/${strand.strand}/${station}`, attempt);
    this.facts.reading(strand, station, r.areaMm2 / (strand.visibleAreaMm2[station] as number));
    this.readings.push({
      layer: strand.layer, strand: strand.strand, stationIndex: station, sMm: strand.sMm[station] as number, attempt, tS: r.tS, byS: this.measuredS, ageS: orNull(ageS),
      uWidthMm: orNull(r.uWidthMm), uHeightMm: orNull(r.uHeightMm), uAreaMm2: orNull(r.uAreaMm2), uOffsetMm: orNull(r.uOffsetMm), support: r.support, sagMm: orNull(r.sagMm),
      widthMm: orNull(r.widthMm), heightMm: orNull(r.heightMm), areaRatio: r.areaMm2 / (strand.visibleAreaMm2[station] as number), offsetMm: orNull(r.offsetMm),
      coverage: r.coverage, verdict: judgement.verdict, proven: judgement.proven,
    });
  }

  private keepCut(cut: SectionCut): void {
    const key = `${cut.layer}/${cut.strand}/${cut.stationIndex}`;
    this.cuts.delete(key);
    this.cuts.set(key, packCut(cut));
    if (this.cuts.size > MOST_CUTS) this.cuts.delete(this.cuts.keys().next().value as string);
  }

  /** The section of the reading that stands at a station; null: none does, or it was read too long ago to be kept. */
  cutOf({ layer, strand, station }: StationAt): SectionCut | null {
    const packed = this.cuts.get(`${layer}/${strand}/${station}`);
    return packed === undefined ? null : unpackCut(packed);
  }

  /** Reads and measures what is kept up to byte `end`, a piece at a time. */
  async work(end: number, nowMs: () => number): Promise<{ readonly isBehind: boolean; readonly isWaiting: boolean }> {
    for (let count = 0; count < RECORDS_AT_ONCE && this.offset < end; count++) {
      const placed = await this.reader.read(this.offset, end);
      if (placed === null) throw new TypeError(`the journal is not whole at byte ${this.offset}`);
      const { record } = placed;
      const messages: readonly Message[] = record.kind === "rows" ? record.rows : record.profiles.map((profile) => ({ ...profile, zMm: profile.zMm.slice(), xMm: profile.xMm?.slice() ?? null }));
      for (const message of messages) this.add(message, nowMs());
      this.offset = placed.next;
      this.measure(nowMs());
    }
    this.measure(nowMs());
    this.tellReadings();
    const hasFindings = this.tellFindings(nowMs());
    this.tellBodies(nowMs);
    this.tellFacts(nowMs());
    this.lookAtFrame(nowMs());
    this.tellFrames(nowMs());
    this.tell.measured(this.offset, this.measuredS, this.reorder.lateCount);
    return { isBehind: this.offset < end, isWaiting: hasFindings || this.reorder.waiting > 0 || this.frames.hasNews || (this.frames.hasWaiting && this.eye?.isFree === true) };
  }

  /** Frames wait in a queue of their own, and for what a person marks no order matters. */
  private add(message: Message, nowMs: number): void {
    if (message.kind === "frame") this.frames.add(onReference(message, this.job.devices), nowMs);
    else if (message.kind === "pasteMark") this.engine.push(message);
    else this.reorder.add(message.kind === "profile" || message.kind === "pose" ? onReference(message, this.job.devices) : message, nowMs);
  }

  private measure(nowMs: number): void {
    for (const message of this.reorder.release(nowMs)) {
      if (message.kind === "rework") this.takeOff(message);
      if (message.kind === "profile") this.measuredS = message.tS;
      if (message.kind === "progress") {
        this.facts.progress(message);
        this.progressS = message.tS;
      }
      this.engine.push(message);
    }
  }

  /** Hands the newest frame on, with what is known by now. */
  private lookAtFrame(nowMs: number): void {
    const frame = this.eye?.isFree === true ? this.frames.next(this.progressS, nowMs) : null;
    if (frame !== null) this.eye?.measure(this.engine.frameScene(frame));
  }

  /** Takes what a frame says; null: it could not be measured. Strands that it shows otherwise than before, or on which something stands, are looked at again. */
  takeFrame(reading: FrameReading | null): void {
    if (reading !== null) this.engine.takeFrame(reading);
    this.frames.done(reading, this.engine.newestFrame);
    if (reading === null) return;
    this.bodiesProfileS = Number.NaN;
    if (reading.reason !== null) return;
    const before = this.frameStates, after = this.frameStates = reading.states;
    let at = 0;
    for (const strand of this.engine.plan.strands) {
      const from = at;
      at += strand.count;
      if ((this.found.get(strand)?.length ?? 0) > 0 || after.subarray(from, at).some((state, i) => state === ABSENT || state !== (before[from + i] ?? 0))) this.changed.add(strand);
    }
  }

  private tellFrames(nowMs: number): void {
    if (!this.frames.hasNews || nowMs - this.framesMs < FRAMES_EVERY_MS) return;
    this.framesMs = nowMs;
    this.tell.frame({ ...this.frames.told(), findings: this.engine.standingCamera() });
  }

  /** What stood along the stretch stands no more; what is found on the strand is looked for again. */
  private takeOff({ tS, layer, strand: number, fromMm, toMm }: ReworkMessage): void {
    const strand = this.engine.plan.strands.find((each) => each.layer === layer && each.strand === number) as StrandStations;
    this.changed.add(strand);
    this.facts.takenOff(strand, fromMm, toMm);
    strand.sMm.forEach((sMm, stationIndex) => {
      const key = `${layer}/${number}/${stationIndex}`, attempt = this.standing.get(key);
      if (attempt === undefined || sMm < fromMm - PLACE_MM || sMm > toMm + PLACE_MM) return;
      this.standing.delete(key);
      this.cuts.delete(key);
      this.readings.push({ layer, strand: number, stationIndex, sMm, attempt, tS, byS: tS, ageS: null, widthMm: null, heightMm: null, areaRatio: 0, offsetMm: null,
        uWidthMm: null, uHeightMm: null, uAreaMm2: null, uOffsetMm: null, support: null, sagMm: null, coverage: 0, verdict: "removed", proven: false });
    });
  }

  private tellReadings(): void {
    if (this.readings.length === 0) return;
    this.tell.reading(this.readings);
    this.readings = [];
  }

  private tellBodies(nowMs: () => number): void {
    const began = nowMs();
    if (began < this.bodiesDueMs || this.measuredS === this.bodiesProfileS) return;
    this.bodiesProfileS = this.measuredS;
    const standing = this.engine.standingBodies([...this.found.values()].flat());
    this.bodiesDueMs = began + Math.max(BODIES_EVERY_MS, BODIES_SHARE * (nowMs() - began));
    if (standing === null) return;
    const findings = this.steady.take(standing.layer, standing.findings, this.measuredS), text = JSON.stringify([standing.layer, findings]);
    if (text === this.toldBodies) return;
    this.toldBodies = text;
    this.tell.bodies({ layer: standing.layer, findings });
  }

  private tellFacts(nowMs: number): void {
    if (nowMs - this.factsMs < FACTS_EVERY_MS) return;
    const { facts } = this.facts, text = JSON.stringify(facts);
    this.factsMs = nowMs;
    if (text === this.toldFacts) return;
    this.toldFacts = text;
    this.tell.facts(facts);
  }

  /** True: some strand has to wait for its turn. */
  private tellFindings(nowMs: number): boolean {
    let waits = false;
    for (const strand of this.changed) {
      if (nowMs - (this.toldMs.get(strand) ?? -Infinity) < FINDINGS_EVERY_MS) {
        waits = true;
        continue;
      }
      this.changed.delete(strand);
      this.toldMs.set(strand, nowMs);
      const findings = this.engine.standingFindings(strand).filter((finding) => finding.kind !== "unmeasured"), text = JSON.stringify(findings);
      if (text === (this.told.get(strand) ?? "[]")) continue;
      this.told.set(strand, text);
      this.found.set(strand, findings);
      this.tell.finding({ layer: strand.layer, strand: strand.strand, findings });
    }
    return waits;
  }

  close(): Promise<void> {
    return this.reader.close();
  }
}
