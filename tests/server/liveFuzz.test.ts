/** Whatever bytes are sent: an answer each time, never 500, nothing half-kept, and what was acknowledged is there once. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import * as fc from "fast-check";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Message } from "../../lib/model/messages.ts";
import type { Kept } from "../../lib/model/wire.ts";
import { KeptIndex } from "../../lib/sensing/keptIndex.ts";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { command, ownData } from "../support/recorded.ts";
import { sendBytes, statusIn, WireCaller, type WireAnswered, type WireCall } from "../support/wireCaller.ts";
import { harm, harmed, oddHeaders, oddJson, oddMethod, oddPath, rawRequest, type GoodBody } from "../support/wireFuzz.ts";
import { jsonBody, makeWirePrint, type WirePrint } from "../support/wirePrint.ts";
import { bundleWire, startWire, type WireBundle, type WireServer } from "../support/wireServer.ts";

/** More on demand: ASLAID_FUZZ=200000. */
const CASES = Number(process.env["ASLAID_FUZZ"] ?? 20_000), SEED = Number(process.env["ASLAID_FUZZ_SEED"] ?? 41);
/** Calls that are under way at once, and cases that are made at a time. */
const AT_ONCE = 6, CHUNK = 200;
/** How much more memory the server may hold at the end than after a tenth of the cases. */
const GROWTH_BYTES = 128 * 1024 * 1024;

const data = ownData();
let bundle: WireBundle, server: WireServer, caller: WireCaller, print: WirePrint, token = "", deviceToken = "";
/** `odd` takes everything, `plain` what was recorded and nothing else. */
let odd = "", plain = "";
beforeAll(async () => {
  token = (await command("token", "add", "cell")).out.trim();
  deviceToken = (await command("token", "add", "one", "--device", "profiler-2")).out.trim();
  print = await makeWirePrint(data.place, 60);
  await command("inspect", print.folder, "--out", join(data.place, "recorded.json"));
  bundle = await bundleWire();
  server = await startWire(bundle, join(data.place, "data"));
  caller = new WireCaller(server.port);
  odd = await makeRun();
  plain = await makeRun();
});
afterAll(async () => {
  caller.close();
  await server.stop();
  bundle.remove();
  await data.restore();
});

const auth = (): { Authorization: string } => ({ Authorization: `Bearer ${token}` });
const post = (path: string, { type, bytes }: Pick<GoodBody, "type" | "bytes">, more: Partial<WireCall> = {}): WireCall => ({ method: "POST", path: `/api/v1${path}`, body: bytes, ...more, headers: { "Content-Type": type, ...auth(), ...more.headers } });

async function makeRun(): Promise<string> {
  const { status, text } = await caller.call(post("/runs", jsonBody("", print.newRun)));
  expect([status, text]).toEqual([201, expect.anything()]);
  return (JSON.parse(text) as { runId: string }).runId;
}

/** What one case does; resolves once it is over, rejects where the server did what it must not. */
type Case = () => Promise<unknown>;

/** Messages that `odd` acknowledged. */
let accepted = 0;
let noted: Record<string, number> = {};
/** Valid bodies that were sent whole to `odd`. */
const whole = new Set<GoodBody>();

function check(call: WireCall, answered: WireAnswered): WireAnswered {
  const { status, headers, text } = answered, what = `${call.method} ${call.path} → ${status} ${text.slice(0, 300)}`;
  noted[status] = (noted[status] ?? 0) + 1;
  if (status >= 500) throw new Error(what);
  if (headers["x-content-type-options"] !== "nosniff" || headers["cache-control"] === undefined) throw new Error(`without its headers: ${what}`);
  if (status < 400 || call.method === "HEAD") return answered;
  const { code, reason } = JSON.parse(text) as { code?: unknown; reason?: unknown };
  if (typeof code !== "string" || typeof reason !== "string") throw new Error(`without a reason: ${what}`);
  return answered;
}

const send = async (call: WireCall): Promise<WireAnswered> => check(call, await caller.call(call));

/** Sends data to `odd`, noting what it says it has. */
async function feed(call: WireCall): Promise<Pick<Kept, "rejected"> | null> {
  const { status, text } = await send(call);
  if (status !== 200) return null;
  const kept = JSON.parse(text) as Partial<Kept> & Omit<Kept, "accepted">;
  if (call.path.startsWith(`/api/v1/runs/${odd}/`)) accepted += kept.accepted ?? 0; // noise may have asked for the result
  return kept;
}

async function feedWhole(body: GoodBody, isChunked: boolean): Promise<void> {
  const kept = await feed(post(`/runs/${odd}/${body.path}`, body, { isChunked }));
  if (kept === null || kept.rejected.length > 0) throw new Error(`a valid body of ${body.path} was not kept: ${JSON.stringify(kept)}`);
  whole.add(body);
}

