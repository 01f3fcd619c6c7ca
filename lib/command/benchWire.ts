/** The live wire under load: durable ingest, time from arrival to event, memory over a long print, log entries sealed. */
import { closeSync, fdatasyncSync, openSync, writeSync } from "node:fs";
import { join } from "node:path";
import { ARROW_TYPE } from "../sensing/wireProfiles.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { measureLiveCost } from "../rehearsal/liveCost.ts";
import { openWire } from "../rehearsal/liveWire.ts";
import { simulate } from "../rehearsal/simulate.ts";
import type { BenchRow } from "./bench.ts";
import { served, withToken } from "./benchServer.ts";
import { wallClock } from "./cell.ts";
import { memoryRows } from "./benchLongPrint.ts";
import { bodyOf, makeRun, post, postJson, type Wire } from "./benchCalls.ts";
import { eventRows } from "./benchPrint.ts";
import { watchRows } from "./benchWatch.ts";
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
  return served(withToken, async (server, token) => {
    const wire: Wire = { ...server, token };
    io.err("the wire: sealing");
    const rows = await sealRows(io, wire);
    io.err("the wire: arrival to event");
    rows.push(...await eventRows(io, wire));
    io.err("the wire: arrival to pixel");
    rows.push(...await watchRows(io, wire, false));
    io.err("the wire: beside frames of a camera");
    rows.push(...await watchRows(io, wire, true));
    io.err("the wire: durable ingest");
    rows.push(...await ingestRows(io, wire));
    io.err("the wire: the simulated cell");
    rows.push(...await cellRows(io, wire));
    io.err("the wire: an hour of print");
    rows.push(...await memoryRows(io, wire));
    return rows;
  });
}
