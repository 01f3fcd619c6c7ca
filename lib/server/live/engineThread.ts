/** The thread of one live run's engine: told how far the journal is kept, it measures up to there. */
import { setTimeout as wait } from "node:timers/promises";
import { parentPort, workerData } from "node:worker_threads";
import { JournalReader } from "../../source/journal.ts";
import { FrameEye } from "./frameEye.ts";
import { LiveEngine } from "./liveEngine.ts";
import { livePaths, readHead } from "./liveFolder.ts";
import type { EngineTelling, EngineTold } from "./threadMessages.ts";

/** Between two looks while something waits for other senders, ms. */
const LOOK_MS = 10;

const { dataFolder, runId } = workerData as { readonly dataFolder: string; readonly runId: string };
const paths = livePaths(dataFolder, runId);
const head = readHead(paths);
if (head === null) throw new TypeError(`no run ${runId}`);
const tell = (telling: EngineTelling): void => parentPort?.postMessage(telling);
const eye = new FrameEye({ dataFolder, runId }, (reading) => {
  engine.takeFrame(reading);
  begin();
});
const engine = new LiveEngine(head, await JournalReader.open(paths.journal), {
  reading: (value) => tell({ kind: "reading", value }), finding: (value) => tell({ kind: "finding", value }), bodies: (value) => tell({ kind: "bodies", value }), frame: (value) => tell({ kind: "frame", value }), facts: (value) => tell({ kind: "facts", value }),
  measured: (bytes, tS, lateCount) => tell({ kind: "measured", bytes, tS, lateCount }),
}, eye);

let end = 0, isWorking = false;

async function work(): Promise<void> {
  if (isWorking) return;
  isWorking = true;
  for (;;) {
    const until = end, { isBehind, isWaiting } = await engine.work(until, () => performance.now()), hasGrown = end > until;
    if (!isBehind && !isWaiting && !hasGrown) break;
    await wait(isBehind || hasGrown ? 0 : LOOK_MS);
  }
  isWorking = false;
}

function begin(): void {
  work().catch((error: unknown) => setImmediate(() => { throw error; })); // ends the thread: whoever started it hears of it
}

parentPort?.on("message", (told: EngineTold) => {
  if ("cutOf" in told) {
    tell({ kind: "cut", id: told.id, value: engine.cutOf(told.cutOf) });
    return;
  }
  if ("newestFrame" in told) {
    tell({ kind: "newestFrame", id: told.id, value: engine.frames.measured });
    return;
  }
  end = told.keptBytes;
  begin();
});
