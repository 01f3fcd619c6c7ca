/** One run that lives: its state, its engine, its events, and what the log is told of it. */
import { statfsSync, statSync } from "node:fs";
import { InputError } from "../../base/errors.ts";
import { orNull } from "../../base/missing.ts";
import { canonicalJson } from "../../log/canonical.ts";
import type { LogDraft } from "../../log/entries.ts";
import { portableText } from "../../log/portable.ts";
import { PROGRAM_ACTOR } from "../../model/log.ts";
import type { LiveHealth } from "../../model/liveEvent.ts";
import { nextState, type RunEvent } from "../../model/liveRun.ts";
import type { LiveEvents } from "../../model/liveEvent.ts";
import type { CommandBody, ReceiptBody } from "../../model/wire.ts";
import { addCommand, readCommand, writeReceipt } from "../../store/commandTable.ts";
import { askRunEnd, readLiveRun, setRunState, type LiveRunRow } from "../../store/liveRuns.ts";
import { appendEntries, readEntries, sealLog } from "../../store/logTable.ts";
import type { Store } from "../../store/openStore.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";
import { EventRing } from "./eventRing.ts";
import type { KeptState } from "./keeper.ts";
import { livePaths } from "./liveFolder.ts";
import { LoggedFindings } from "./loggedFindings.ts";
import { SeenSoFar } from "./seenSoFar.ts";
import type { EngineTelling } from "./threadMessages.ts";
import type { EngineHandle, LiveThreads } from "./threads.ts";

export interface LivePorts {
  readonly store: Store;
  readonly dataFolder: string;
  readonly threads: LiveThreads;
  readonly nowIso: () => string;
  readonly nowMs: () => number;
}

/** Bytes that may wait to be measured; beyond it new data are asked to come later. */
export const BACKLOG_LIMIT_BYTES = 512 * 1024 * 1024;
/** An engine that dies is started again, so often at most for the same data. */
const RESTARTS = 3;
/** Less room than this on the disk is told. */
const LOW_DISK_FRACTION = 0.05;

export class LiveRun {
  readonly events = new EventRing();
  /** Tells the numbers of these events from those of another life of the run. */
  readonly epoch: string;
  readonly seen = new SeenSoFar();
  private engine: EngineHandle | null = null;
  private restarts = 0;
  /** When it was last fed, by the server's clock. */
  usedMs = 0;
  private kept: KeptState | null = null;
  private measured = { bytes: 0, tS: Number.NaN, lateCount: 0 };
  private loggedBytes = 0;
  private rate = { bytes: 0, atMs: 0, perS: Number.NaN };
  private readonly findings: LoggedFindings;
  private readonly alerts = new Map<string, string>(); // those that are on, in words
  private dataAtMs = Number.NaN; // when the newest data were kept

  constructor(readonly id: string, private readonly ports: LivePorts) {
    this.epoch = Math.round(ports.nowMs()).toString(36);
    this.findings = new LoggedFindings(readEntries(ports.store.db, id), (drafts) => this.record(drafts, () => undefined), ports.nowIso);
  }

  get row(): LiveRunRow {
    const row = readLiveRun(this.ports.store.db, this.id);
    if (row === null) throw new InputError("store.noRun", "the id of a run that is kept", JSON.stringify(this.id), {});
    return row;
  }

  /** Writes entries and seals them, together with whatever else `work` writes. */
  private record<T>(drafts: readonly LogDraft[], work: () => T): T {
    const { db, signingKey } = this.ports.store;
    return db.transaction((): T => {
      const made = work();
      appendEntries(db, this.id, drafts);
      sealLog(db, this.id, { key: signingKey, at: this.ports.nowIso() });
      return made;
    }).immediate();
  }

