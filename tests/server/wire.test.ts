/** Every call of the live wire, as a cell makes it. */
import { readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Kept } from "../../lib/model/wire.ts";
import { ROW_STREAMS } from "../../lib/sensing/wireRows.ts";
import { WIRE_ROUTES } from "../../lib/server/wire/routes.ts";
import { keepPasteMark } from "../../lib/server/live/personRows.ts";
import { startLiveServer, type LiveServer } from "../support/liveServer.ts";
import { command, EXAMPLE } from "../support/recorded.ts";
import { tempFolder } from "../support/tempStore.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";

let live: LiveServer, client: WireClient, place = "";
beforeAll(async () => {
  place = tempFolder();
  live = await startLiveServer();
  ({ client } = live);
});
afterAll(async () => {
  await live.close();
  rmSync(place, { recursive: true, force: true });
});

const JSON_TYPE = "application/json", NDJSON = "application/x-ndjson", POSE = [0.2, 0, 60, 0, 0, Math.SQRT1_2, Math.SQRT1_2];
const zMm = Array.from({ length: 32 }, (_, i) => (i === 4 ? null : -60 + i / 100));
const lines = (seqs: readonly number[], more: object = {}): string => [{ device: "profiler-1", frame: "plan" }, ...seqs.map((seq) => ({ seq, tS: 1 + seq / 8, pose: POSE, zMm, ...more }))].map((row) => JSON.stringify(row)).join("\n");
const send = (runId: string, path: string, type: string, text: string, by = client) => by.call("POST", `/runs/${runId}/${path}`, { type, text });
let count = 0;
const newRun = () => client.makeRun(EXAMPLE, `key ${++count}`);
const codeOf = (json: unknown) => (json as { code: string }).code;

describe("making a run", () => {
  it("gives an id; the same key with the same body is the same run, with another plan 409", async () => {
    const id = await client.makeRun(EXAMPLE, "same"), job = JSON.parse(readFileSync(join(EXAMPLE, "job.json"), "utf8")) as object, planText = readFileSync(join(EXAMPLE, "plan.csv"), "utf8");
    expect(await client.makeRun(EXAMPLE, "same")).toBe(id);
    const other = await client.call("POST", "/runs", { type: JSON_TYPE, text: JSON.stringify({ job, planText: `${planText}\n`, planFormat: "csv" }) }, { "Idempotency-Key": "same" });
    expect([other.status, codeOf(other.json)]).toEqual([409, "wire.conflict"]);
  });

  it.each([
    ["no JSON", "{", 400, "sensing.notJson"],
    ["a key too many", JSON.stringify({ job: {}, planText: "x", planFormat: "csv", more: 1 }), 400, "wire.badBody"],
    ["a job of another contract", JSON.stringify({ job: { contract: "x" }, planText: "x", planFormat: "csv" }), 400, "job.wrongContract"],
    ["a plan that leaves the folder", JSON.stringify({ job: { ...JSON.parse(readFileSync(join(EXAMPLE, "job.json"), "utf8")) as object, plan: { file: "../plan.csv" } }, planText: "x", planFormat: "csv" }), 400, "source.pathLeaves"],
    ["a plan called like a stream", JSON.stringify({ job: { ...JSON.parse(readFileSync(join(EXAMPLE, "job.json"), "utf8")) as object, plan: { file: "progress.csv" } }, planText: "x", planFormat: "csv" }), 400, "job.badValue"],
    ["a plan with a bad line", JSON.stringify({ job: JSON.parse(readFileSync(join(EXAMPLE, "job.json"), "utf8")) as object, planText: "layer,strand\n", planFormat: "csv" }), 400, "plan.missingColumn"],
  ])("with %s is refused with the reason, and no run is left", async (_, text, status, code) => {
    const before = live.store.db.prepare(`SELECT count(*) FROM "Run"`).pluck().get();
    const { status: got, json } = await client.call("POST", "/runs", { type: JSON_TYPE, text });
    expect([got, codeOf(json)]).toEqual([status, code]);
    expect(live.store.db.prepare(`SELECT count(*) FROM "Run"`).pluck().get()).toBe(before);
  });
});