function cases(): fc.Arbitrary<Case> {
  const goods = [...print.recorded, ...print.others], rows = goods.filter(({ type }) => type === "application/json"), chunked = fc.boolean();
  const good = fc.tuple(fc.constantFrom(...goods), chunked).map(([body, isChunked]): Case => () => feedWhole(body, isChunked));
  const broken = fc.tuple(fc.constantFrom(...goods), fc.array(harm, { minLength: 1, maxLength: 4 }), chunked)
    .map(([body, harms, isChunked]): Case => () => feed(post(`/runs/${odd}/${body.path}`, { ...body, bytes: harms.reduce(harmed, body.bytes) }, { isChunked })));
  const oddRows = fc.constantFrom(...rows).chain((body) => oddJson(JSON.parse(Buffer.from(body.bytes).toString())).map((text): Case => () => feed(post(`/runs/${odd}/${body.path}`, { ...body, bytes: Buffer.from(text) }))));
  const profileLines = fc.constantFrom(...print.recorded.filter(({ path }) => path === "profiles")).chain((body) => {
    const [head = "", line = ""] = Buffer.from(body.bytes).toString().split("\n");
    return fc.tuple(oddJson(JSON.parse(head)), oddJson(JSON.parse(line)), fc.boolean()).map(([oddHead, oddLine, isHeadOdd]): Case => () =>
      feed(post(`/runs/${odd}/profiles`, { ...body, bytes: Buffer.from(`${isHeadOdd ? oddHead : head}\n${oddLine}\n${line}\n`) })));
  });
  const wrongType = fc.tuple(fc.constantFrom(...goods), fc.constantFrom(...goods)).map(([body, other]): Case => () => feed(post(`/runs/${odd}/${other.path}`, { ...body, type: other.type })));
  const recorded = fc.constantFrom(...print.recorded).map((body): Case => async () => {
    const { status, text } = await send(post(`/runs/${plain}/${body.path}`, body));
    if (status !== 200 || (JSON.parse(text) as Kept).rejected.length > 0) throw new Error(`${status} ${text}`);
  });
  const noise = fc.tuple(oddMethod, oddPath([odd, plain]), oddHeaders, fc.option(fc.uint8Array({ maxLength: 200 }), { nil: undefined }), fc.constantFrom(token, token, deviceToken, "", "x"), chunked)
    .filter(([method, path]) => !/\/(events|finish)/.test(path) || method !== "GET" && method !== "POST")
    .map(([method, path, headers, body, bearer, isChunked]): Case => () => {
      const isBare = method === "GET" || method === "HEAD" || method === "TRACE" || body === undefined; // node's own client sends no body with these
      return feed({ method, path, headers: { ...headers, ...(bearer === "" ? {} : { Authorization: `Bearer ${bearer}` }) }, ...(isBare ? {} : { body, isChunked }) });
    });
  const newRun = oddJson(print.newRun, 1).map((text): Case => () => send(post("/runs", { type: "application/json", bytes: Buffer.from(text) })));
  const life = oddJson(print.newRun, 1).map((text): Case => () => lifeOf(text));
  const asked = fc.tuple(fc.constantFrom<object>({ kind: "pause", at: "now", retractMm: 1, reason: "a" }, { kind: "resume", layer: 1, strand: 2, sMm: 3, rows: [{ a: 1 }] }, { kind: "flowFactor", factor: 1.1, layer: 1, strand: 1, fromMm: 2 }).chain((body) => oddJson(body)), fc.constantFrom("commands", "commands/1/receipt", "commands/2/receipt"))
    .map(([text, path]): Case => () => send(post(`/runs/${odd}/${path}`, { type: "application/json", bytes: Buffer.from(text) })));
  const receipt = fc.tuple(oddJson({ outcome: "done", tS: 1.5, note: "n" }), fc.integer({ min: 1, max: 40 })).map(([text, n]): Case => () => send(post(`/runs/${odd}/commands/${n}/receipt`, { type: "application/json", bytes: Buffer.from(text) })));
  const listed = fc.integer({ min: 0, max: 30 }).map((after): Case => () => send({ method: "GET", path: `/api/v1/runs/${odd}/commands?after=${after}&waitS=${after === 29 ? 0.05 : 0}`, headers: auth() }));
  const result = fc.constantFrom("odd", "plain").map((which): Case => () => send({ method: "GET", path: `/api/v1/runs/${which === "odd" ? odd : plain}/result`, headers: auth() }));
  const raw = rawRequest.map((bytes): Case => async () => {
    const status = statusIn(await sendBytes(server.port, bytes));
    noted[`raw ${status}`] = (noted[`raw ${status}`] ?? 0) + 1;
    if (status !== null && status >= 500 && status !== 501) throw new Error(`${status} for ${JSON.stringify(Buffer.from(bytes).toString("latin1"))}`);
  });
  return fc.oneof(
    { weight: 300, arbitrary: good }, { weight: 900, arbitrary: broken }, { weight: 500, arbitrary: oddRows }, { weight: 300, arbitrary: profileLines }, { weight: 100, arbitrary: wrongType },
    { weight: 150, arbitrary: recorded }, { weight: 500, arbitrary: noise }, { weight: 60, arbitrary: newRun }, { weight: 6, arbitrary: life }, { weight: 40, arbitrary: asked }, { weight: 40, arbitrary: receipt },
    { weight: 50, arbitrary: listed }, { weight: 5, arbitrary: result }, { weight: 150, arbitrary: raw },
  );
}

