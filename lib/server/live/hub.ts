/** All runs that live: what the wire, the pages and the watch of them go through. */
import { readFileSync, statfsSync } from "node:fs";
import { InputError } from "../../base/errors.ts";
import type { LogDraft } from "../../log/entries.ts";
import { OPEN_STATES } from "../../model/liveRun.ts";
import { PROGRAM_ACTOR, RECORD_FILES } from "../../model/log.ts";
import type { CommandBody, Kept, NewRunBody, NumberedCommand, ReceiptBody } from "../../model/wire.ts";
import { commandsAfter } from "../../store/commandTable.ts";
import { listOpenRuns, readLiveRun, type LiveRunRow } from "../../store/liveRuns.ts";
import { rawPath } from "../../store/rawFiles.ts";
import type { ServerAbout } from "../about.ts";
import { signedInDrafts } from "../comings.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";
import type { KeepAnswer, KeptState } from "./keeper.ts";
import type { KeepBody } from "./keptRun.ts";
import { LiveRun, type LivePorts } from "./liveRun.ts";
import { makeLiveRun } from "./newRun.ts";
import { runRecord } from "./runRecord.ts";
import { ResultsSoFar } from "./soFar.ts";

export interface HubPorts extends Omit<LivePorts, "wake"> {
  readonly newId: () => string;
  /** What this server is, for the logs of the runs that it keeps. */
  readonly about: ServerAbout;
}

/** Who sends. */
export interface Sender {
  readonly actor: string;
  /** The one device that it may speak for; null: all. */
  readonly deviceOnly: string | null;
}

/** Each has a thread and the maps of its run in memory. */
const MOST_ENGINES = 8;
const WATCH_EVERY_MS = 250, HEALTH_EVERY_MS = 1000, LOG_EVERY_MS = 60_000;

export class LiveHub {
  private readonly runs = new Map<string, LiveRun>();
  private readonly endings = new Map<string, Promise<void>>();
  private readonly waiting = new Map<string, Set<() => void>>();
  private readonly results = new ResultsSoFar((runId, end) => this.ports.threads.settle({ op: "soFar", dataFolder: this.ports.dataFolder, runId, end }));
  private readonly timers: NodeJS.Timeout[];
  private isClosing = false;

  constructor(private readonly ports: HubPorts) {
    const each = (what: (run: LiveRun) => void) => () => { for (const run of this.runs.values()) what(run); };
    this.timers = [setInterval(each((run) => run.watch.look()), WATCH_EVERY_MS), setInterval(each((run) => run.tellHealth()), HEALTH_EVERY_MS), setInterval(each((run) => run.logReceived()), LOG_EVERY_MS)];
    for (const timer of this.timers) timer.unref();
  }

  /** Goes on with what another process left: ends that were asked for, engines of open runs. Nobody waits for it. */
  resume(): void {
    const open = listOpenRuns(this.ports.store.db), { store, nowIso } = this.ports;
    for (const { id } of open) unlessDiskRefuses(() => runRecord(store, id, nowIso).write(() => ({ drafts: [this.beganDraft(nowIso())], value: null })));
    for (const { id } of open.filter(({ endAsked }) => endAsked !== null)) this.end(id).catch((error: unknown) => console.error(`the end of run ${id} could not be written:`, error));
    for (const { id } of open.filter(({ endAsked, state }) => endAsked === null && state !== "prepared").slice(0, MOST_ENGINES)) this.warm(id).catch((error: unknown) => console.error(`run ${id} cannot be gone on with:`, error));
  }

  private beganDraft(at: string): LogDraft {
    return { actor: PROGRAM_ACTOR, at, kind: "server.began", payload: this.ports.about };
  }

  open(runId: string): LiveRun {
    const row = this.rowOf(runId);
    let run = this.runs.get(runId);
    if (run !== undefined) return run;
    run = new LiveRun(runId, { ...this.ports, wake: (id) => this.wake(id) });
    if (OPEN_STATES.includes(row.state)) this.runs.set(runId, run);
    return run;
  }