describe("who may call", () => {
  it("no token, another one and a revoked one are 401 on every call but health and the description", async () => {
    const gone = live.clientOf("gone"), id = await newRun();
    const revoked = live.store.db.prepare(`UPDATE "DeviceToken" SET revokedAt = 'now' WHERE name = 'gone'`).run().changes;
    expect(revoked).toBe(1);
    for (const token of ["", "A".repeat(43), gone.token]) {
      const by = new WireClient(() => live.url, token);
      for (const { method, path, who } of WIRE_ROUTES) {
        const { status } = await by.call(method, path.replace("{runId}", id).replace("{n}", "1"));
        expect([path, status]).toEqual([path, who === "open" ? 200 : 401]);
      }
    }
  });

  it("a token for one device sends that device's profiles, and nothing else: 403, or the item is rejected", async () => {
    const id = await newRun(), one = live.clientOf("one", "profiler-1"), other = live.clientOf("other", "profiler-9");
    expect((await send(id, "profiles", NDJSON, lines([1]), one)).json).toEqual({ accepted: 1, duplicates: 0, rejected: [] });
    expect((await send(id, "profiles", NDJSON, lines([2]), other)).json).toEqual({ accepted: 0, duplicates: 0, rejected: [{ index: 0, reason: "the token is for the device profiler-9 alone, and this is of profiler-1" }] });
    for (const path of ["progress", "signals", "rework", "finish", "commands"]) expect((await send(id, path, JSON_TYPE, "[]", one)).status).toBe(403);
    expect((await one.call("POST", "/runs", { type: JSON_TYPE, text: "{}" })).status).toBe(403);
  });

  it("a run that is not there is 404, another path 404, another method 405", async () => {
    expect((await send("nothing", "profiles", NDJSON, lines([1]))).status).toBe(404);
    expect((await client.call("GET", "/nothing")).status).toBe(404);
    expect((await client.call("GET", "/runs")).status).toBe(405);
  });
});