  /** Moves the run on; InputError wire.state where that cannot happen now. */
  happen(event: RunEvent, actor: string, reason: string): void {
    const { state } = this.row, to = nextState(state, event);
    if (to === null) throw new InputError("wire.state", `a run that ${event} can happen to`, `one that is ${state}`, {});
    if (to === state) return;
    this.record([{ actor, at: this.ports.nowIso(), kind: "run.state", payload: { from: state, to, reason: portableText(reason) } }], () => setRunState(this.ports.store.db, this.id, to));
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
    this.wake();
  }

  /** Starts the engine where none runs; it needs a moment until it measures. */
  wake(): void {
    this.usedMs = this.ports.nowMs();
    if (this.restarts <= RESTARTS) this.engine ??= this.startEngine();
    if (this.kept !== null) this.engine?.grown(this.kept.bytes);
  }

  get hasEngine(): boolean {
    return this.engine !== null;
  }

  private startEngine(): EngineHandle {
    return this.ports.threads.startEngine(this.id, (telling) => this.hear(telling), (error) => {
      console.error(`the engine of run ${this.id} ended:`, error);
      this.engine = null;
      this.alert("engineLost", true, "Measuring stopped and is started again from what was kept.");
      if (++this.restarts > RESTARTS || this.kept === null) return;
      this.measured = { ...this.measured, bytes: 0 };
      this.engine = this.startEngine();
      this.engine.grown(this.kept.bytes);
    });
  }

  private hear(telling: EngineTelling): void {
    if (telling.kind === "reading") {
      this.seen.takeReadings(telling.value);
      this.events.push("reading", telling.value);
    } else if (telling.kind === "finding") this.hearFindings(telling.value);
    else {
      this.measured = telling;
      if (!this.alerts.has("engineLost") || telling.bytes < (this.kept?.bytes ?? 0)) return;
      this.restarts = 0;
      this.alert("engineLost", false, "Measuring has caught up.");
    }
  }

  private hearFindings(value: LiveEvents["finding"]): void {
    this.seen.takeFindings(value);
    this.events.push("finding", value);
    this.findings.take(value);
  }

  get backlogBytes(): number { return Math.max(0, (this.kept?.bytes ?? 0) - this.measured.bytes); }

  /** Refuses new data while too much waits to be measured: InputError wire.busy. */
  requireRoom(): void {
    const isFull = this.engine !== null && this.backlogBytes > BACKLOG_LIMIT_BYTES;
    this.alert("backlog", isFull, isFull ? `${Math.round(this.backlogBytes / 1e6)} MB wait to be measured: new data are asked to come later.` : "What was kept is being measured again as it comes.");
    if (isFull) throw new InputError("wire.busy", "room in the queue of what waits to be measured", "a full one", {});
  }

  private alert(kind: "backlog" | "engineLost" | "diskLow", isOn: boolean, words: string): void {
    if (this.alerts.has(kind) === isOn) return;
    if (isOn) this.alerts.set(kind, words);
    else this.alerts.delete(kind);
    this.events.push("alert", { kind, words, isOn });
  }

  /** What is wrong with keeping or measuring now, in sentences. */
  get alertWords(): string[] { return [...this.alerts.values()]; }

  /** How old the newest reading is: how far it lies behind the newest profile by the sender's stamps, and how long ago that was kept; null: there is none. */
  get newestAgeS(): number | null {
    const { newest } = this.seen, behindS = (this.kept?.lastS.profile ?? Number.NaN) - (newest?.tS ?? Number.NaN), keptS = (this.ports.nowMs() - this.dataAtMs) / 1000;
    return orNull(Math.max(0, behindS) + Math.max(0, keptS));
  }

  /** null: no data yet. */
  get health(): LiveHealth | null {
    const { kept, measured } = this;
    if (kept === null) return null;
    const { bavail, bsize } = statfsSync(this.ports.dataFolder), freeBytes = bavail * bsize, waitsS = kept.lastS.profile - measured.tS;
    return {
      keptBytes: kept.bytes, measuredBytes: measured.bytes, backlogS: waitsS > 0 ? waitsS : 0, counts: kept.counts, lateCount: measured.lateCount, freeBytes,
      lastsS: this.rate.perS > 0 ? freeBytes / this.rate.perS : null,
    };
  }

