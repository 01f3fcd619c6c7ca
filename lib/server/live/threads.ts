/** The threads of the live server. Their code lies beside this bundle (scripts/prepare.mjs makes both). */
import { Worker } from "node:worker_threads";
import type { EngineTelling, EngineTold, KeeperCall, SettleCall, StationAt, Answer, Call } from "./threadMessages.ts";
import { errorOf } from "./threadMessages.ts";

/** One live run's engine. */
export interface EngineHandle {
  /** So many bytes of the journal are kept. */
  grown(bytes: number): void;
  /** Asks for the section of a station: told with this id. */
  askCut(id: number, at: StationAt): void;
  /** Asks for the newest measured frame: told with this id. */
  askFrame(id: number): void;
  stop(): Promise<void>;
}

/** What the hub needs done elsewhere. */
export interface LiveThreads {
  keep(call: KeeperCall, transfer?: readonly ArrayBuffer[]): Promise<unknown>;
  /** `lost` is called when it ended by itself. */
  startEngine(runId: string, tell: (telling: EngineTelling) => void, lost: (error: Error) => void): EngineHandle;
  settle(call: SettleCall): Promise<string>;
  close(): Promise<void>;
}

const fileOf = (name: string): URL => new URL(`./${name}.mjs`, import.meta.url);

interface Pending { readonly done: (value: unknown) => void; readonly fail: (error: Error) => void }

/** The keeper's thread; when it dies, what was asked of it fails, and the next call starts another. */
class KeeperClient {
  private worker: Worker | null = null;
  private count = 0;
  private readonly pending = new Map<number, Pending>();

  constructor(private readonly dataFolder: string) {}

  call(call: KeeperCall, transfer: readonly ArrayBuffer[]): Promise<unknown> {
    const worker = this.worker ??= this.start();
    return new Promise((done, fail) => {
      const id = ++this.count;
      this.pending.set(id, { done, fail });
      worker.postMessage({ id, call } satisfies Call<KeeperCall>, [...transfer]);
    });
  }

  private start(): Worker {
    const worker = new Worker(fileOf("keeper"), { workerData: { dataFolder: this.dataFolder } });
    worker.on("message", (answer: Answer) => {
      const pending = this.pending.get(answer.id);
      this.pending.delete(answer.id);
      if ("error" in answer) pending?.fail(errorOf(answer.error));
      else pending?.done(answer.value);
    });
    const gone = (error: Error): void => {
      if (this.worker !== worker) return;
      this.worker = null;
      for (const { fail } of this.pending.values()) fail(error);
      this.pending.clear();
    };
    worker.on("error", gone);
    worker.on("exit", () => gone(new Error("the keeper's thread ended")));
    return worker;
  }

  async close(): Promise<void> {
    const { worker } = this;
    if (worker === null) return;
    await this.call({ op: "close" }, []).catch(() => undefined);
    this.worker = null;
    await worker.terminate();
  }
}

export function startThreads(dataFolder: string): LiveThreads {
  const keeper = new KeeperClient(dataFolder);
  const workers = new Set<Worker>();
  const track = (worker: Worker): Worker => {
    workers.add(worker);
    worker.once("exit", () => workers.delete(worker));
    return worker;
  };
  return {
    keep: (call, transfer = []) => keeper.call(call, transfer),
    startEngine: (runId, tell, lost) => {
      const worker = track(new Worker(fileOf("engine"), { workerData: { dataFolder, runId } }));
      let stopped = false;
      worker.on("message", tell);
      worker.once("error", (error) => { if (!stopped) lost(error); stopped = true; });
      worker.once("exit", (code) => { if (!stopped) lost(new Error(`the engine's thread ended with ${code}`)); stopped = true; });
      const say = (told: EngineTold): void => worker.postMessage(told);
      return { grown: (keptBytes) => say({ keptBytes }), askCut: (id, cutOf) => say({ id, cutOf }), askFrame: (id) => say({ id, newestFrame: true }), stop: async () => { stopped = true; await worker.terminate(); } };
    },
    settle: (call) => new Promise((done, fail) => {
      const worker = track(new Worker(fileOf("settle"), { workerData: call }));
      worker.once("message", (answer: Answer) => {
        if ("error" in answer) fail(errorOf(answer.error));
        else done(String(answer.value));
      });
      worker.once("error", fail);
      worker.once("exit", () => fail(new Error("the thread ended without a result")));
    }),
    close: async () => {
      await keeper.close();
      await Promise.all([...workers].map((worker) => worker.terminate()));
    },
  };
}