describe("keeping", () => {
  it("what is new is accepted, what is kept already a duplicate, also twice in one body, what is wrong rejected with its index; the rest is kept", async () => {
    const id = await newRun();
    expect((await send(id, "profiles", NDJSON, lines([3, 4, 3]))).json).toEqual({ accepted: 2, duplicates: 1, rejected: [] });
    const mixed = `${lines([4, 5])}\n{"seq":6,"tS":2,"pose":[0,0,0,0,0,0,2],"zMm":[]}\n{"seq":7,"tS":2,"pose":${JSON.stringify(POSE)},"zMm":${JSON.stringify(zMm)}}`;
    expect((await send(id, "profiles", NDJSON, mixed)).json).toMatchObject({ accepted: 2, duplicates: 1, rejected: [{ index: 2, reason: expect.stringMatching(/^sensing\./) as string }] });
    const rows = [{ tS: 1, layer: 1, strand: 1, sMm: 0, event: "start" }, { tS: 2, layer: 9, strand: 1, sMm: 0, event: "start" }, 7];
    const { json } = await send(id, "progress", JSON_TYPE, JSON.stringify(rows)), { rejected, ...rest } = json as Kept;
    expect(rest).toEqual({ accepted: 1, duplicates: 0 });
    expect(rejected.map(({ index, reason }) => [index, reason.split(":")[0]])).toEqual([[1, "sensing.unknownStrand"], [2, "sensing.badValue"]]);
    expect((await send(id, "signals", JSON_TYPE, `[{"tS":1,"name":"pressureKPa","value":3},{"tS":1,"name":"pressureKPa","value":4}]`)).json).toEqual({ accepted: 1, duplicates: 1, rejected: [] });
  });

  it.each<[string, string, string, string, number]>([
    ["profiles of an unknown device", "profiles", NDJSON, `{"device":"x","frame":"plan"}\n`, 400], ["profiles in a line that is no JSON", "profiles", NDJSON, `${lines([1])}\n{"seq":`, 400],
    ["an empty body", "profiles", NDJSON, "", 400], ["an Arrow stream that is none", "profiles", "application/vnd.apache.arrow.stream", "ARROW1", 400],
    ["profiles of another type", "profiles", "text/csv", lines([1]), 400], ...ROW_STREAMS.map((stream): [string, string, string, string, number] => [`${stream} that are no list`, stream, JSON_TYPE, "{}", 400]),
    ["JSON 65 levels deep", "signals", JSON_TYPE, `${"[".repeat(65)}${"]".repeat(65)}`, 400], ["signals of more than 8 MB", "signals", JSON_TYPE, " ".repeat((8 << 20) + 1), 413],
    ["frames that are not in parts", "frames", JSON_TYPE, "{}", 400],
  ])("%s is refused with a code and a reason, and nothing is kept", async (_, path, type, text, status) => {
    const id = await newRun(), { status: got, json } = await send(id, path, type, text);
    expect(got).toBe(status);
    expect(json).toMatchObject({ code: expect.stringMatching(/^[a-z]+\.[a-zA-Z]+$/) as string, reason: expect.stringContaining("expected") as string });
    expect(live.store.db.prepare(`SELECT state FROM "Run" WHERE id = ?`).pluck().get(id)).toBe("prepared");
  });

  it("a frame comes with its image; a path out of frames/ and the same frame again do not; bytes that are no picture are kept all the same", async () => {
    const id = await client.makeRun(await withCamera(), "camera"), png = readFileSync(join(EXAMPLE, "..", "..", "docs", "run.png"));
    const frame = async (file: string, image: Uint8Array<ArrayBuffer>) => {
      const form = new FormData();
      form.set("meta", JSON.stringify({ file, device: "camera-1", tS: 1.5, tx: 0, ty: 0, tz: 90, qx: 0, qy: 0, qz: 0, qw: 1, frame: "plan" }));
      form.set("image", new Blob([image]), "x.png");
      const response = await fetch(`${live.url}/api/v1/runs/${id}/frames`, { method: "POST", headers: { Authorization: `Bearer ${client.token}` }, body: form });
      return { status: response.status, json: await response.json() as unknown };
    };
    expect((await frame("frames/1.png", new Uint8Array(png))).json).toEqual({ accepted: 1, duplicates: 0, rejected: [] });
    expect((await frame("frames/1.png", new Uint8Array(png))).json).toEqual({ accepted: 0, duplicates: 1, rejected: [] });
    for (const file of ["frames/../../x.png", "/etc/passwd", "frames/.hidden", "x.png"]) expect((await frame(file, new Uint8Array(png))).json).toMatchObject({ accepted: 0, rejected: [{ index: 0 }] });
    expect((await frame("frames/2.png", new Uint8Array([1, 2, 3]))).json).toEqual({ accepted: 1, duplicates: 0, rejected: [] });

    const mark = { tS: 2, device: "camera-1", file: "frames/1.png", u0Px: 1, v0Px: 1, u1Px: 5, v1Px: 4, who: "N." };
    const marked = await send(id, "paste", JSON_TYPE, JSON.stringify([mark, mark, { ...mark, file: "frames/9.png" }, { ...mark, u1Px: 3.9 }, { ...mark, v1Px: 6 }]));
    expect(marked.json).toMatchObject({ accepted: 1, duplicates: 1, rejected: [{ index: 2, reason: "frames/9.png is no frame of camera-1 that is kept" }, { index: 3 }, { index: 4 }] });
    await keepPasteMark(live.hub, id, { device: "camera-1", file: "frames/2.png", u0Px: -0.5, v0Px: 0, u1Px: 4.125, v1Px: 5.5 }, "Dana Ort");
    await expect(keepPasteMark(live.hub, id, { device: "camera-1", file: "frames/3.png", u0Px: 0, v0Px: 0, u1Px: 4, v1Px: 4 }, "Dana Ort")).rejects.toMatchObject({ code: "log.badValue", place: { key: "file" } });
    expect(live.store.db.prepare(`SELECT actor, payloadJson FROM "LogEntry" WHERE runId = ? AND kind = 'paste.marked'`).all(id)).toEqual([{ actor: "Dana Ort", payloadJson: '{"device":"camera-1","file":"frames/2.png","u0Px":-0.5,"u1Px":4.13,"v0Px":0,"v1Px":5.5}' }]);
  });
});

async function withCamera(): Promise<string> {
  const { cpSync, writeFileSync } = await import("node:fs");
  const folder = join(place, "camera");
  cpSync(EXAMPLE, folder, { recursive: true });
  const job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as { devices: object[] };
  job.devices.push({ id: "camera-1", kind: "camera", widthPx: 8, heightPx: 6, fx: 9, fy: 9, cx: 4, cy: 3, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 });
  writeFileSync(join(folder, "job.json"), JSON.stringify(job));
  return folder;
}

