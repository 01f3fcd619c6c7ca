/** The wire inside the test's own process: a real store, keeper, engine and settling, and no threads. */
import { rmSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { LiveHub } from "../../lib/server/live/hub.ts";
import { Keeper } from "../../lib/server/live/keeper.ts";
import { LiveEngine } from "../../lib/server/live/liveEngine.ts";
import { livePaths, readHead, type LiveHead } from "../../lib/server/live/liveFolder.ts";
import { resultSoFar, settleEnd } from "../../lib/server/live/settle.ts";
import type { LiveThreads } from "../../lib/server/live/threads.ts";
import type { EngineTelling } from "../../lib/server/live/threadMessages.ts";
import { makeToken } from "../../lib/server/tokens.ts";
import { wireHandler } from "../../lib/server/wire/handler.ts";
import { JournalReader } from "../../lib/source/journal.ts";
import { openStore, type Store } from "../../lib/store/openStore.ts";
import { countedIds, MIGRATIONS, NOW_UNIX_MS, tempFolder } from "./tempStore.ts";
import { WireClient } from "./wireClient.ts";


export interface LiveServer {
  readonly hub: LiveHub;
  readonly store: Store;
  readonly folder: string;
  readonly url: string;
  /** A client whose token is for all devices. */
  readonly client: WireClient;
  /** Another token's client; `device`: for that one alone. */
  readonly clientOf: (name: string, device?: string) => WireClient;
  readonly close: () => Promise<void>;
}

/** An engine of a run that works in turns of the event loop. */
function inProcessEngine(dataFolder: string, runId: string, tell: (telling: EngineTelling) => void): ReturnType<LiveThreads["startEngine"]> {
  const paths = livePaths(dataFolder, runId);
  const opened = JournalReader.open(paths.journal).then((reader) => new LiveEngine(readHead(paths) as LiveHead, reader, {
    reading: (value) => tell({ kind: "reading", value }), finding: (value) => tell({ kind: "finding", value }), bodies: (value) => tell({ kind: "bodies", value }), frame: (value) => tell({ kind: "frame", value }), facts: (value) => tell({ kind: "facts", value }), measured: (bytes, tS, lateCount) => tell({ kind: "measured", bytes, tS, lateCount }),
  }, null));
  let end = 0, stopped = false, working: Promise<void> | null = null;
  const work = async (): Promise<void> => {
    const engine = await opened;
    for (let goOn = true; goOn && !stopped;) {
      const { isBehind, isWaiting } = await engine.work(end, () => performance.now());
      goOn = isBehind || isWaiting;
      if (goOn) await new Promise((done) => { setTimeout(done, 5); });
    }
    working = null;
  };
  return {
    grown: (bytes) => {
      end = bytes;
      working ??= work();
    },
    askCut: (id, at) => { void opened.then((engine) => tell({ kind: "cut", id, value: engine.cutOf(at) })); },
    askFrame: (id) => { void opened.then((engine) => tell({ kind: "newestFrame", id, value: engine.frames.measured })); },
    stop: async () => {
      stopped = true;
      await working;
      await (await opened).close();
    },
  };
}

/** `nowIso` and `nowMs` as the server's clock. */
export async function startLiveServer(): Promise<LiveServer> {
  const folder = tempFolder(), newId = countedIds();
  const store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  const keeper = new Keeper(folder), nowIso = (): string => new Date().toISOString();
  const threads: LiveThreads = {
    keep: (call) => {
      switch (call.op) {
        case "take": return keeper.take(call.runId, call.body, call.deviceOnly);
        case "state": return keeper.state(call.runId);
        case "end": return keeper.end(call.runId);
        case "ready": return keeper.ready();
        case "close": return keeper.close();
      }
    },
    startEngine: (runId, tell) => inProcessEngine(folder, runId, tell),
    settle: async (call) => (call.op === "soFar" ? resultSoFar(call, call.end) : settleEnd(store, { ...call, newId, nowIso }).then(() => "")),
    close: () => keeper.close(),
  };
  const hub = new LiveHub({ store, dataFolder: folder, threads, newId, nowIso, nowMs: Date.now, about: { version: "0.0.1", build: "made-for-a-test", settings: { looking: "free" } } });
  const server = createServer(wireHandler(hub, store));
  await new Promise<void>((done) => { server.listen(0, "127.0.0.1", done); });
  const url = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  const clientOf = (name: string, device?: string): WireClient => new WireClient(() => url, makeToken(store, { name, device: device ?? null, at: nowIso() }));
  return {
    hub, store, folder, url, client: clientOf("cell-1"), clientOf,
    close: async () => {
      await hub.close();
      server.closeAllConnections();
      await new Promise((done) => { server.close(done); });
      await store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
