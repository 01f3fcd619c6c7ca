/** What breaks around the wire: disks, threads, clocks, connections, devices. Nothing acknowledged is lost, and what was refused is taken later. */
import type { Alert } from "../../lib/model/alert.ts";
import { spawnSync } from "node:child_process";
import { appendFileSync, mkdirSync, readFileSync, rmSync, statfsSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { Kept } from "../../lib/model/wire.ts";
import { command, ownData } from "../support/recorded.ts";
import { WireCaller, type WireAnswered, type WireCall } from "../support/wireCaller.ts";
import { EventReader } from "../support/wireEvents.ts";
import type { GoodBody } from "../support/wireFuzz.ts";
import { frameBody, jsonBody, makeWirePrint, POSE, smallPng, type WirePrint } from "../support/wirePrint.ts";
import { bundleWire, startWire, type WireBundle, type WireServer } from "../support/wireServer.ts";

const made = ownData();
let bundle: WireBundle, print: WirePrint, expected: object;
beforeAll(async () => {
  print = await makeWirePrint(made.place, 24);
  await command("inspect", print.folder, "--out", join(made.place, "recorded.json"));
  expected = JSON.parse(readFileSync(join(made.place, "recorded.json"), "utf8")) as object;
  bundle = await bundleWire();
});
afterAll(async () => {
  bundle.remove();
  await made.restore();
});

let data: ReturnType<typeof ownData>, dataFolder = "", server: WireServer, caller: WireCaller, token = "";
const readers: EventReader[] = [];

async function begin(): Promise<void> {
  token = (await command("token", "add", "cell")).out.trim();
  server = await startWire(bundle, dataFolder);
  caller = new WireCaller(server.port);
}
beforeEach(() => {
  data = ownData();
  dataFolder = join(data.place, "data");
});
afterEach(async () => {
  for (const reader of readers.splice(0)) reader.close();
  caller.close();
  await server.stop();
  mounts.splice(0).forEach(() => spawnSync("umount", ["-l", dataFolder]));
  await data.restore();
});

const post = (path: string, { type, bytes }: Pick<GoodBody, "type" | "bytes">, more: Partial<WireCall> = {}): Promise<WireAnswered> =>
  caller.call({ method: "POST", path: `/api/v1${path}`, body: bytes, ...more, headers: { "Content-Type": type, Authorization: `Bearer ${token}`, ...more.headers } });
const get = (path: string): Promise<WireAnswered> => caller.call({ method: "GET", path: `/api/v1${path}`, headers: { Authorization: `Bearer ${token}` } });
const finish = (runId: string): Promise<WireAnswered> => post(`/runs/${runId}/finish`, { type: "application/json", bytes: new Uint8Array(0) });
const send = (runId: string, body: GoodBody): Promise<WireAnswered> => post(`/runs/${runId}/${body.path}`, body);
const countOf = ({ path, bytes }: GoodBody): number => (path === "profiles" ? Buffer.from(bytes).toString().trim().split("\n").length - 1 : (JSON.parse(Buffer.from(bytes).toString()) as unknown[]).length);
const frame = async (file: string): Promise<GoodBody> => frameBody({ file, device: "camera-1", tS: 2.5, ...POSE, frame: "plan" }, await smallPng());

async function makeRun(): Promise<string> {
  const { status, text } = await post("/runs", jsonBody("", print.newRun));
  expect([status, text]).toEqual([201, expect.anything()]);
  return (JSON.parse(text) as { runId: string }).runId;
}

/** Sends a body that has to be kept; what it said. */
async function keep(runId: string, body: GoodBody): Promise<Kept> {
  const { status, text } = await send(runId, body);
  expect([status, text]).toEqual([200, expect.anything()]);
  expect(JSON.parse(text)).toMatchObject({ rejected: [] });
  return JSON.parse(text) as Kept;
}

async function events(runId: string): Promise<EventReader> {
  const reader = await EventReader.open(server.url, runId, token);
  readers.push(reader);
  return reader;
}

/** Ends the run, takes it out and verifies it: its result is that of the recording, whatever happened. */
async function expectRecorded(runId: string): Promise<string> {
  expect(await finish(runId)).toMatchObject({ status: 200 });
  const out = join(data.place, "out");
  expect(await command("export", runId, "--out", out)).toMatchObject({ code: 0 });
  expect(await command("verify", out)).toMatchObject({ code: 0 });
  expect(JSON.parse(readFileSync(join(out, "result.json"), "utf8"))).toEqual(expected);
  return out;
}

const half = (): number => print.recorded.length >> 1;

/** Mounts of `dataFolder`, undone after each test. */
const mounts: string[] = [];
function mount(...args: string[]): boolean {
  mkdirSync(dataFolder, { recursive: true });
  const isDone = spawnSync("mount", args).status === 0;
  if (isDone) mounts.push(dataFolder);
  return isDone;
}
/** Mounting needs root and a system that lets it. */
const NO_MOUNT = ((): string | null => {
  if (process.getuid?.() !== 0) return "only root may mount";
  const place = ownData(), folder = join(place.place, "data");
  mkdirSync(folder, { recursive: true });
  const isRefused = spawnSync("mount", ["-t", "tmpfs", "-o", "size=1m", "tmpfs", folder]).status !== 0;
  if (!isRefused) spawnSync("umount", [folder]);
  void place.restore();
  return isRefused ? "mounting is refused here" : null;
})();

/** To the last byte. */
function fillUp(ballast: string): void {
  for (let bytes = 1 << 20; bytes >= 1;) {
    try {
      appendFileSync(ballast, new Uint8Array(bytes));
    } catch {
      bytes >>= 1;
    }
  }
}

describe.skipIf(NO_MOUNT !== null)(`the disk${NO_MOUNT === null ? "" : ` (skipped: ${NO_MOUNT})`}`, () => {
  it("full half-way: 503 with Retry-After and a reason, health too; with room again the same bodies are taken and the result is that of the recording", async () => {
    expect(mount("-t", "tmpfs", "-o", "size=96m", "tmpfs", dataFolder)).toBe(true);
    await begin();
    const runId = await makeRun(), ballast = join(dataFolder, "ballast");
    for (const body of print.recorded.slice(0, half())) await keep(runId, body);
    expect((await get("/health")).status).toBe(200);
    fillUp(ballast);
    expect(statfsSync(dataFolder).bavail).toBe(0);
    const isFull = ({ status, headers, text }: WireAnswered): void => expect([status, headers["retry-after"], JSON.parse(text)]).toEqual([503, "1", { code: expect.stringMatching(/^(source.diskFull|store.readOnly|wire.busy)$/), reason: expect.stringMatching(/disk|cannot/) }]);
    expect(await get("/health")).toMatchObject({ status: 503, text: expect.stringContaining("full") });
    const answers = await Promise.all(print.recorded.slice(half()).map((body) => send(runId, body)));
    const refused = answers.filter(({ status }) => status !== 200);
    expect(refused.length).toBeGreaterThan(5); // what fits into the last page of a file is taken
    refused.forEach(isFull);
    isFull(await send(runId, await frame("frames/full.png")));
    isFull(await post("/runs", jsonBody("", print.newRun)));
    isFull(await finish(runId));
    expect((await get(`/runs/${runId}/commands`)).status).toBe(200); // the cell's poll goes on
    rmSync(ballast);
    expect((await get("/health")).status).toBe(200);
    expect((await finish(runId)).status).toBe(200);
    const again = await makeRun();
    for (const body of print.recorded) expect((await keep(again, body)).accepted).toBe(countOf(body));
    await expectRecorded(again);
  });

  it("full while data come, and room again before the end: what was acknowledged is a duplicate, what was refused is new, and the result is that of the recording", async () => {
    expect(mount("-t", "tmpfs", "-o", "size=96m", "tmpfs", dataFolder)).toBe(true);
    await begin();
    const runId = await makeRun(), ballast = join(dataFolder, "ballast");
    for (const body of print.recorded.slice(0, half())) await keep(runId, body);
    fillUp(ballast);
    const rest = print.recorded.slice(half()), first = await Promise.all(rest.map((body) => send(runId, body)));
    expect(first.map(({ status }) => status).filter((status) => status !== 200 && status !== 503)).toEqual([]);
    expect(first.some(({ status }) => status === 503)).toBe(true);
    rmSync(ballast);
    for (const [i, body] of rest.entries()) {
      const { accepted, duplicates } = await keep(runId, body);
      expect(accepted + duplicates).toBe(countOf(body));
      if (first[i]?.status === 200) expect(accepted).toBe(0);
    }
    await expectRecorded(runId);
  });

  it("read-only for a while: new runs and frames are 503, health too; then all of it is taken (a journal that is open already is written on: the mount alone is read-only)", async () => {
    await begin();
    const runId = await makeRun();
    expect(mount("--bind", dataFolder, dataFolder) && spawnSync("mount", ["-o", "remount,ro,bind", dataFolder]).status === 0).toBe(true);
    for (const answer of [await send(runId, await frame("frames/a.png")), await post("/runs", jsonBody("", print.newRun)), await get("/health")]) {
      expect([answer.status, answer.text]).toEqual([503, expect.stringMatching(/cannot|read-only/)]);
    }
    expect((await get(`/runs/${runId}/commands`)).status).toBe(200);
    expect(spawnSync("umount", ["-l", dataFolder]).status).toBe(0);
    mounts.pop();
    expect((await get("/health")).status).toBe(200);
    for (const body of print.recorded) await keep(runId, body);
    await expectRecorded(runId);
  });
});

describe("a thread that dies", () => {
  it("the engine, three times: the alert is raised and cleared, readings go on, data are taken all the while", async () => {
    await begin();
    const runId = await makeRun(), reader = await events(runId), alerts = (): unknown[] => reader.of<{ alert: Alert }>("alert").filter(({ alert }) => alert.cause.kind === "engineLost").map(({ alert }) => [alert.n, alert.isOn]);
    const part = Math.floor(print.recorded.length / 4);
    for (let round = 0; round < 4; round++) {
      for (const body of print.recorded.slice(round * part, round === 3 ? undefined : (round + 1) * part)) await keep(runId, body);
      if (round === 3) break;
      expect(await server.order({ do: "kill", thread: "engine" })).toEqual({ killed: 1 });
      await reader.until(() => alerts().length === 2 * round + 2);
      const [raised, cleared] = alerts().slice(-2) as [[number, boolean], [number, boolean]];
      expect([raised[1], cleared[1], raised[0] === cleared[0]]).toEqual([true, false, true]);
    }
    const lastAlert = reader.heard.findLastIndex(({ kind }) => kind === "alert");
    await reader.until(() => reader.heard.slice(lastAlert).some(({ kind, data: told }) => kind === "reading" && (told as readonly { strand: number; sMm: number }[]).some(({ strand, sMm }) => strand === 2 && sMm > 5)));
    await expectRecorded(runId);
    await reader.until(() => reader.of<{ state: string }>("state").at(-1)?.state === "finished");
    expect(server.complaints().match(/engine of run .* ended/g)).toHaveLength(3);
  });

  it("the keeper, in the middle of bodies: those fail with 5xx, sent again each is kept once", async () => {
    await begin();
    const runId = await makeRun(), failures: number[] = [];
    for (let i = 0; i < print.recorded.length; i += 6) {
      const bodies = print.recorded.slice(i, i + 6), answers = bodies.map((body) => send(runId, body));
      expect(await server.order({ do: "kill", thread: "keeper" })).toEqual({ killed: expect.any(Number) });
      for (const [k, answer] of (await Promise.all(answers)).entries()) {
        const body = bodies[k] as GoodBody, again = await keep(runId, body);
        if (answer.status === 200) expect(again).toMatchObject({ accepted: 0, duplicates: countOf(body) });
        else failures.push(answer.status);
        expect(again.accepted + again.duplicates).toBe(countOf(body));
      }
    }
    expect(failures.length).toBeGreaterThan(0);
    expect(failures.every((status) => status >= 500)).toBe(true);
    await expectRecorded(runId);
  });

  it("the one that makes the result: finish fails with 5xx, asked again it ends the run", async () => {
    await begin();
    const runId = await makeRun();
    for (const body of print.recorded) await keep(runId, body);
    const ending = finish(runId);
    while ((await server.order({ do: "kill", thread: "settle" }))["killed"] === 0);
    expect((await ending).status).toBeGreaterThanOrEqual(500);
    await expectRecorded(runId);
  });
});

it("the clock set back by an hour in the middle: commands, findings and health go on, and the log verifies", async () => {
  await begin();
  const runId = await makeRun(), reader = await events(runId);
  for (const body of print.recorded.slice(0, half())) await keep(runId, body);
  await post(`/runs/${runId}/commands`, jsonBody("", { kind: "pause", at: "now", reason: "before" }));
  await server.order({ do: "clock", offsetMs: -3_600_000 });
  const health = reader.of("health").length, poll = get(`/runs/${runId}/commands?after=1&waitS=20`);
  await post(`/runs/${runId}/commands`, jsonBody("", { kind: "abort", reason: "after" }));
  expect(JSON.parse((await poll).text)).toEqual([{ n: 2, kind: "abort", reason: "after" }]);
  for (const body of print.recorded.slice(half())) await keep(runId, body);
  await reader.until(() => reader.of("health").length > health + 1);
  await reader.until(() => reader.of<{ findings: { kind: string }[] }>("finding").some(({ findings }) => findings.some(({ kind }) => kind === "gap")));
  const out = await expectRecorded(runId);
  const times = readFileSync(join(out, "log.ndjson"), "utf8").trim().split("\n").map((line) => Date.parse((JSON.parse(line) as { at: string }).at));
  expect(times.some((at, i) => i > 0 && at < (times[i - 1] as number) - 3_000_000)).toBe(true);
});

describe("connections", () => {
  it("cut half-way in a body, with a length and in chunks: nothing of it is kept, and sent again all of it is", async () => {
    await begin();
    const runId = await makeRun();
    for (const body of print.recorded) {
      for (const isChunked of [false, true]) {
        const head = `POST /api/v1/runs/${runId}/${body.path} HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer ${token}\r\nContent-Type: ${body.type}\r\n`, part = body.bytes.subarray(0, body.bytes.length >> 1);
        const socket = connect({ port: server.port, host: "127.0.0.1" });
        socket.on("error", () => undefined);
        const bytes = isChunked ? Buffer.concat([Buffer.from(`${head}Transfer-Encoding: chunked\r\n\r\n${part.length.toString(16)}\r\n`), part, Buffer.from("\r\n")]) : Buffer.concat([Buffer.from(`${head}Content-Length: ${body.bytes.length}\r\n\r\n`), part]);
        await new Promise<void>((done) => { socket.write(bytes, () => done()); });
        socket.destroy();
      }
      expect(await keep(runId, body)).toEqual({ accepted: countOf(body), duplicates: 0, rejected: [] });
    }
    await expectRecorded(runId);
  });

  it("a reader of events that never reads: others hear everything, and memory settles within 128 MB over 400 MB of events for them more", async () => {
    await begin();
    const runId = await makeRun(), deaf = Array.from({ length: 4 }, () => {
      const socket = connect({ port: server.port, host: "127.0.0.1" });
      socket.pause();
      socket.write(`GET /api/v1/runs/${runId}/events HTTP/1.1\r\nHost: 127.0.0.1\r\nAuthorization: Bearer ${token}\r\n\r\n`);
      return socket;
    });
    const reader = await events(runId), words = "e".repeat(1000), rows = Array.from({ length: 1000 }, (_, i) => ({ i, words }));
    let asked = 0; // each another place: the same asked twice is one command
    const ask = async (count: number): Promise<void> => {
      for (let i = 0; i < count; i++) expect((await post(`/runs/${runId}/commands`, jsonBody("", { kind: "resume", layer: 1, strand: 1, sMm: asked++, rows }))).status).toBe(201);
    };
    await ask(50);
    const early = (await server.order({ do: "memory" }))["rssBytes"] ?? 0;
    await ask(100);
    await reader.until(() => reader.of("command").length === 150);
    expect(reader.of<{ n: number }>("command").map(({ n }) => n)).toEqual(Array.from({ length: 150 }, (_, i) => i + 1));
    // four times 100 MB were written for them; freed pages go back to the system late on a busy machine
    await expect.poll(async () => ((await server.order({ do: "memory" }))["rssBytes"] ?? Infinity) - early, { timeout: 30_000, interval: 500 }).toBeLessThan(128 * 1024 * 1024);
    for (const socket of deaf) socket.destroy();
    for (const body of print.recorded) await keep(runId, body);
    await expectRecorded(runId);
  });
});

describe("devices", () => {
  const arrows = (): GoodBody[] => print.others.filter(({ path }) => path === "profiles");

  it("two at once, each with a token of its own, beside the cell: each is taken for itself alone, and both are in the export", async () => {
    await begin();
    const tokens = await Promise.all(["profiler-1", "profiler-2"].map(async (id) => (await command("token", "add", id, "--device", id)).out.trim()));
    const runId = await makeRun(), by = (who: number, body: GoodBody): Promise<WireAnswered> => post(`/runs/${runId}/profiles`, body, { headers: { Authorization: `Bearer ${tokens[who]}` } });
    const rows = print.recorded.filter(({ path }) => path !== "profiles"), own = print.recorded.filter(({ path }) => path === "profiles");
    const inTurn = async (bodies: readonly GoodBody[], say: (body: GoodBody) => Promise<WireAnswered>): Promise<void> => { for (const body of bodies) expect(await say(body)).toMatchObject({ status: 200, text: expect.stringMatching(/"duplicates":0,"rejected":\[\]/) }); };
    await Promise.all([inTurn(rows, (body) => send(runId, body)), inTurn(own, (body) => by(0, body)), inTurn(arrows(), (body) => by(1, body))]);
    const wrong = await by(1, own[0] as GoodBody);
    expect(JSON.parse(wrong.text)).toMatchObject({ accepted: 0, duplicates: 0, rejected: { length: countOf(own[0] as GoodBody) } });
    expect((await post(`/runs/${runId}/progress`, rows[0] as GoodBody, { headers: { Authorization: `Bearer ${tokens[0]}` } })).status).toBe(403);
    expect((await finish(runId)).status).toBe(200);
    const out = join(data.place, "out");
    await command("export", runId, "--out", out);
    expect(await command("verify", out)).toMatchObject({ code: 0 });
    await command("inspect", out, "--out", join(data.place, "again.json"));
    expect(readFileSync(join(data.place, "again.json"), "utf8") === readFileSync(join(out, "result.json"), "utf8")).toBe(true);
  });

  it("one that dies holds nobody up: the other's readings go on, and the run ends with what both had sent", async () => {
    await begin();
    const runId = await makeRun(), reader = await events(runId);
    const [first] = arrows();
    for (const [i, body] of print.recorded.entries()) {
      if (i === 3 && first !== undefined) expect((await send(runId, first)).status).toBe(200); // its only sign of life
      await keep(runId, body);
    }
    await reader.until(() => reader.of<readonly { strand: number; sMm: number }[]>("reading").flat().some(({ strand, sMm }) => strand === 2 && sMm > 5));
    expect((await finish(runId)).status).toBe(200);
    expect(JSON.parse((await get(`/runs/${runId}/result`)).text)).toMatchObject({ summary: { laid: 26 } });
  });
});
