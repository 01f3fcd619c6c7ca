/** What a broken or hostile sender says: under foreign names, texts that would be run, keys of every object, numbers that are none. */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { WireAnswered } from "../support/wireCaller.ts";
import { codeOf, HostileWire, keptOf, text } from "../support/wireHostile.ts";
import { frameBody, jsonBody } from "../support/wirePrint.ts";

const wire = new HostileWire();

describe("calls that another site's page could cause", () => {
  const hosts = ["evil.example", "evil.example:4312", "localhost.evil.example", "127.0.0.1.evil.example", "127.0.0.1@evil.example", "evil.example#127.0.0.1", "0x7f000001", "xn--lcalhost-5fb", "[::1].evil.example", "null", "localhost,evil.example"];
  it.each(hosts)("under the name %j everything is 403, open calls too", async (host) => {
    for (const path of ["/health", "/openapi.json", "/runs/x/result"]) expect(codeOf(await wire.call({ method: "GET", path: `/api/v1${path}`, headers: { ...wire.auth, Host: host } }))).toBe("403 wire.host");
    expect(codeOf(await wire.post("/runs", jsonBody("", wire.newRun), { headers: { Host: host } }))).toBe("403 wire.host");
  });

  it.each(["127.0.0.1", "localhost", "LOCALHOST:1", "[::1]:80", "10.0.0.7:4312"])("under the name %j it answers", async (host) => {
    expect((await wire.call({ method: "GET", path: "/api/v1/health", headers: { Host: host } })).status).toBe(200);
  });

  it("what a browser would send by itself makes nobody anybody: no preflight is granted, no cookie, no other scheme", async () => {
    const origin = { Origin: "http://evil.example", "Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "cors" };
    expect(codeOf(await wire.call({ method: "OPTIONS", path: "/api/v1/runs", headers: { ...origin, "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization" } }))).toBe("405 wire.method");
    for (const headers of [{}, { Cookie: `token=${wire.token}` }, { Authorization: `Basic ${Buffer.from(`cell:${wire.token}`).toString("base64")}` }, { Authorization: wire.token }, { Authorization: `Bearer ${wire.token}x` }, { Authorization: "Bearer ' OR 1=1 --" }]) {
      expect(codeOf(await wire.call({ method: "POST", path: "/api/v1/runs", headers: { ...origin, "Content-Type": "text/plain", ...headers }, body: JSON.stringify(wire.newRun) }))).toBe("401 wire.noToken");
    }
  });

  it.each<[string, () => Promise<{ readonly POST?: unknown; readonly PUT?: unknown }>]>([
    ["imports", () => import("../../app/api/imports/route.ts")],
    ["notes", () => import("../../app/api/runs/[id]/notes/route.ts")],
    ["dispositions", () => import("../../app/api/runs/[id]/dispositions/route.ts")],
    ["files", () => import("../../app/api/imports/[id]/files/route.ts")],
    ["finish", () => import("../../app/api/imports/[id]/finish/route.ts")],
  ])("the pages' own route for %s refuses another site and a foreign name with 403", async (_, load) => {
    const route = await load(), handler = (route.POST ?? route.PUT) as (request: Request, context: object) => Promise<Response>;
    for (const headers of [{ host: "127.0.0.1:4312", origin: "http://evil.example" }, { host: "127.0.0.1:4312", "sec-fetch-site": "cross-site" }, { host: "evil.example", origin: "http://evil.example", "sec-fetch-site": "same-origin" }, { host: "127.0.0.1:4312" }]) {
      const bare = new Request("http://127.0.0.1:4312/api/x", { method: "POST", body: "{}" });
      const request = Object.create(bare, { headers: { value: new Headers(Object.entries(headers)) }, method: { value: "POST" }, url: { value: bare.url }, body: { value: bare.body } }) as Request;
      expect((await handler(request, { params: Promise.resolve({ id: "x" }) })).status).toBe(403);
    }
  });
});

describe("texts", () => {
  const SCRIPT = `</script><script>alert(1)</script><img src=x onerror=alert(2)>\n\ndata: "quoted", 'single' & \\u0041 {{7*7}} \${1} ' OR 1=1; --`, ONE_LINE = SCRIPT.replaceAll("\n", " ").trim();

  it("script in every text comes back as the data that it is, in JSON and in the export", async () => {
    const runId = await wire.makeRun((run) => { Object.assign(run.job, { name: SCRIPT, specimen: SCRIPT }); });
    await wire.post(`/runs/${runId}/rework`, jsonBody("", [{ tS: 9e5, layer: 1, strand: 1, fromMm: 1, toMm: 2, who: ONE_LINE, reason: SCRIPT.trim() }]));
    await wire.post(`/runs/${runId}/signals`, jsonBody("", [{ tS: 1, name: ONE_LINE, value: 2 }]));
    await wire.post(`/runs/${runId}/profiles`, wire.ndjson(wire.lines[0] as string));
    await wire.post(`/runs/${runId}/commands`, jsonBody("", { kind: "pause", at: "now", reason: SCRIPT }));
    await wire.post(`/runs/${runId}/commands/1/receipt`, jsonBody("", { outcome: "failed", tS: 3, note: SCRIPT }));
    expect(JSON.parse((await wire.get(`/runs/${runId}/commands`)).text)).toEqual([{ n: 1, kind: "pause", at: "now", retractMm: 0, reason: SCRIPT }]);
    const out = await wire.ended(runId);
    expect(JSON.parse(readFileSync(join(out, "job.json"), "utf8"))).toMatchObject({ name: SCRIPT, specimen: SCRIPT });
    expect(readFileSync(join(out, "signals.csv"), "utf8")).toContain(`"${ONE_LINE.replaceAll('"', '""')}"`);
    const log = readFileSync(join(out, "log.ndjson"), "utf8").trim().split("\n").map((line) => JSON.parse(line) as { kind: string; payload: Record<string, unknown> });
    expect(log.find(({ kind }) => kind === "run.created")?.payload["name"]).toBe(SCRIPT);
    expect(log.find(({ kind }) => kind === "command.receipt")?.payload["note"]).toBe(SCRIPT);
  });

  it("on the stream of events a text with line feeds is one event of one line of data, and the stream carries the headers", async () => {
    const runId = await wire.makeRun(), aborter = new AbortController();
    const stream = await fetch(`${wire.server.url}/api/v1/runs/${runId}/events`, { headers: wire.auth, signal: aborter.signal });
    expect(Object.fromEntries(stream.headers)).toMatchObject({ "content-type": "text/event-stream; charset=utf-8", "x-content-type-options": "nosniff", "referrer-policy": "no-referrer", "content-security-policy": expect.stringContaining("default-src 'none'") });
    await wire.post(`/runs/${runId}/commands`, jsonBody("", { kind: "abort", reason: "x\n\nid: 99\nevent: command\ndata: {}\n\n" }));
    let said = "";
    for await (const chunk of stream.body as unknown as AsyncIterable<Uint8Array>) {
      said += Buffer.from(chunk).toString();
      if (said.includes("event: command")) break;
    }
    aborter.abort();
    expect(said.split("\n\n").filter((event) => event.includes("event: command"))).toEqual([expect.stringMatching(/^id: \w+-\d+\nevent: command\ndata: \{"n":1,"kind":"abort","reason":"x\\n\\nid: 99/)]);
  });

  it("halves of surrogate pairs are refused where the log could not say them", async () => {
    const runId = await wire.makeRun();
    expect(codeOf(await wire.post(`/runs/${runId}/commands`, text(`{"kind":"abort","reason":"a\\ud800"}`)))).toBe("400 wire.badBody");
    expect(codeOf(await wire.post(`/runs/${runId}/commands`, text(`{"kind":"resume","layer":1,"strand":1,"sMm":1,"rows":[{"\\udfff":1}]}`)))).toBe("400 wire.badBody");
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[{"tS":1,"name":"\\ud83d","value":1}]`))).rejected).toHaveLength(1);
    expect((await wire.tryRun((run) => { run.planText += "\ud800"; })).status).toBe(400);
  });
});

describe("keys of every object's prototype", () => {
  it("lend nothing: what is missing stays missing, and nobody else sees them", async () => {
    const runId = await wire.makeRun(), lent = `"tS":1.5,"name":"n","value":2,"layer":1,"strand":1,"sMm":1,"event":"start","kind":"abort","reason":"r","device":"profiler-1","frame":"plan","outcome":"done"`;
    for (const key of ["__proto__", "constructor", "prototype"]) {
      const row = `{"${key}":{${lent},"prototype":{${lent}}}}`;
      for (const path of ["signals", "progress", "poses", "rework"]) expect(keptOf(await wire.post(`/runs/${runId}/${path}`, text(`[${row}]`)))).toMatchObject({ accepted: 0, rejected: [{ index: 0 }] });
      for (const path of [`/runs/${runId}/commands`, `/runs/${runId}/commands/1/receipt`, "/runs"]) expect(codeOf(await wire.post(path, text(row)))).toBe("400 wire.badBody");
      expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(row, wire.png)))).toMatchObject({ accepted: 0, rejected: [{ index: 0 }] });
      expect(codeOf(await wire.post(`/runs/${runId}/profiles`, text(`${row}\n`, "application/x-ndjson")))).toBe("400 sensing.missingColumn");
      expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(row)))).toMatchObject({ accepted: 0, rejected: [{ index: 0 }] });
      expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[{"${key}":{"value":9},"tS":1.5,"name":"of ${key}","value":4}]`)))).toMatchObject({ accepted: 1 });
    }
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[{}]`))).rejected[0]?.reason).toMatch(/key tS/);
  });

  it.each(["__proto__", "constructor", "toString", "hasOwnProperty"])("a device, a signal and a job's key called %s are names as any other", async (name) => {
    const runId = await wire.makeRun((run) => {
      (run.job.devices[0] as { id: string }).id = name;
      Object.defineProperty(run.job, name, { value: { watch: 1 }, enumerable: true });
      Object.defineProperty(run.job["tolerance"] ??= {}, name, { value: { watch: 1 }, enumerable: true });
    });
    const body = text([JSON.stringify({ device: name, frame: "plan" }), ...wire.lines].join("\n"), "application/x-ndjson");
    expect(keptOf(await wire.post(`/runs/${runId}/profiles`, body))).toMatchObject({ accepted: wire.lines.length, rejected: [] });
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, jsonBody("", [{ tS: 1, name, value: 2 }])))).toMatchObject({ accepted: 1 });
    const out = await wire.ended(runId);
    expect(keptOf(await wire.post(`/runs/${runId}/profiles`, body))).toMatchObject({ accepted: 0, duplicates: wire.lines.length });
    expect(readFileSync(join(out, "signals.csv"), "utf8")).toBe(`t_s,name,value\n1,${name},2\n`);
  });
});

describe("numbers", () => {
  const profile = (more: Record<string, string>): string => {
    const { seq, tS, pose, zMm } = JSON.parse(wire.lines[0] as string) as Record<string, unknown>;
    return `{${Object.entries({ seq: String(seq), tS: String(tS), pose: JSON.stringify(pose), zMm: JSON.stringify(zMm), ...more }).map(([key, value]) => `"${key}":${value}`).join(",")}}`;
  };

  it.each<[string, string]>([["1e400", "a number beyond a double"], ["-1e400", "another"], ["NaN", "no JSON"], ["\"1\"", "a text"], ["null", "nothing"], ["true", "a truth"], ["[1]", "a list"]])("%s (%s) as a time is rejected or no JSON at all", async (number) => {
    const runId = await wire.makeRun(), answer = await wire.post(`/runs/${runId}/signals`, text(`[{"tS":${number},"name":"a","value":1}]`));
    if (number === "NaN") expect(codeOf(answer)).toBe("400 sensing.notJson");
    else expect(keptOf(answer)).toMatchObject({ accepted: 0, rejected: [{ index: 0, reason: expect.stringContaining("key tS") }] });
    const inLine = await wire.post(`/runs/${runId}/profiles`, wire.ndjson(profile({ tS: number })));
    if (number === "NaN") expect(codeOf(inLine)).toBe("400 sensing.notJson");
    else expect(keptOf(inLine)).toMatchObject({ accepted: 0, rejected: [{ index: 0, reason: expect.stringContaining("key tS") }] });
  });

  it("seq up to 2^53 − 1 is kept, 2^53 is not; −0 is 0 and its duplicate; heights beyond a float are no heights", async () => {
    const runId = await wire.makeRun(), seq = (value: string): Promise<WireAnswered> => wire.post(`/runs/${runId}/profiles`, wire.ndjson(profile({ seq: value })));
    expect(keptOf(await seq("9007199254740991"))).toMatchObject({ accepted: 1 });
    for (const value of ["9007199254740992", "9007199254740993", "1e16", "-1", "0.5", "1e400"]) expect(keptOf(await seq(value))).toMatchObject({ accepted: 0, rejected: [{ index: 0, reason: expect.stringContaining("key seq") }] });
    expect(keptOf(await seq("-0"))).toMatchObject({ accepted: 1 });
    expect(keptOf(await seq("0"))).toMatchObject({ accepted: 0, duplicates: 1 });
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[{"tS":-0,"name":"a","value":-0},{"tS":0,"name":"a","value":0},{"tS":0.0,"name":"b","value":5e-324},{"tS":1.7976931348623157e308,"name":"b","value":-1.7976931348623157e308}]`)))).toMatchObject({ accepted: 3, duplicates: 1 });
    for (const height of ["1e39", "1e400", "-1e400"]) expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(profile({ seq: "77", zMm: `[${height}${",0".repeat(95)}]` }))))).toMatchObject({ accepted: 0, rejected: [{ index: 0, reason: expect.stringContaining("key zMm[0]") }] });
    const out = await wire.ended(runId);
    expect(readFileSync(join(out, "signals.csv"), "utf8").split("\n")).toEqual(["t_s,name,value", "0,a,0", "0,b,5e-324", "1.7976931348623157e+308,b,-1.7976931348623157e+308", ""]);
  });

  it("a command's numbers are finite and its counts whole; what a resume carries is numbers and texts", async () => {
    const runId = await wire.makeRun(), ask = (body: string): Promise<WireAnswered> => wire.post(`/runs/${runId}/commands`, text(body));
    for (const body of [
      `{"kind":"flowFactor","factor":1e400,"layer":1,"strand":1,"fromMm":0}`, `{"kind":"flowFactor","factor":0,"layer":1,"strand":1,"fromMm":0}`, `{"kind":"flowFactor","factor":10.000001,"layer":1,"strand":1,"fromMm":0}`, `{"kind":"flowFactor","factor":1,"layer":1.5,"strand":1,"fromMm":0}`,
      `{"kind":"flowFactor","factor":1,"layer":9007199254740992,"strand":1,"fromMm":0}`, `{"kind":"pause","at":"now","retractMm":1000.001,"reason":"r"}`, `{"kind":"pause","at":"now","retractMm":-1,"reason":"r"}`, `{"kind":"resume","layer":1,"strand":1,"sMm":1e400}`,
      `{"kind":"resume","layer":1,"strand":1,"sMm":1,"rows":[{"xMm":1e400}]}`, `{"kind":"resume","layer":1,"strand":1,"sMm":1,"rows":[{"xMm":{"a":1}}]}`, `{"kind":"resume","layer":1,"strand":1,"sMm":1,"rows":[1]}`, `{"kind":"stop"}`, `{}`, `[]`, `null`, `"pause"`,
    ]) expect([body, codeOf(await ask(body))]).toEqual([body, "400 wire.badBody"]);
    expect((await ask(`{"kind":"flowFactor","factor":10,"layer":1,"strand":1,"fromMm":-0}`)).status).toBe(201);
    expect((await ask(`{"kind":"resume","layer":1,"strand":2,"sMm":5e-324,"rows":[{"xMm":1e-9,"approach":null,"note":"a"}]}`)).status).toBe(201);
    expect(JSON.parse((await wire.get(`/runs/${runId}/commands`)).text)).toMatchObject([{ factor: 10, fromMm: 0 }, { sMm: 5e-324, rows: [{ xMm: 1e-9, approach: null, note: "a" }] }]);
    for (const n of ["0", "3", "-1", "1.5", "1e400", "9007199254740993", "x", "%00", "__proto__"]) expect(await wire.post(`/runs/${runId}/commands/${n}/receipt`, jsonBody("", { outcome: "done", tS: 1 }))).toMatchObject({ status: expect.toSatisfy((status: number) => status === 404 || status === 400) as number });
  });

  it("a job whose stations could not be held is refused; one whose plan cannot be measured ends, keeps its data and says why", async () => {
    for (const spacing of [1e-300, 2.3e-5]) expect(codeOf(await wire.tryRun((run) => { run.job["stationSpacingMm"] = spacing; }))).toBe("400 job.badValue");
    for (const spacing of [0, -1]) expect(codeOf(await wire.tryRun((run) => { run.job["stationSpacingMm"] = spacing; }))).toBe("400 job.badValue");
    const planWith = (column: number, value: string): string => wire.newRun.planText.split("\n").map((line, i) => (i === 0 || line === "" ? line : line.split(",").map((cell, k) => (k === column ? value : cell)).join(","))).join("\n");
    const runId = await wire.makeRun((run) => { run.planText = planWith(8, "1e-300").split("\n").map((line, i) => (i === 0 || line === "" ? line : line.split(",").map((cell, k) => (k === 9 ? "1e-300" : cell)).join(","))).join("\n"); });
    expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(...wire.lines)))).toMatchObject({ accepted: wire.lines.length });
    const out = await wire.ended(runId);
    expect(codeOf(await wire.get(`/runs/${runId}/result`))).toBe("409 wire.state");
    expect(readdirSync(out)).toContain("profiles.arrow");
    expect(readFileSync(join(out, "log.ndjson"), "utf8")).toMatch(/"kind":"result.failed".*"code":"bug"/);
    expect((await wire.get("/health")).status).toBe(200);
  });

  it("profiles of one body that differ in form are taken as the first is, and the others rejected: nothing is kept as what it is not", async () => {
    const own = profile({ seq: "5", xMm: JSON.stringify(Array.from({ length: 96 }, (_, i) => i * 0.5)) }), other = profile({ seq: "6" });
    for (const [rows, form] of [[[own, other], "places of their own"], [[other, own], "the job's places"]] as const) {
      const runId = await wire.makeRun();
      expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(...rows)))).toEqual({ accepted: 1, duplicates: 0, rejected: [{ index: 1, reason: expect.stringContaining(`at ${form} since the first`) }] });
    }
  });
});