describe("the whole life of a run", () => {
  it("result so far is `inspect` of what came, at several cuts; after finish it is the recording's, new data are 409, the same again duplicates, and a second finish 200", async () => {
    const id = await client.makeRun(EXAMPLE, "life"), bodies = bodiesOf(EXAMPLE, 6);
    for (const [i, body] of bodies.entries()) {
      await client.send(id, body);
      if (i === 4 || i === bodies.length - 1) expect((await client.call("GET", `/runs/${id}/result`)).json).toEqual(await inspected(bodies.slice(0, i + 1), id));
    }
    expect((await client.call("POST", `/runs/${id}/finish`)).status).toBe(200);
    expect((await client.call("POST", `/runs/${id}/finish`)).status).toBe(200);
    const expected = JSON.parse((await command("inspect", EXAMPLE)).out) as unknown;
    expect((await client.call("GET", `/runs/${id}/result`)).json).toEqual(expected);
    expect((await send(id, "profiles", NDJSON, lines([4000]))).status).toBe(409);
    expect(await client.send(id, bodies[2] as (typeof bodies)[number])).toEqual({ accepted: 0, duplicates: bodies[2]?.count, rejected: [] });
    const kinds = live.store.db.prepare(`SELECT kind FROM "LogEntry" WHERE runId = ? AND kind NOT IN ('seal.named', 'raw.kept') AND kind NOT LIKE 'alert.%' ORDER BY seq`).pluck().all(id);
    expect(kinds).toEqual(["run.created", "server.began", "run.state", "result.computed", "run.finished"]);
  });

  it("one whose data cannot be measured ends all the same: what came is kept, and the log says why there is no result", async () => {
    const id = await newRun();
    expect((await client.call("POST", `/runs/${id}/finish`)).status).toBe(200);
    expect((await client.call("GET", `/runs/${id}/result`)).status).toBe(409);
    expect(JSON.parse(String(live.store.db.prepare(`SELECT payloadJson FROM "LogEntry" WHERE runId = ? AND kind = 'result.failed'`).pluck().get(id)))).toMatchObject({ code: "sensing.noStream" });
  });

  it("two devices at once: nothing of either is lost", async () => {
    const id = await newRun(), seqs = Array.from({ length: 40 }, (_, i) => i);
    const answers = await Promise.all([...seqs.map((seq) => send(id, "profiles", NDJSON, lines([seq]))), ...seqs.map((seq) => send(id, "signals", JSON_TYPE, JSON.stringify([{ tS: seq, name: "temperatureC", value: seq / 3 }])))]);
    expect(answers.map(({ json }) => (json as Kept).accepted)).toEqual(answers.map(() => 1));
    expect((await live.hub.take(id, { kind: "rows", stream: "signals", bytes: new TextEncoder().encode("[]") }, { actor: "x", deviceOnly: null }, [])).accepted).toBe(0);
  });
});

/** `inspect` of the bodies as a folder, through a run of their own. */
async function inspected(bodies: ReturnType<typeof bodiesOf>, key: string): Promise<unknown> {
  const id = await client.makeRun(EXAMPLE, `${key} ${bodies.length}`), out = join(place, `export-${bodies.length}`);
  for (const body of bodies) await client.send(id, body);
  await client.call("POST", `/runs/${id}/finish`);
  const { exportRun } = await import("../../lib/server/exportRun.ts");
  await exportRun(live.store, { runId: id, out, newId: () => `x${bodies.length}`, heard: () => undefined });
  return JSON.parse((await command("inspect", out)).out) as unknown;
}

describe("commands", () => {
  it("wait for the cell, are numbered, come again until it asks for later ones, and a receipt counts once", async () => {
    const id = await newRun(), waiting = client.call("GET", `/runs/${id}/commands?after=0&waitS=20`);
    expect(await send(id, "commands", JSON_TYPE, JSON.stringify({ kind: "pause", at: "now", reason: "a look" }))).toMatchObject({ status: 201, json: { n: 1 } });
    expect((await waiting).json).toEqual([{ n: 1, kind: "pause", at: "now", retractMm: 0, reason: "a look" }]);
    await send(id, "profiles", NDJSON, lines([1]));
    const receipt = (n: number, outcome = "done") => send(id, `commands/${n}/receipt`, JSON_TYPE, JSON.stringify({ outcome, tS: 3.5, note: "" }));
    expect([(await receipt(1)).status, (await receipt(1, "refused")).status, (await receipt(2)).status]).toEqual([200, 200, 404]);
    const stateOf = () => live.store.db.prepare(`SELECT state FROM "Run" WHERE id = ?`).pluck().get(id);
    expect(stateOf()).toBe("paused");
    await send(id, "commands", JSON_TYPE, JSON.stringify({ kind: "resume", layer: 1, strand: 1, sMm: 2.5 }));
    await receipt(2);
    expect(stateOf()).toBe("live");
    await send(id, "commands", JSON_TYPE, JSON.stringify({ kind: "abort", reason: "enough" }));
    await receipt(3);
    expect((await client.call("GET", `/runs/${id}/commands?after=1`)).json).toMatchObject([{ n: 2 }, { n: 3, kind: "abort" }]);
    await client.call("POST", `/runs/${id}/finish`);
    expect(stateOf()).toBe("aborted");
    expect((await send(id, "commands", JSON_TYPE, JSON.stringify({ kind: "abort", reason: "again" }))).status).toBe(409);
    expect(live.store.db.prepare(`SELECT kind FROM "LogEntry" WHERE runId = ? AND kind LIKE 'command.%' ORDER BY seq`).pluck().all(id)).toEqual(["command.asked", "command.sent", "command.receipt", "command.asked", "command.receipt", "command.asked", "command.receipt"]);
  });

  it.each([[`{"kind":"pause","at":"soon","reason":""}`], [`{"kind":"stop"}`], [`{"kind":"flowFactor","factor":0,"layer":1,"strand":1,"fromMm":0}`], [`{"kind":"abort"}`]])("%s is no command: 400", async (text) => {
    expect((await send(await newRun(), "commands", JSON_TYPE, text)).status).toBe(400);
  });
});

