/** The live wire under load: durable ingest, time from arrival to event, memory over a long print, log entries sealed. */
import { once } from "node:events";
import { closeSync, fdatasyncSync, mkdtempSync, openSync, rmSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { ARROW_TYPE } from "../sensing/wireProfiles.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { measureLiveCost } from "../rehearsal/liveCost.ts";
import { openWire } from "../rehearsal/liveWire.ts";
import { simulate } from "../rehearsal/simulate.ts";
import { newId, nowIso, rootFolder } from "../server/settings.ts";
import { makeToken } from "../server/tokens.ts";
import { openStore } from "../store/openStore.ts";
import type { BenchRow } from "./bench.ts";
import { serve } from "./benchServer.ts";
import { wallClock } from "./cell.ts";
import { memoryRows } from "./benchLongPrint.ts";
import { bodyOf, makeRun, post, postJson, takeUntil, type Wire } from "./benchCalls.ts";
import type { Io } from "./io.ts";

/** Plain writes of the same bodies with a flush each, MB/s: what the disk allows. */
function plainMbS(io: Io, folder: string, bytes: Uint8Array, count: number): number {
  const handle = openSync(join(folder, "plain"), "w"), began = io.nowMs();
  for (let i = 0; i < count; i++) {
    writeSync(handle, bytes);
    fdatasyncSync(handle);
  }
  closeSync(handle);
  return (bytes.length * count) / 1000 / (io.nowMs() - began);
}

async function ingestRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const points = 1000, rehearsal = simulate({ points, dxMm: 0.02, strands: 2, lengthMm: 20, supportScan: false });
  const [first] = rehearsal.profiles(), count = 300, each = 256;
  if (first === undefined) throw new TypeError("a rehearsal without profiles");
  const zMm = first.zMm.slice(), runId = await makeRun(wire, rehearsal);
  const bodies = Array.from({ length: count }, (_, i) => bodyOf(Array.from({ length: each }, (_unused, k): ProfileMessage => ({ ...first, zMm, seq: i * each + k, tS: i + k / each })), points));
  const size = (bodies[0] as Uint8Array).length, began = io.nowMs();
  const queue = [...bodies];
  await Promise.all([0, 1].map(async () => {
    for (let body = queue.shift(); body !== undefined; body = queue.shift()) await post(wire, `/runs/${runId}/profiles`, ARROW_TYPE, body);
  }));
  const seconds = (io.nowMs() - began) / 1000, plain = plainMbS(io, wire.folder, bodies[0] as Uint8Array, count), mbS = (size * count) / 1e6 / seconds;
  return [
    { what: `durable ingest, two senders of ${(size / 1e6).toFixed(1)} MB bodies`, value: `${mbS.toFixed(0)} MB/s`, aim: "≥ 80" },
    { what: "plain writes of the same bodies, flushed one by one", value: `${plain.toFixed(0)} MB/s`, aim: "" },
    { what: "profiles of 1 000 points kept a second", value: ((each * count) / seconds).toFixed(0), aim: "" },
  ];
}

/** Calls `heard` with each reading event's data as it comes, until the reader is ended. */
async function follow(wire: Wire, runId: string, end: AbortSignal, heard: (readings: readonly { readonly byS: number }[]) => void): Promise<void> {
  const response = await fetch(`${wire.url}/api/v1/runs/${runId}/events`, { headers: { Authorization: `Bearer ${wire.token}` }, signal: end });
  let text = "";
  const decoder = new TextDecoder();
  for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
    text += decoder.decode(chunk, { stream: true });
    for (let at = text.indexOf("\n\n"); at >= 0; at = text.indexOf("\n\n")) {
      const [, kind, data] = /event: (\w+)\ndata: (.*)/.exec(text.slice(0, at)) ?? [];
      text = text.slice(at + 2);
      if (kind === "reading" && data !== undefined) heard(JSON.parse(data) as { byS: number }[]);
    }
  }
}

/** A run is made before its print begins: so long, ms. */
const ARMED_MS = 2000;
/** Devices send so often, ms. */
const SEND_EVERY_MS = 20;

