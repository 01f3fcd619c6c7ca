/** The server: store first, then the demo on a fresh database, then pages; ends within seconds when asked to. */
import { createServer } from "node:http";
import type { Server, ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import next from "next";
import { inspectRun } from "../run/inspectRun.ts";
import { aboutServer } from "../server/about.ts";
import { isOwnName } from "../server/answer.ts";
import { importDemoRuns } from "../server/demo.ts";
import { LiveHub } from "../server/live/hub.ts";
import { startOwnCell } from "../server/live/ownCell.ts";
import { shareHub } from "../server/live/sharedHub.ts";
import { startThreads } from "../server/live/threads.ts";
import { markIncoming } from "../server/people/incoming.ts";
import { makeFirstLink } from "../server/people/links.ts";
import { lookInThread } from "../server/look/lookThreads.ts";
import { shareLook } from "../server/look/sharedLook.ts";
import { closeSharedRecomputes, shareRecomputer } from "../server/recompute/recomputes.ts";
import { recomputeInProcess } from "../server/recompute/startProcess.ts";
import { closeSharedStore, dataFolder, isLoopback, lookingNeeds, newId, nowIso, ownRunsMaySign, rehearsalIsOn, rootFolder, sharedStore, steadyMs } from "../server/settings.ts";
import { closeSharedUploads, sharedUploads } from "../server/sharedUploads.ts";
import { WIRE_PREFIX, wireHandler } from "../server/wire/handler.ts";

export interface StartOptions {
  readonly host: string;
  /** 0: any free one. */
  readonly port: number;
  /** One line for people. */
  readonly say: (line: string) => void;
}

export interface RunningServer {
  readonly url: string;
  /** What to say once it is ready, a line each: who may look, and how the first person comes in. */
  readonly notes: readonly string[];
  /** Resolves when the server has ended, whoever asked for it. */
  readonly ended: Promise<void>;
  readonly stop: () => Promise<void>;
}

/** How long open answers may take to finish once the end is asked for, ms. */
const GRACE_MS = 2000;

function listen(server: Server, port: number, host: string): Promise<void> {
  return new Promise((done, fail) => {
    server.once("error", fail);
    server.listen(port, host, done);
  });
}

function urlOf(server: Server, host: string): string {
  const { port } = server.address() as AddressInfo;
  return `http://${host.includes(":") ? `[${host}]` : host}:${port}`;
}

/** A foreign name may have been made to lead here, so that its page could read ours. */
function refuseName(response: ServerResponse): void {
  response.writeHead(403, { "Content-Type": "text/plain; charset=utf-8", "X-Content-Type-Options": "nosniff" });
  response.end("This server answers to its own name or address alone: see ASLAID_HOST.\n");
}

/** A line each. */
function notesFor(host: string, url: string): string[] {
  const why = isLoopback(host) ? "ASLAID_LOOKING says so" : `${host} is more than this machine alone`, first = makeFirstLink(sharedStore(), nowIso());
  return [
    ...(lookingNeeds() === "nothing" ? [] : [`Looking needs sign-in: ${why}. Pause and abort never do.`]),
    ...(ownRunsMaySign() ? ["Somebody may sign a run that they operated: ASLAID_OWN_RUNS says so, and each such signature does too."] : []),
    ...(first === null ? [] : [`Nobody can sign in yet. The first person comes in, once, at ${url}${first}`]),
  ];
}

function closeServer(server: Server): Promise<void> {
  const closed = new Promise<void>((done) => { server.close(() => done()); });
  server.closeIdleConnections();
  const hard = setTimeout(() => server.closeAllConnections(), GRACE_MS);
  return closed.finally(() => clearTimeout(hard));
}

/** Rejects with the listen error (EADDRINUSE …) or an InputError of the store. */
export async function start({ host, port, say }: StartOptions): Promise<RunningServer> {
  sharedUploads(); // sweeps away what an earlier process left half-way
  await importDemoRuns(sharedStore(), inspectRun, say);
  const hub = new LiveHub({ store: sharedStore(), dataFolder: dataFolder(), threads: startThreads(dataFolder()), newId, nowIso, nowMs: steadyMs, about: aboutServer(import.meta.url) });
  shareHub(hub);
  shareLook(lookInThread);
  shareRecomputer(recomputeInProcess);
  hub.resume();
  const wire = wireHandler(hub, sharedStore());
  const app = next({ dev: false, dir: rootFolder(), hostname: host, port });
  await app.prepare();
  const handle = app.getRequestHandler();
  const server = createServer((request, response) => {
    if (request.url?.startsWith(WIRE_PREFIX)) wire(request, response);
    else if (!isOwnName(request.headers.host ?? "")) refuseName(response);
    else {
      markIncoming(request, response);
      void handle(request, response);
    }
  });
  await listen(server, port, host);
  const stopCell = startOwnCell({ store: sharedStore(), hub, isOn: rehearsalIsOn(), url: urlOf(server, host), rootFolder: rootFolder(), at: nowIso(), say });
  let stopping: Promise<void> | null = null;
  const ended = new Promise<void>((done) => { server.once("close", done); });
  const stop = (): Promise<void> => {
    stopCell?.();
    stopping ??= closeSharedUploads().then(closeSharedRecomputes).then(() => hub.close()).then(() => closeServer(server)).then(() => app.close()).then(closeSharedStore);
    return stopping;
  };
  return { url: urlOf(server, host), notes: notesFor(host, urlOf(server, host)), ended, stop };
}