  private rowOf(runId: string): LiveRunRow {
    const row = readLiveRun(this.ports.store.db, runId);
    if (row === null) throw new InputError("store.noRun", "the id of a run that is kept", JSON.stringify(runId.slice(0, 80)), {});
    return row;
  }

  /** The run's id; the same key with the same body is the same run. */
  async createRun(body: NewRunBody, idempotencyKey: string | null, actor: string): Promise<string> {
    const { store, dataFolder, newId, nowIso } = this.ports;
    const at = nowIso(), began = [this.beganDraft(at), ...signedInDrafts(store.db, at)];
    const runId = makeLiveRun(store, { body, idempotencyKey, actor, dataFolder, newId, at, began });
    await this.warm(runId);
    return runId;
  }

  /** Has journal and engine ready before the first data come. */
  private async warm(runId: string): Promise<void> {
    if (!OPEN_STATES.includes(this.rowOf(runId).state)) return;
    const kept = await this.ports.threads.keep({ op: "state", runId }) as KeptState, run = this.open(runId);
    if (!run.hasEngine) this.makeRoom();
    run.grown(kept);
  }

  /** No more engines than these at once: the one that was fed longest ago makes room. */
  private makeRoom(): void {
    const running = [...this.runs.values()].filter((run) => run.hasEngine);
    if (running.length < MOST_ENGINES) return;
    void running.reduce((oldest, run) => (run.usedMs < oldest.usedMs ? run : oldest)).stop();
  }

  /** Keeps a body; what it answers is on the disk. InputError wire.over where the run takes no more and the body held something new. */
  async take(runId: string, body: KeepBody, { actor, deviceOnly }: Sender, transfer: readonly ArrayBuffer[]): Promise<Kept> {
    const { state } = this.rowOf(runId);
    if (state === "recorded") throw new InputError("wire.over", "a run that came over the wire", "one that was brought in as a folder", {});
    const run = this.runs.get(runId) ?? (OPEN_STATES.includes(state) ? this.open(runId) : null);
    run?.requireRoom();
    const { over, state: kept, ...answer } = await this.ports.threads.keep({ op: "take", runId, body, deviceOnly }, transfer) as KeepAnswer;
    if (over) throw new InputError("wire.over", "a run that is not over", `one that is ${this.rowOf(runId).state}`, {});
    if (answer.accepted + answer.duplicates > 0 && run !== null) { // duplicates too: what was kept may not have been heard of
      if (!run.hasEngine) this.makeRoom();
      run.grown(kept);
      if (run.row.state === "prepared") run.happen("data", actor, "the first data came");
    }
    return answer;
  }

  /** Ends the run; resolves once its result and the end of its log are written. A second time it says the same. `by`: a person, whose cell does not. */
  async finish(runId: string, by: { readonly actor: string; readonly reason: string } | null = null): Promise<void> {
    const { state, endAsked } = this.rowOf(runId);
    if (endAsked === null) {
      if (!OPEN_STATES.includes(state)) return;
      this.open(runId).askEnd(this.abortDone(runId) ? "aborted" : "finished", by);
    }
    await this.end(runId);
  }

  /** Ends a run whose cell is gone: what was received is kept and measured. */
  async abandon(runId: string): Promise<void> {
    this.open(runId).askEnd("aborted", null);
    await this.end(runId);
  }

  private abortDone(runId: string): boolean {
    return this.ports.store.db.prepare(`SELECT 1 FROM "Command" WHERE runId = ? AND outcome = 'done' AND json_extract(bodyJson, '$.kind') = 'abort'`).get(runId) !== undefined;
  }

  private end(runId: string): Promise<void> {
    let ending = this.endings.get(runId);
    if (ending === undefined) {
      ending = this.writeEnd(runId).finally(() => this.endings.delete(runId));
      this.endings.set(runId, ending);
    }
    return ending;
  }