  /** Tells health; to be called about once a second. */
  tellHealth(): void {
    const { kept } = this, now = this.ports.nowMs();
    this.findings.log();
    if (kept === null) return;
    if (!(Math.abs(now - this.rate.atMs) < 10_000)) this.rate = { bytes: kept.bytes, atMs: now, perS: this.rate.atMs === 0 ? Number.NaN : (1000 * (kept.bytes - this.rate.bytes)) / (now - this.rate.atMs) };
    const { bavail, bsize, blocks } = statfsSync(this.ports.dataFolder);
    const isLow = bavail < LOW_DISK_FRACTION * blocks;
    this.alert("diskLow", isLow, isLow ? `Only ${Math.round((bavail * bsize) / 1e6)} MB are left on the disk of the data folder.` : "There is room on the disk again.");
    if (this.health !== null) this.events.push("health", this.health);
  }

  /** Says in the log how much has come so far; to be called every minute. */
  logReceived(): void {
    const { kept } = this;
    if (kept === null || kept.bytes === this.loggedBytes) return;
    const isLogged = unlessDiskRefuses(() => {
      this.record([{ actor: PROGRAM_ACTOR, at: this.ports.nowIso(), kind: "data.received", payload: { journalBytes: kept.bytes, counts: kept.counts } }], () => undefined);
    });
    if (isLogged) this.loggedBytes = kept.bytes;
  }

  /** Asks the cell for something; its number. The entry is on the disk before the cell can hear of it. */
  ask(body: CommandBody, actor: string): number {
    const { db } = this.ports.store, at = this.ports.nowIso();
    const n = db.transaction((): number => {
      const number = addCommand(db, this.id, { body, actor, at });
      appendEntries(db, this.id, [{ actor, at, kind: "command.asked", payload: { n: number, command: portableText(canonicalJson(body)) } }]);
      sealLog(db, this.id, { key: this.ports.store.signingKey, at });
      return number;
    }).immediate();
    this.events.push("command", { n, ...body });
    return n;
  }

  /** What the cell says of a command; said again it changes nothing. InputError wire.noCommand. */
  receive(n: number, receipt: ReceiptBody, actor: string): void {
    const { db } = this.ports.store, command = readCommand(db, this.id, n), at = this.ports.nowIso();
    if (command === null) throw new InputError("wire.noCommand", "the number of a command of this run", String(n), {});
    if (command.outcome !== null) return;
    this.record([{ actor, at, kind: "command.receipt", payload: { n, outcome: receipt.outcome, note: portableText(receipt.note) } }], () => writeReceipt(db, this.id, n, { ...receipt, at }));
    this.events.push("command", { n, outcome: receipt.outcome, note: receipt.note });
    if (receipt.outcome !== "done" || command.body.kind === "flowFactor" || command.body.kind === "abort") return;
    const event = command.body.kind === "resume" ? "resumeDone" : command.body.retractMm > 0 ? "holdDone" : "pauseDone";
    if (nextState(this.row.state, event) !== null) this.happen(event, actor, command.body.kind === "pause" ? command.body.reason : "the cell goes on");
  }

  /** Notes that the end is asked for; where a person did, who and why. */
  askEnd(end: "finished" | "aborted", by: { readonly actor: string; readonly reason: string } | null): void {
    const { db } = this.ports.store;
    if (by === null) askRunEnd(db, this.id, end);
    else this.record([{ actor: by.actor, at: this.ports.nowIso(), kind: "run.endAsked", payload: { reason: portableText(by.reason) } }], () => askRunEnd(db, this.id, end));
  }

  /** Ends the engine; the next data start another, which measures from the beginning again. */
  async stop(): Promise<void> {
    const { engine } = this;
    this.engine = null;
    this.measured = { ...this.measured, bytes: 0 };
    await engine?.stop();
  }
}
