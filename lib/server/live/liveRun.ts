/** One run that lives: its state, its engine, its events, and what the log is told of it. */
import { statSync } from "node:fs";
import { InputError } from "../../base/errors.ts";
import { orNull } from "../../base/missing.ts";
import { portableText } from "../../log/portable.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { Job } from "../../model/job.ts";
import { PROGRAM_ACTOR } from "../../model/log.ts";
import { NO_FACTS, type LiveFacts } from "../../model/liveFacts.ts";
import type { MeasuredFrame } from "../../model/frameView.ts";
import type { SectionCut } from "../../model/sectionCut.ts";
import { nextState, type RunEvent } from "../../model/liveRun.ts";
import type { LiveEvents, LiveHealth } from "../../model/liveEvent.ts";
import type { CommandBody, ReceiptBody } from "../../model/wire.ts";
import { askRunEnd, readLiveRun, setRunState, type LiveRunRow } from "../../store/liveRuns.ts";
import { readEntries } from "../../store/logTable.ts";
import type { Store } from "../../store/openStore.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";
import { AlertBook } from "./alertBook.ts";
import { EngineAsks } from "./engineAsks.ts";
import { CommandBook } from "./commandBook.ts";
import { EventRing } from "./eventRing.ts";
import { healthOf, newestProfileS, nextRate, NO_RATE, referenceS, type Measured } from "./runHealth.ts";
import { Heard } from "./heard.ts";
import type { KeptState } from "./keeper.ts";
import { livePaths } from "./liveFolder.ts";
import { runRecord, type RunRecord } from "./runRecord.ts";
import { RunWatch } from "./runWatch.ts";
import { SeenSoFar } from "./seenSoFar.ts";
import type { EngineTelling, StationAt } from "./threadMessages.ts";
import type { EngineHandle, LiveThreads } from "./threads.ts";

export interface LivePorts {
  readonly store: Store;
  readonly dataFolder: string;
  readonly threads: LiveThreads;
  readonly nowIso: () => string;
  /** About unix ms, by a clock that never goes back: ages and silences go by it. */
  readonly nowMs: () => number;
  /** A command waits for the cell of this run. */
  readonly wake: (runId: string) => void;
}

/** Bytes that may wait to be measured; beyond it new data are asked to come later. */
export const BACKLOG_LIMIT_BYTES = 512 * 1024 * 1024;
/** An engine that dies is started again, so often at most for the same data. */
const RESTARTS = 3;

export class LiveRun {
  readonly events = new EventRing();
  /** Tells the numbers of these events from those of another life of the run. */
  readonly epoch: string;
  readonly seen = new SeenSoFar();
  private resolved: Job | null = null;
  private engine: EngineHandle | null = null;
  private restarts = 0;
  /** When it was last fed, by the server's clock. */
  usedMs = 0;
  private kept: KeptState | null = null;
  private measured: Measured = { bytes: 0, tS: Number.NaN, lateCount: 0 };
  private loggedBytes = 0;
  private rate = NO_RATE;
  readonly heard = new Heard();
  readonly alerts: AlertBook;
  readonly commands: CommandBook;
  readonly watch: RunWatch;
  private readonly record: RunRecord;
  private dataAtMs = Number.NaN; // when the newest data were kept
  /** Measuring ended by itself and has not caught up since. */
  isEngineLost = false;
  /** What is known beside readings and findings. */
  facts: LiveFacts = NO_FACTS;
  private readonly asks = new EngineAsks();

  constructor(readonly id: string, private readonly ports: LivePorts) {
    const { store: { db }, nowIso } = ports;
    this.epoch = Math.round(ports.nowMs()).toString(36);
    this.record = runRecord(ports.store, id, nowIso);
    this.alerts = new AlertBook(readEntries(db, id), { record: this.record, events: this.events, nowIso });
    this.commands = new CommandBook({ db, runId: id, record: this.record, events: this.events, nowIso, nowMs: ports.nowMs });
    this.watch = new RunWatch(this, { db, record: this.record, nowIso, nowMs: ports.nowMs });
  }

  /** Its job, as it came. */
  get job(): Job {
    return this.resolved ??= resolveJob(JSON.parse(this.ports.store.db.prepare(`SELECT jobText FROM "Run" WHERE id = ?`).pluck().get(this.id) as string), "job.json").job;
  }