  private async writeEnd(runId: string): Promise<void> {
    const { threads, dataFolder } = this.ports, run = this.open(runId);
    run.tellState("the end was asked for");
    await threads.keep({ op: "end", runId });
    await this.results.quiet(runId); // it reads the journal
    await threads.settle({ op: "end", dataFolder, runId });
    await run.stop();
    run.tellState("the run is over");
    this.runs.delete(runId);
    this.results.forget(runId);
    this.wake(runId);
  }

  /** result.json: as kept, or of what has been received so far. InputError wire.state where it cannot be measured. */
  async result(runId: string): Promise<string> {
    await this.endings.get(runId);
    const { store, threads } = this.ports;
    const text = OPEN_STATES.includes(this.rowOf(runId).state)
      ? await this.results.of(runId, async () => {
        const { bytes } = await threads.keep({ op: "state", runId }) as KeptState;
        return this.endings.has(runId) ? null : bytes;
      }) : null;
    if (text !== null) return text;
    await this.endings.get(runId);
    const sha256 = store.db.prepare(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name = ?`).pluck().get(runId, RECORD_FILES.result) as string | undefined;
    if (sha256 === undefined) throw new InputError("wire.state", "a run with a result", "one that could not be measured: its log says why", {});
    return readFileSync(rawPath(store.raw, sha256), "utf8");
  }

  ask(runId: string, body: CommandBody, actor: string): number {
    const { state, endAsked } = this.rowOf(runId);
    if (!OPEN_STATES.includes(state) || endAsked !== null) throw new InputError("wire.over", "a run that is not over", `one that is ${state}`, {});
    return this.open(runId).ask(body, actor);
  }

  private wake(runId: string): void {
    for (const wake of this.waiting.get(runId) ?? []) wake();
  }

  /** Commands after number `after`: at once where there are any, else once one comes, the run ends or `waitMs` are over. The cell is there while it asks. */
  async commands(runId: string, after: number, waitMs: number, signal: AbortSignal): Promise<NumberedCommand[]> {
    const { store: { db }, nowMs, nowIso } = this.ports, polled = OPEN_STATES.includes(this.rowOf(runId).state) ? this.open(runId).heard.polls(nowMs) : null;
    let found = commandsAfter(db, runId, after);
    if (found.length === 0 && waitMs > 0 && !this.isClosing) {
      await this.oneComes(runId, waitMs, signal);
      found = commandsAfter(db, runId, after);
    }
    polled?.();
    const last = found.at(-1);
    if (last !== undefined) unlessDiskRefuses(() => this.open(runId).commands.sent(last.n, nowIso())); // a pause has to reach the cell
    return found;
  }

  private oneComes(runId: string, waitMs: number, signal: AbortSignal): Promise<void> {
    return new Promise((done) => {
      const waiting = this.waiting.get(runId) ?? new Set();
      this.waiting.set(runId, waiting);
      const timer = setTimeout(() => wake(), waitMs);
      const wake = (): void => {
        clearTimeout(timer);
        waiting.delete(wake);
        done();
      };
      waiting.add(wake);
      signal.addEventListener("abort", wake, { once: true });
    });
  }

  receive(runId: string, n: number, receipt: ReceiptBody, actor: string): void {
    this.rowOf(runId);
    this.open(runId).receive(n, receipt, actor);
  }

  /** Room on the disk, and why no data can be taken; null: they can. */
  async canTake(leastFreeBytes: number): Promise<{ readonly freeBytes: number; readonly problem: string | null }> {
    const { bavail, bsize } = statfsSync(this.ports.dataFolder), freeBytes = bavail * bsize;
    if (freeBytes < leastFreeBytes) return { freeBytes, problem: "the disk of the data folder is full" };
    const problem = await this.ports.threads.keep({ op: "ready" }).then(() => null, (error: Error) => error.message);
    return { freeBytes, problem };
  }

  /** Runs that live now. */
  get liveCount(): number {
    return this.runs.size;
  }

  async close(): Promise<void> {
    this.isClosing = true;
    for (const timer of this.timers) clearInterval(timer);
    for (const runId of this.waiting.keys()) this.wake(runId);
    for (const run of this.runs.values()) await run.stop();
    await this.ports.threads.close();
  }
}