/** A run whose job is odd: where it is taken, it takes data, ends and has a result or a reason. */
async function lifeOf(text: string): Promise<void> {
  const { status, text: made } = await send(post("/runs", { type: "application/json", bytes: Buffer.from(text) }));
  if (status !== 201) return;
  const { runId } = JSON.parse(made) as { runId: string };
  const [progress, profiles, poses, frame] = [print.recorded[0], print.recorded.find(({ path }) => path === "profiles"), print.others.find(({ path }) => path === "poses"), print.others.at(-1)];
  for (const body of [progress, profiles, poses, frame]) if (body !== undefined) await send(post(`/runs/${runId}/${body.path}`, body));
  await send({ method: "POST", path: `/api/v1/runs/${runId}/finish`, headers: auth() });
  await send({ method: "GET", path: `/api/v1/runs/${runId}/result`, headers: auth() });
}

/** Every message of an exported run. */
async function messagesOf(folder: string): Promise<Message[]> {
  const all: Message[] = [];
  for await (const batch of (await openRunFolder(folder)).messages()) all.push(...batch);
  return all;
}

async function exported(runId: string, name: string): Promise<string> {
  const out = join(data.place, name);
  expect((await command("export", runId, "--out", out)).code).toBe(0);
  expect(await command("verify", out)).toMatchObject({ code: 0 });
  expect((await command("inspect", out, "--out", join(data.place, `${name}.json`))).code).toBe(0);
  expect(readFileSync(join(data.place, `${name}.json`), "utf8") === readFileSync(join(out, "result.json"), "utf8")).toBe(true);
  return out;
}

describe(`${CASES} calls, ${AT_ONCE} at once (fast-check, seed ${SEED})`, () => {
  it("are each answered within 5 s (the two that measure a run: 30 s) without a 5xx, memory settles within 128 MB, and what was acknowledged is in the export exactly once", { timeout: 3_600_000 }, async () => {
    const all = cases(), faults: string[] = [];
    let early = 0;
    for (let done = 0; done < CASES && faults.length < 20; done += CHUNK) {
      const now = fc.sample(all, { seed: SEED + done, numRuns: Math.min(CHUNK, CASES - done) }).entries();
      const runCases = async (): Promise<void> => {
        for (const [i, one] of now) await one().catch((error: unknown) => faults.push(`case ${i} of seed ${SEED + done}: ${String(error)}`));
      };
      await Promise.all(Array.from({ length: AT_ONCE }, runCases));
      if (early === 0 && done + CHUNK >= CASES / 10) early = (await server.order({ do: "memory" }))["rssBytes"] ?? 0;
    }
    for (const body of print.recorded) await send(post(`/runs/${plain}/${body.path}`, body));
    for (const body of [...print.recorded, ...print.others]) if (!whole.has(body)) await feedWhole(body, false);
    for (const runId of [odd, plain]) await send({ method: "POST", path: `/api/v1/runs/${runId}/finish`, headers: auth() }).catch((error: unknown) => faults.push(String(error)));
    const said = server.complaints(); // an odd job's engine may end; that of these two may not
    expect({ faults, said: faults.length > 0 || [odd, plain].some((id) => said.includes(id)) ? said.slice(0, 3000) : "" }).toEqual({ faults: [], said: "" });
    await expect.poll(async () => ((await server.order({ do: "memory" }))["rssBytes"] ?? Infinity) - early, { timeout: 30_000, interval: 500 }).toBeLessThan(GROWTH_BYTES);
    if (process.env["ASLAID_FUZZ_SAY"] !== undefined) console.log(noted, (early / 1e6).toFixed(0), (await server.order({ do: "memory" }))["rssBytes"]);

    const kept = await messagesOf(await exported(odd, "odd")), index = new KeptIndex();
    for (const message of kept) {
      expect(index.has(message)).toBe(false);
      index.add(message);
    }
    expect(kept.length).toBe(accepted);
    expect(whole.size).toBe(print.recorded.length + print.others.length);
    for (const body of whole) { // sent again, all of it is known
      const again = await send(post(`/runs/${odd}/${body.path}`, body));
      expect([again.status, JSON.parse(again.text)]).toMatchObject([200, { accepted: 0, rejected: [] }]);
    }
    const expected = JSON.parse(readFileSync(join(data.place, "recorded.json"), "utf8")) as object;
    expect(JSON.parse(readFileSync(join(await exported(plain, "plain"), "result.json"), "utf8"))).toEqual(expected);
  });
});
