/**
 * The wire without the pages, as a program of its own: store, hub, threads and handler, put together as lib/command/start.ts does. Started
 * and steered by tests/support/wireServer.ts: one JSON order a line on stdin, one JSON answer a line on stdout.
 */
import { createServer } from "node:http";
import { createRequire, syncBuiltinESMExports } from "node:module";
import type { AddressInfo } from "node:net";
import { createInterface } from "node:readline";
import { basename } from "node:path";
import * as threadsModule from "node:worker_threads";
import { aboutServer } from "../../lib/server/about.ts";
import { LiveHub } from "../../lib/server/live/hub.ts";
import { startThreads } from "../../lib/server/live/threads.ts";
import { closeSharedStore, dataFolder, newId, nowIso, sharedStore, steadyMs } from "../../lib/server/settings.ts";
import { WIRE_PREFIX, wireHandler } from "../../lib/server/wire/handler.ts";
import type { WireOrder } from "./wireServer.ts";

/** Threads that run, by the name of their program: engine, keeper, settle. */
const running = new Map<threadsModule.Worker, string>();

/** node's own thread, noted while it runs, so that a test may end one. */
class NotedWorker extends threadsModule.Worker {
  constructor(file: string | URL, options?: threadsModule.WorkerOptions) {
    super(file, options);
    running.set(this, basename(String(file), ".mjs"));
    this.once("exit", () => running.delete(this));
  }
}
(createRequire(import.meta.url)("node:worker_threads") as { Worker: typeof threadsModule.Worker }).Worker = NotedWorker;
syncBuiltinESMExports();

let clockOffsetMs = 0;
const threads = startThreads(dataFolder());
const hub = new LiveHub({
  store: sharedStore(), dataFolder: dataFolder(), threads, newId,
  nowIso: () => new Date(Date.parse(nowIso()) + clockOffsetMs).toISOString(), nowMs: steadyMs, about: aboutServer(import.meta.url),
});
hub.resume();
const wire = wireHandler(hub, sharedStore());
const server = createServer((request, response) => {
  if (request.url?.startsWith(WIRE_PREFIX)) wire(request, response);
  else response.writeHead(404).end();
});
server.listen(0, "127.0.0.1", () => answer({ port: (server.address() as AddressInfo).port }));

function answer(value: object): void {
  process.stdout.write(`${JSON.stringify(value)}\n`);
}

async function carryOut(order: WireOrder): Promise<object> {
  switch (order.do) {
    case "kill": {
      const ours = [...running].filter(([, name]) => name === order.thread);
      await Promise.all(ours.map(([worker]) => worker.terminate()));
      return { killed: ours.length };
    }
    case "clock":
      clockOffsetMs = order.offsetMs;
      return {};
    case "memory":
      globalThis.gc?.();
      return { rssBytes: process.memoryUsage.rss() };
    case "stop":
      server.closeAllConnections();
      server.close();
      await hub.close();
      await closeSharedStore();
      return {};
  }
}

const orders = createInterface({ input: process.stdin });
orders.on("line", (line) => {
  const order = JSON.parse(line) as WireOrder;
  void carryOut(order).then(answer).finally(() => { if (order.do === "stop") orders.close(); });
});
