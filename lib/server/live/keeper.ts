/**
 * Keeps what comes over the wire: bodies of all live runs one after another, many of them to one flush of the disk. Nothing is answered
 * before it is on the disk.
 */
import { constants } from "node:fs";
import { access } from "node:fs/promises";
import { InputError } from "../../base/errors.ts";
import { diskProblem } from "../../source/stage.ts";
import { KeptRun, type KeepBody, type KeptCounts, type TakenBody } from "./keptRun.ts";

/** How far a run's data have come. */
export interface KeptState {
  /** Bytes of the journal that are on the disk. */
  readonly bytes: number;
  readonly counts: Readonly<KeptCounts>;
  /** Greatest stamp of each kind, s; NaN: none. */
  readonly lastS: Readonly<KeptCounts>;
  /** Greatest stamp of each profiler, s. */
  readonly profilerS: ReadonlyMap<string, number>;
  /** Greatest stamp of each camera, s. */
  readonly cameraS: ReadonlyMap<string, number>;
}

export interface KeepAnswer extends TakenBody { readonly state: KeptState }

interface Asked {
  readonly runId: string;
  readonly body: KeepBody;
  readonly deviceOnly: string | null;
  readonly done: (answer: KeepAnswer) => void;
  readonly fail: (error: unknown) => void;
}

/** A body that was taken and waits for its flush. */
interface TakenOf { readonly asked: Asked; readonly run: KeptRun; readonly taken: TakenBody; readonly state: KeptState }

/** Journals that are open at once. */
const MOST_OPEN = 64;
/** Bodies that share a flush, bytes. */
const GROUP_BYTES = 16 * 1024 * 1024;

export class Keeper {
  private readonly runs = new Map<string, Promise<KeptRun>>();
  private readonly queue: Asked[] = [];
  private working: Promise<void> = Promise.resolve();
  private isWorking = false;

  constructor(private readonly dataFolder: string) {}

  /** Keeps a body; resolves once what it brought is on the disk. */
  take(runId: string, body: KeepBody, deviceOnly: string | null): Promise<KeepAnswer> {
    return new Promise((done, fail) => {
      this.queue.push({ runId, body, deviceOnly, done, fail });
      if (!this.isWorking) this.working = this.work();
    });
  }

  /** What is kept of a run; opens it. */
  async state(runId: string): Promise<KeptState> {
    return stateOf(await this.open(runId));
  }

  /** No more data of this run. */
  end(runId: string): Promise<void> {
    return this.alone(async () => {
      const run = await this.open(runId);
      this.runs.delete(runId);
      await run.end();
    });
  }

  /** Does something while no body is being kept. */
  private async alone(job: () => Promise<void>): Promise<void> {
    while (this.isWorking) await this.working;
    this.isWorking = true;
    const done = job();
    this.working = done.catch(() => undefined).then(() => this.goOn());
    await done;
  }

  private async goOn(): Promise<void> {
    this.isWorking = false;
    if (this.queue.length > 0) await this.work();
  }

  /** InputError store.readOnly where nothing can be written into the data folder. */
  async ready(): Promise<void> {
    await access(this.dataFolder, constants.W_OK).catch((cause: unknown) => { throw new InputError("store.readOnly", "a data folder that can be written", "one that cannot", {}, cause); });
  }

  close(): Promise<void> {
    return this.alone(async () => { for (const run of this.runs.values()) await (await run).close(); });
  }

  private open(runId: string): Promise<KeptRun> {
    let run = this.runs.get(runId);
    if (run === undefined) {
      run = KeptRun.open(this.dataFolder, runId);
      run.catch(() => this.runs.delete(runId));
    }
    this.runs.delete(runId); // the one used last stands last
    this.runs.set(runId, run);
    return run;
  }

  /** Closes the runs that were used longest ago; they are opened again when they are needed. */
  private async closeIdle(): Promise<void> {
    for (const [runId, run] of [...this.runs].slice(0, Math.max(0, this.runs.size - MOST_OPEN))) {
      this.runs.delete(runId);
      await run.then((each) => each.close()).catch(() => undefined);
    }
  }

  private async work(): Promise<void> {
    this.isWorking = true;
    let flushing: Promise<void> = Promise.resolve();
    while (this.queue.length > 0) {
      let bytes = 0, count = 0;
      while (count < this.queue.length && (count === 0 || bytes < GROUP_BYTES)) bytes += sizeOf((this.queue[count++] as Asked).body);
      const taken = await this.takeGroup(this.queue.splice(0, count)); // while the group before is flushed
      await flushing;
      flushing = this.flushGroup(taken);
      if (this.queue.length === 0) await flushing; // meanwhile more may have come
    }
    await this.closeIdle();
    await this.goOn(); // a body may have come since the last look
  }

  private async takeGroup(group: readonly Asked[]): Promise<readonly TakenOf[]> {
    const kept: TakenOf[] = [];
    for (const asked of group) {
      try {
        const run = await this.open(asked.runId), taken = await run.take(asked.body, asked.deviceOnly);
        kept.push({ asked, run, taken, state: stateOf(run) });
      } catch (error) {
        if (!(error instanceof InputError)) await this.forget(asked.runId);
        asked.fail(diskProblem(error) ?? error);
      }
    }
    return kept;
  }

  private async flushGroup(kept: readonly TakenOf[]): Promise<void> {
    const failed = new Map<KeptRun, unknown>();
    for (const run of new Set(kept.map((each) => each.run))) await run.flush().catch((error: unknown) => failed.set(run, error));
    for (const { asked, run, taken, state } of kept) {
      if (!failed.has(run)) asked.done({ ...taken, state });
      else {
        await this.forget(asked.runId);
        asked.fail(diskProblem(failed.get(run)) ?? failed.get(run));
      }
    }
  }

  /** After an error of the disk only what lies there counts: the run is read again from its journal. */
  private async forget(runId: string): Promise<void> {
    const run = this.runs.get(runId);
    this.runs.delete(runId);
    await run?.then((each) => each.giveUp()).catch(() => undefined);
  }
}

function stateOf(run: KeptRun): KeptState {
  return { bytes: run.bytes, counts: { ...run.counts }, lastS: { ...run.lastS }, profilerS: new Map(run.profilerS), cameraS: new Map(run.cameraS) };
}

function sizeOf(body: KeepBody): number {
  return body.kind === "frame" ? body.image.length : body.bytes.length;
}