  get row(): LiveRunRow {
    const row = readLiveRun(this.ports.store.db, this.id);
    if (row === null) throw new InputError("store.noRun", "the id of a run that is kept", JSON.stringify(this.id), {});
    return row;
  }

  /** Moves the run on; InputError wire.state where that cannot happen now. */
  happen(event: RunEvent, actor: string, reason: string): void {
    const { state } = this.row, to = nextState(state, event);
    if (to === null) throw new InputError("wire.state", `a run that ${event} can happen to`, `one that is ${state}`, {});
    if (to === state) return;
    this.record.write(() => {
      setRunState(this.ports.store.db, this.id, to);
      return { drafts: [{ actor, at: this.ports.nowIso(), kind: "run.state", payload: { from: state, to, reason: portableText(reason) } }], value: null };
    });
    this.tellState(reason);
  }

  tellState(reason: string): void {
    const { state, endAsked } = this.row;
    this.events.push("state", { state, ending: endAsked !== null, reason });
  }

  /** More is on the disk. */
  grown(kept: KeptState): void {
    if (this.kept !== null && kept.bytes < this.kept.bytes) return; // answers of one group may come in any order
    if (this.kept === null) this.dataAtMs = statSync(livePaths(this.ports.dataFolder, this.id).journal, { throwIfNoEntry: false })?.mtimeMs ?? Number.NaN;
    else if (kept.bytes > this.kept.bytes) this.dataAtMs = this.ports.nowMs();
    this.kept = kept;
    this.heard.take(kept, this.ports.nowMs());
    this.wake();
  }

  /** Starts the engine where none runs; it needs a moment until it measures. */
  wake(): void {
    this.usedMs = this.ports.nowMs();
    if (this.restarts <= RESTARTS) this.engine ??= this.startEngine();
    if (this.kept !== null) this.engine?.grown(this.kept.bytes);
  }

  get hasEngine(): boolean { return this.engine !== null; }
  private startEngine(): EngineHandle {
    return this.ports.threads.startEngine(this.id, (telling) => this.hear(telling), (error) => {
      console.error(`the engine of run ${this.id} ended:`, error);
      this.engine = null;
      this.asks.drop();
      this.isEngineLost = true;
      this.watch.look();
      if (++this.restarts > RESTARTS || this.kept === null) return;
      this.measured = { ...this.measured, bytes: 0 };
      this.engine = this.startEngine();
      this.engine.grown(this.kept.bytes);
    });
  }

  private hear(telling: EngineTelling): void {
    switch (telling.kind) {
      case "reading": this.seen.takeReadings(telling.value); this.events.push("reading", telling.value); break;
      case "finding": this.seen.takeFindings(telling.value); this.hearFindings("finding", `strand/${telling.value.layer}/${telling.value.strand}`, telling.value); break;
      case "bodies": this.seen.takeBodies(telling.value); this.hearFindings("bodies", `layer/${telling.value.layer}`, telling.value); break;
      case "frame": this.seen.frames = telling.value; this.hearFindings("frame", "frames", telling.value); break;
      case "facts": this.facts = telling.value; break;
      case "cut": case "newestFrame": this.asks.answered(telling); break;
      case "measured": this.hearMeasured(telling); break;
    }
  }

  private hearFindings<K extends "finding" | "bodies" | "frame">(kind: K, source: string, value: LiveEvents[K]): void {
    this.events.push(kind, value);
    this.watch.found(source, value.findings);
  }

  private hearMeasured(measured: Measured): void {
    this.measured = measured;
    if (!this.isEngineLost || measured.bytes < (this.kept?.bytes ?? 0)) return;
    [this.restarts, this.isEngineLost] = [0, false];
    this.watch.look();
  }

  /** The section of the reading that stands at a station; null: none is known. */
  cutOf(at: StationAt): Promise<SectionCut | null> { return this.asks.cut(this.engine, at); }
  /** The newest frame that was measured, with what it shows; null: none was. */
  newestFrame(): Promise<MeasuredFrame | null> { return this.asks.newestFrame(this.engine); }
  get dataFolder(): string { return this.ports.dataFolder; }
  get nowMs(): number { return this.ports.nowMs(); }
  get nowIso(): string { return this.ports.nowIso(); }