async function latencyRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const points = 1000, speedMmS = 8, rehearsal = simulate({ points, dxMm: 0.02, strands: 5, lengthMm: 20, supportScan: false, finalScan: false, speedMmS, profileSpacingMm: speedMmS / 500 });
  const copies: ProfileMessage[] = [];
  for (const profile of rehearsal.profiles()) copies.push({ ...profile, zMm: profile.zMm.slice() }); // its arrays are reused
  const runId = await makeRun(wire, rehearsal), end = new AbortController(), arrivals: { readonly tS: number; readonly ms: number }[] = [], latenciesMs: number[] = [];
  const following = follow(wire, runId, end.signal, (readings) => {
    const now = io.nowMs();
    for (const { byS } of readings) {
      const arrival = arrivals.find((each) => each.tS >= byS);
      if (arrival !== undefined) latenciesMs.push(now - arrival.ms);
    }
  }).catch(() => undefined);
  await new Promise((done) => { setTimeout(done, ARMED_MS); });
  const beganS = (copies[0]?.tS ?? 0) - 0.01, began = io.nowMs(), rows = [...rehearsal.progress], all = [...copies], sending: Promise<unknown>[] = [];
  while (all.length > 0) {
    await new Promise((done) => { setTimeout(done, SEND_EVERY_MS); });
    const nowS = beganS + (io.nowMs() - began) / 1000, due = takeUntil(all, nowS), progress = takeUntil(rows, nowS);
    if (progress.length > 0) sending.push(postJson(wire, `/runs/${runId}/progress`, progress));
    if (due.length === 0) continue;
    arrivals.push({ tS: (due.at(-1) as ProfileMessage).tS, ms: io.nowMs() });
    sending.push(post(wire, `/runs/${runId}/profiles`, ARROW_TYPE, bodyOf(due, points)));
  }
  await Promise.all(sending);
  await new Promise((done) => { setTimeout(done, 500); });
  end.abort();
  await following;
  const sorted = latenciesMs.sort((a, b) => a - b), at = (share: number): string => `${(sorted[Math.floor(share * (sorted.length - 1))] ?? Number.NaN).toFixed(0)} ms`;
  return [
    { what: `arrival to event at ${(copies.length / ((copies.at(-1)?.tS ?? 0) - beganS)).toFixed(0)} profiles/s of 1 000 points, ${sorted.length} readings: half of them within`, value: at(0.5), aim: "" },
    { what: "arrival to event: 99 % of them within", value: at(0.99), aim: "< 100" },
  ];
}

async function sealRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const runId = await makeRun(wire, simulate({ strands: 1, lengthMm: 2 })), count = 200, began = io.nowMs();
  for (let i = 0; i < count; i++) await postJson(wire, `/runs/${runId}/commands`, { kind: "flowFactor", factor: 1 + i / 1000, layer: 1, strand: 1, fromMm: 0 });
  return [{ what: "log entries written and sealed one by one, a second", value: ((1000 * count) / (io.nowMs() - began)).toFixed(0), aim: "" }];
}

async function cellRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const cpuS = (): number => {
    const { user, system } = process.cpuUsage();
    return (user + system) / 1e6;
  };
  const { coreShare, wallS } = await measureLiveCost({ wire: openWire(wire.url, wire.token), clock: wallClock(io), cpuS }, 30);
  return [{ what: `the simulated cell at its own pace, share of a core over ${wallS.toFixed(0)} s`, value: coreShare.toFixed(2), aim: "< 0.25" }];
}

/** Rows of the live wire; the hour of print needs 2 GB of space for temporary files. */
export async function wireRows(io: Io): Promise<BenchRow[]> {
  const folder = mkdtempSync(join(tmpdir(), "aslaid-bench-"));
  try {
    const store = openStore({ dataFolder: folder, migrationsFolder: join(rootFolder(), "prisma", "migrations"), signingKeyFile: null, nowUnixMs: Date.now(), newId });
    const token = makeToken(store, { name: "bench", device: null, at: nowIso() });
    await store.close();
    const { url, child } = await serve(folder), wire: Wire = { url, token, pid: child.pid as number, folder };
    try {
      io.err("the wire: sealing");
      const rows = await sealRows(io, wire);
      io.err("the wire: arrival to event");
      rows.push(...await latencyRows(io, wire));
      io.err("the wire: durable ingest");
      rows.push(...await ingestRows(io, wire));
      io.err("the wire: the simulated cell");
      rows.push(...await cellRows(io, wire));
      io.err("the wire: an hour of print");
      rows.push(...await memoryRows(io, wire));
      return rows;
    } finally {
      child.kill("SIGTERM");
      await once(child, "close");
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