/** Events of a run, as far as they have come. */
async function follow(id: string, headers: Record<string, string>, enough: (text: string) => boolean): Promise<string> {
  const end = new AbortController(), response = await fetch(`${live.url}/api/v1/runs/${id}/events`, { headers: { Authorization: `Bearer ${client.token}`, ...headers }, signal: end.signal });
  const decoder = new TextDecoder();
  let text = "";
  for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
    text += decoder.decode(chunk, { stream: true });
    if (enough(text)) break;
  }
  end.abort();
  return text;
}

const idsOf = (text: string) => [...text.matchAll(/^id: \S+-(\d+)$/gm)].map(([, n]) => Number(n));

describe("events", () => {
  it("begin with the state, tell readings, findings and commands, and go on after the last one that was seen without a gap or a double", async () => {
    const id = await client.makeRun(EXAMPLE, "events"), first = follow(id, {}, (text) => text.includes("event: finding"));
    for (const body of bodiesOf(EXAMPLE, 8)) await client.send(id, body);
    await send(id, "commands", JSON_TYPE, JSON.stringify({ kind: "flowFactor", factor: 1.1, layer: 1, strand: 1, fromMm: 2 }));
    const told = await first;
    expect(told).toMatch(/^id: \S+\nevent: state\ndata: \{"state":"(prepared|live)"/);
    for (const kind of ["reading", "finding"]) expect(told).toContain(`event: ${kind}`);
    const seen = idsOf(told), half = seen[Math.floor(seen.length / 2)] as number, epoch = /^id: (\S+)-\d+$/m.exec(told)?.[1] ?? "";
    const again = idsOf(await follow(id, { "Last-Event-ID": `${epoch}-${half}` }, (text) => idsOf(text).includes(seen.at(-1) as number)));
    expect(again.slice(0, seen.at(-1) as number - half)).toEqual(Array.from({ length: (seen.at(-1) as number) - half }, (_, i) => half + 1 + i));
    expect(told).toContain(`"kind":"gap"`);
  });

  it("a number of another process is told the state, and goes on from now", async () => {
    expect(await follow(await newRun(), { "Last-Event-ID": "other-77" }, (text) => text.includes("data:"))).toMatch(/event: state\ndata: \{"state":"prepared","ending":false,"reason":""\}/);
  });
});

describe("health and description", () => {
  it("health says ok with the room on the disk", async () => {
    expect((await client.call("GET", "/health")).json).toMatchObject({ status: "ok", freeBytes: expect.any(Number) as number });
  });

  it("the description is OpenAPI 3.1, has every call of the table and the schema that checks each JSON body", async () => {
    const { json } = await client.call("GET", "/openapi.json"), { openapi, paths } = json as { openapi: string; paths: Record<string, Record<string, { requestBody?: { content: Record<string, { schema: object }> } }>> };
    expect(openapi).toMatch(/^3\.1\.\d$/);
    expect(Object.entries(paths).flatMap(([path, methods]) => Object.keys(methods).map((method) => `${method.toUpperCase()} ${path}`)).sort()).toEqual(WIRE_ROUTES.map(({ method, path }) => `${method} ${path}`).sort());
    expect(paths["/runs"]?.["post"]?.requestBody?.content["application/json"]?.schema).toMatchObject({ type: "object", required: ["job", "planText", "planFormat"], additionalProperties: false });
  });

  it("a foreign Host is 403, whatever is asked", async () => {
    const { request } = await import("node:http");
    const status = await new Promise((done, fail) => {
      request(`${live.url}/api/v1/health`, { headers: { host: "evil.example" } }, (response) => { response.resume(); done(response.statusCode); }).on("error", fail).end();
    });
    expect(status).toBe(403);
  });
});