  /** Asks the cell for something; its number. */
  ask(body: CommandBody, actor: string): number {
    const n = this.commands.ask(body, actor);
    this.ports.wake(this.id);
    return n;
  }

  get backlogBytes(): number { return Math.max(0, (this.kept?.bytes ?? 0) - this.measured.bytes); }

  /** Refuses new data while too much waits to be measured: InputError wire.busy. */
  requireRoom(): void {
    if (this.engine !== null && this.backlogBytes > BACKLOG_LIMIT_BYTES) throw new InputError("wire.busy", "room in the queue of what waits to be measured", "a full one", {});
  }

  /** How old the newest reading is: how far it lies behind the newest profile by the sender's stamps, and how long ago that was kept; null: there is none. */
  get newestAgeS(): number | null { return this.ageS((this.kept === null ? Number.NaN : newestProfileS(this.kept, this.job.devices)) - (this.seen.newest?.tS ?? Number.NaN)); }
  /** How old the newest measured frame is, likewise; null: there is none. */
  get frameAgeS(): number | null { return this.ageS(this.referenceS - (this.seen.frames?.newest?.tS ?? Number.NaN)); }
  private ageS(behindS: number): number | null { return orNull(Math.max(0, behindS) + Math.max(0, (this.ports.nowMs() - this.dataAtMs) / 1000)); }

  /** What a person says now is said at this time. */
  get referenceS(): number { return this.kept === null ? 0 : referenceS(this.kept, this.job.devices); }

  /** null: no data yet. */
  get health(): LiveHealth | null { return this.kept === null ? null : this.healthOf(this.kept); }
  private healthOf(kept: KeptState): LiveHealth { return healthOf(kept, this.measured, { dataFolder: this.ports.dataFolder, bytesPerS: this.rate.perS, devices: this.job.devices }); }

  /** Tells health; to be called about once a second. */
  tellHealth(): void {
    this.alerts.write();
    if (this.kept === null) return;
    this.rate = nextRate(this.rate, this.kept.bytes, this.ports.nowMs());
    this.events.push("health", this.healthOf(this.kept));
  }

  /** Says in the log how much has come so far; to be called every minute. */
  logReceived(): void {
    const { kept } = this;
    if (kept === null || kept.bytes === this.loggedBytes) return;
    const isLogged = unlessDiskRefuses(() => {
      this.record.write(() => ({ drafts: [{ actor: PROGRAM_ACTOR, at: this.ports.nowIso(), kind: "data.received", payload: { journalBytes: kept.bytes, counts: kept.counts } }], value: null }));
    });
    if (isLogged) this.loggedBytes = kept.bytes;
  }

  /** What the cell says of a command; said again it changes nothing. InputError wire.noCommand. */
  receive(n: number, receipt: ReceiptBody, actor: string): void {
    const body: CommandBody | null = this.commands.receive(n, receipt, actor);
    if (body === null) return;
    this.watch.look();
    if (receipt.outcome !== "done" || body.kind === "flowFactor" || body.kind === "abort") return;
    const event = body.kind === "resume" ? "resumeDone" : body.retractMm > 0 ? "holdDone" : "pauseDone";
    if (nextState(this.row.state, event) !== null) this.happen(event, actor, body.kind === "pause" ? body.reason : "the cell goes on");
  }

  /** Notes that the end is asked for; where a person did, who and why. */
  askEnd(end: "finished" | "aborted", by: { readonly actor: string; readonly reason: string } | null): void {
    const { db } = this.ports.store;
    if (by === null) askRunEnd(db, this.id, end);
    else {
      this.record.write(() => {
        askRunEnd(db, this.id, end);
        return { drafts: [{ actor: by.actor, at: this.ports.nowIso(), kind: "run.endAsked", payload: { reason: portableText(by.reason) } }], value: null };
      });
    }
  }

  /** Ends the engine; the next data start another, which measures from the beginning again. */
  async stop(): Promise<void> {
    const { engine } = this;
    [this.engine, this.measured] = [null, { ...this.measured, bytes: 0 }];
    this.asks.drop();
    await engine?.stop();
  }
}
