/** The thread of one live run's engine: told how far the journal is kept, it measures up to there. */
import { setTimeout as wait } from "node:timers/promises";
import { parentPort, workerData } from "node:worker_threads";
import { JournalReader } from "../../source/journal.ts";
import { LiveEngine } from "./liveEngine.ts";
import { livePaths, readHead } from "./liveFolder.ts";
import type { EngineTelling } from "./threadMessages.ts";

/** Between two looks while something waits for other senders, ms. */
const LOOK_MS = 25;

const { dataFolder, runId } = workerData as { readonly dataFolder: string; readonly runId: string };
const paths = livePaths(dataFolder, runId);
const head = readHead(paths);
if (head === null) throw new TypeError(`no run ${runId}`);
const tell = (telling: EngineTelling): void => parentPort?.postMessage(telling);
const engine = new LiveEngine(head, await JournalReader.open(paths.journal), {
  reading: (value) => tell({ kind: "reading", value }), finding: (value) => tell({ kind: "finding", value }),
  measured: (bytes, tS, lateCount) => tell({ kind: "measured", bytes, tS, lateCount }),
});

let end = 0, isWorking = false;

async function work(): Promise<void> {
  if (isWorking) return;
  isWorking = true;
  for (;;) {
    const known = end, { isBehind, isWaiting } = await engine.work(known, () => performance.now()), hasGrown = end > known; // it may grow while it is read
    if (!isBehind && !isWaiting && !hasGrown) break;
    await wait(isBehind || hasGrown ? 0 : LOOK_MS);
  }
  isWorking = false;
}

parentPort?.on("message", (keptBytes: number) => {
  end = keptBytes;
  work().catch((error: unknown) => setImmediate(() => { throw error; })); // ends the thread: whoever started it hears of it
});
