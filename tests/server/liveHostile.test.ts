/** What a broken or hostile sender tries: sizes at the limits, images that are none, names that lead away, requests that are two. */
import { readdirSync, readFileSync } from "node:fs";
import { connect } from "node:net";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { BODY_LIMIT_BYTES } from "../../lib/model/wire.ts";
import { sendBytes, statusIn, type WireAnswered } from "../support/wireCaller.ts";
import { codeOf, HostileWire, keptOf, meta, text } from "../support/wireHostile.ts";
import { frameBody, jsonBody, smallPng } from "../support/wirePrint.ts";

const wire = new HostileWire();

describe("sizes", () => {
  /** Bytes of blanks after something. */
  const padded = (content: string, bytes: number, fill = " "): Uint8Array => {
    const out = new Uint8Array(bytes).fill(fill.charCodeAt(0));
    out.set(Buffer.from(content));
    return out;
  };
  const rows = `[{"tS":1.25,"name":"pressureKPa","value":3.5}]`;

  it.each<[string, number, string, string, () => string, string]>([
    ["signals", BODY_LIMIT_BYTES.rows, "/signals", "application/json", () => rows, " "],
    ["profiles", BODY_LIMIT_BYTES.profiles, "/profiles", "application/x-ndjson", () => `${wire.head}\n${wire.lines[0]}\n`, "\n"],
    ["a command", BODY_LIMIT_BYTES.json, "/commands", "application/json", () => `{"kind":"abort","reason":"r"}`, " "],
  ])("a body of %s of exactly %d bytes is taken, one of a byte more is 413, whether its length is announced or not", async (_, limit, path, type, content, fill) => {
    const runId = await wire.makeRun();
    expect((await wire.post(`/runs/${runId}${path}`, { type, bytes: padded(content(), limit, fill) })).status).toBeLessThan(300);
    for (const isChunked of [false, true]) expect(codeOf(await wire.post(`/runs/${runId}${path}`, { type, bytes: padded(content(), limit + 1, fill) }, { isChunked }))).toBe("413 wire.tooLarge");
  });

  it("a frame of exactly 48 MiB is kept whole, one of a byte more is 413", async () => {
    const runId = await wire.makeRun(), around = frameBody(meta({}), new Uint8Array(0)).bytes.length;
    const image = new Uint8Array(BODY_LIMIT_BYTES.frame - around);
    image.set(wire.png);
    expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({}), image)))).toMatchObject({ accepted: 1 });
    const larger = new Uint8Array(image.length + 1);
    larger.set(wire.png);
    expect(codeOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({ file: "frames/y.png" }), larger)))).toBe("413 wire.tooLarge");
  });

  it("a receipt of 64 KiB is read, one of a byte more is 413; a note of 2000 characters is taken, of 2001 is 400", async () => {
    const runId = await wire.makeRun();
    await wire.post(`/runs/${runId}/commands`, text(`{"kind":"pause","at":"now","reason":"r"}`));
    const receipt = `/runs/${runId}/commands/1/receipt`, saying = (note: string): string => JSON.stringify({ outcome: "done", tS: 2.5, note });
    expect(codeOf(await wire.post(receipt, { type: "application/json", bytes: padded(saying("a"), BODY_LIMIT_BYTES.small + 1) }))).toBe("413 wire.tooLarge");
    expect(codeOf(await wire.post(receipt, text(saying("n".repeat(2001)))))).toBe("400 wire.badBody");
    expect((await wire.post(receipt, { type: "application/json", bytes: padded(saying("n".repeat(2000)), BODY_LIMIT_BYTES.small) })).status).toBe(200);
  });

  it("an Idempotency-Key of 200 characters makes one run, of 201 is 400", async () => {
    const send = (length: number): Promise<WireAnswered> => wire.post("/runs", jsonBody("", wire.newRun), { headers: { "Idempotency-Key": "k".repeat(length) } });
    const [first, again] = [await send(200), await send(200)];
    expect([first.status, again.text]).toEqual([201, first.text]);
    expect(codeOf(await send(201))).toBe("400 wire.badBody");
  });

  it("a row's text of 2000 characters is kept, of 2001 is rejected with its key", async () => {
    const runId = await wire.makeRun(), rework = (length: number): object => ({ tS: 3.5, layer: 1, strand: 1, fromMm: 1, toMm: 2, who: "w", reason: "r".repeat(length) });
    const kept = keptOf(await wire.post(`/runs/${runId}/rework`, jsonBody("", [rework(2000), rework(2001)])));
    expect(kept).toEqual({ accepted: 1, duplicates: 0, rejected: [{ index: 1, reason: expect.stringMatching(/at most 2000 characters, got 2001.*key reason/) }] });
  });

  it("10 000 wrong rows are named one by one; with one more the body is refused as a whole, 2.7 million of them within the time of any call", async () => {
    const runId = await wire.makeRun(), good = `{"tS":2.5,"name":"n","value":1}`, wrong = (count: number): string => `[${good}${",{}".repeat(count)}]`;
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(wrong(10_000))))).toMatchObject({ accepted: 1, rejected: { length: 10_000 } });
    for (const count of [10_001, 2_700_000]) expect(codeOf(await wire.post(`/runs/${runId}/signals`, text(wrong(count))))).toBe("400 sensing.badValue");
    expect(codeOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson("{}\n".repeat(10_001))))).toBe("400 sensing.badValue");
  });

  it("200 000 rows whose times run backwards, and 150 000 profiles of no point whose numbers do and leave gaps, are kept within the time of any call, and known when they come again", async () => {
    const runId = await wire.makeRun(), rows = Array.from({ length: 200_000 }, (_, i) => `{"tS":${-i},"name":"n","value":1}`);
    const profiles = Array.from({ length: 150_000 }, (_, i) => `{"seq":${400_000 - 2 * i},"tS":1,"pose":[0,0,0,0,0,0,1],"zMm":[],"xMm":[]}`);
    for (const isFirst of [true, false]) {
      expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[${rows.join(",")}]`)))).toEqual({ accepted: isFirst ? 200_000 : 0, duplicates: isFirst ? 0 : 200_000, rejected: [] });
      expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(profiles.join("\n"))))).toEqual({ accepted: isFirst ? 150_000 : 0, duplicates: isFirst ? 0 : 150_000, rejected: [] });
    }
  });

  it("64 levels of JSON are read and 65 are refused, wherever JSON comes; 100 000 levels in a line of profiles cost that line alone", async () => {
    const runId = await wire.makeRun(), nested = (depth: number): string => "[".repeat(depth) + "]".repeat(depth), deep = nested(100_000);
    expect(keptOf(await wire.post(`/runs/${runId}/signals`, text(`[${nested(63)}]`))).rejected).toHaveLength(1);
    for (const path of ["signals", "poses", "progress", "rework", "commands"]) expect(codeOf(await wire.post(`/runs/${runId}/${path}`, text(nested(65))))).toBe("400 sensing.notJson");
    expect(codeOf(await wire.post("/runs", text(`{"job":${nested(64)}}`)))).toBe("400 sensing.notJson");
    expect(codeOf(await wire.post(`/runs/${runId}/frames`, frameBody(`{"file":${deep}}`, wire.png)))).toBe("400 sensing.notJson");
    expect(codeOf(await wire.post(`/runs/${runId}/profiles`, text(`{"device":${deep}}`, "application/x-ndjson")))).toBe("400 sensing.badValue");
    const kept = keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(`{"seq":${deep}}`, `{"x":${deep}}`, wire.lines[0] as string)));
    expect([kept.accepted, kept.rejected.map(({ index }) => index)]).toEqual([1, [0, 1]]);
  });
});

describe("images", () => {
  const claiming = (width: number, height: number): Uint8Array => {
    const out = Buffer.from(wire.png);
    out.writeUInt32BE(width, 16);
    out.writeUInt32BE(height, 20);
    return new Uint8Array(out);
  };
  it.each<[string, () => Uint8Array]>([
    ["a PNG that claims 30 000 × 30 000 pixels", () => claiming(30_000, 30_000)],
    ["one that claims 2³¹ − 1 × 2³¹ − 1", () => claiming(2 ** 31 - 1, 2 ** 31 - 1)],
    ["nothing", () => new Uint8Array(0)],
    ["a page", () => new Uint8Array(Buffer.from("<script>alert(1)</script>"))],
    ["an SVG that asks for a file", () => new Uint8Array(Buffer.from(`<svg xmlns="http://www.w3.org/2000/svg" width="8" height="6"><image href="file:///etc/passwd"/></svg>`))],
    ["a GIF", () => new Uint8Array(Buffer.from("R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7", "base64"))],
    ["the first 20 bytes of a PNG", () => wire.png.slice(0, 20)],
  ])("%s is kept as it came: it is evidence, and the same again is a duplicate", async (_, image) => {
    const runId = await wire.makeRun();
    expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({}), image())))).toEqual({ accepted: 1, duplicates: 0, rejected: [] });
    expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({}), wire.png)))).toEqual({ accepted: 0, duplicates: 1, rejected: [] });
  });
});

describe("names of files", () => {
  it("a frame's file that is no plain path in frames/ is rejected and written nowhere", async () => {
    const runId = await wire.makeRun(), before = new Set(readdirSync(wire.data.place, { recursive: true, encoding: "utf8" }));
    const names = [
      "../x.png", "frames/../x.png", "frames/../../../x.png", "/etc/x.png", "//x.png", "C:\\x.png", "c:/x.png", "\\\\host\\share\\x.png", "frames\\x.png", "frames/a\u0000.png", "frames/.", "frames/..", "frames/.hidden", "frames//x.png", "frames/", "frames",
      "frames/x.png/", "./frames/x.png", "x.png", "job.json", "frames.csv", "log.ndjson", "profiles.arrow", "frames/%2e%2e/x.png", "frames/a:b.png", "frames/a*.png", "frames/<script>.png", "frames/\u202egnp.x", "frames/a\u2028.png", "frames/ä.png", "Frames/x.png", `frames/${"x".repeat(122)}`,
      "frames/1/2/3/4/5.png", "file:///etc/passwd", "frames/x.png~", "frames/x\n.png", "frames/-/../../x.png",
    ];
    for (const file of names) {
      const { accepted, rejected } = keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({ file }), wire.png)));
      expect([file, accepted, rejected.length]).toEqual([file, 0, 1]);
    }
    const made = readdirSync(wire.data.place, { recursive: true, encoding: "utf8" }).filter((name) => !before.has(name));
    expect(made.filter((name) => !name.startsWith("data/aslaid.db"))).toEqual([]);
  });

  it("names of devices, names that begin alike and a name of 121 characters are plain files; a name is a file or a folder and not both", async () => {
    const runId = await wire.makeRun(), good = ["frames/CON", "frames/nul.png", "frames/COM1.txt", "frames/a.part", "frames/a", "frames/b.png", "frames/b.png.png", "frames/c/d/e/f.png", `frames/${"x".repeat(121)}`, "frames/a b.png", "frames/-rf"];
    for (const [i, file] of good.entries()) expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({ file, tS: 2 + i }), await smallPng(20 + i))))).toMatchObject({ accepted: 1, rejected: [] });
    for (const file of ["frames/a/x.png", "frames/b.png/x/y.png", "frames/c", "frames/c/d/e"]) {
      expect(keptOf(await wire.post(`/runs/${runId}/frames`, frameBody(meta({ file, tS: 30 }), wire.png)))).toEqual({ accepted: 0, duplicates: 0, rejected: [{ index: 0, reason: `${file} or a part of it is the name of a folder and of a frame` }] });
    }
    const out = await wire.ended(runId);
    for (const [i, file] of good.entries()) expect(readFileSync(join(out, file)).equals(Buffer.from(await smallPng(20 + i)))).toBe(true);
  });

  it("a plan that would be called like another file, or like a folder around one, is refused", async () => {
    const names = [
      "../x.csv", "/x.csv", "a/../../x.csv", "..", ".", "", "C:\\x.csv", "a\\x.csv", "a\u0000.csv", "a\n.csv", "./plan.csv", "a//b.csv", "profiles.arrow", "profiles.ndjson", "profiles.p.arrow", "log.ndjson", "seals.ndjson", "publicKey.pem", "result.json", "VERIFY.md", "job.json",
      "progress.csv", "rework.csv", "frames.csv", "poses.csv", "signals.csv", "target.ply", "landmarks.csv", "truth.json", "frames", "frames/plan.csv", "job.json/plan.csv", "log.ndjson/plan.csv", "progress.csv/plan.csv", "profiles.arrow/plan.csv", `${"x".repeat(252)}.csv`, "plan.gcode",
    ];
    for (const file of names) expect([file, (await wire.tryRun((run) => { run.job.plan["file"] = file; })).status]).toEqual([file, 400]);
  });

  it.each(["deep/er/plan.csv", "CON.csv", "run.json", "journal", "so-far/plan.csv", `${"x".repeat(251)}.csv`, "pl\u2028an.csv", "<script>.csv"])("a plan called %j is kept under that name, and the export is whole", async (file) => {
    const runId = await wire.makeRun((run) => { run.job.plan["file"] = file; });
    await wire.post(`/runs/${runId}/signals`, text(`[{"tS":1.5,"name":"a","value":2}]`));
    expect(readFileSync(join(await wire.ended(runId), file), "utf8")).toBe(wire.newRun.planText);
  });
});

describe("two requests in one", () => {
  const request = (...head: string[]): string => `${head.join("\r\n")}\r\n\r\n`;
  const smuggled = "GET /api/v1/openapi.json HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n";

  it.each<[string, () => string, readonly (number | null)[]]>([
    ["two lengths", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: 2", "Content-Length: 60") + `{}${smuggled}`, [400]],
    ["two equal lengths", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: 2", "Content-Length: 2") + "{}", [400]],
    ["a length and chunks", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: 5", "Transfer-Encoding: chunked") + `0\r\n\r\n${smuggled}`, [400]],
    ["an encoding that is none", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Transfer-Encoding: xchunked") + `0\r\n\r\n${smuggled}`, [400, 401]],
    ["two encodings", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Transfer-Encoding: chunked, identity") + `0\r\n\r\n${smuggled}`, [400]],
    ["a length that is negative", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: -1"), [400]],
    ["a length with an exponent", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: 1e400"), [400]],
    ["a length beyond 2^64", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length: 99999999999999999999999"), [400]],
    ["a header folded over lines", () => request("GET /api/v1/health HTTP/1.1", "Host: 127.0.0.1", "X: a", " b"), [400]],
    ["a blank before the colon", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Content-Length : 2") + "{}", [400]],
    ["a bare carriage return", () => "GET /api/v1/health HTTP/1.1\r\nHost: 127.0.0.1\rX: y\r\n\r\n", [400]],
    ["a NUL in a header", () => request("GET /api/v1/health HTTP/1.1", "Host: 127.0.0.1", "X: a\0b"), [400]],
    ["40 000 bytes of header", () => request("GET /api/v1/health HTTP/1.1", "Host: 127.0.0.1", `X: ${"y".repeat(40_000)}`), [431]],
    ["3000 headers", () => request("GET /api/v1/health HTTP/1.1", "Host: 127.0.0.1", ...Array.from({ length: 3000 }, (_, i) => `X${i}: y`)), [200, 431]],
    ["an address of 40 000 bytes", () => request(`GET /api/v1/${"a".repeat(40_000)} HTTP/1.1`, "Host: 127.0.0.1"), [414, 431]],
    ["no Host", () => request("GET /api/v1/health HTTP/1.1", "X: y"), [400]],
    ["an empty Host", () => request("GET /api/v1/health HTTP/1.1", "Host: "), [400, 403]],
    ["two Hosts", () => request("GET /api/v1/openapi.json HTTP/1.1", "Host: evil.example", "Host: 127.0.0.1"), [400, 403]],
    ["another Host in the address", () => request("GET http://127.0.0.1/api/v1/openapi.json HTTP/1.1", "Host: evil.example"), [400, 403, 404]],
    ["HTTP/1.0 without a Host", () => request("GET /api/v1/health HTTP/1.0"), [403]],
    ["an expectation that is none", () => request("POST /api/v1/runs HTTP/1.1", "Host: 127.0.0.1", "Expect: 200-maybe", "Content-Length: 2") + "{}", [417]],
    ["HTTP/2 of a sudden", () => "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", [400, null]],
    ["a tunnel", () => request("CONNECT 127.0.0.1:22 HTTP/1.1", "Host: 127.0.0.1"), [400, 404, null]],
    ["another protocol", () => request("GET /api/v1/health HTTP/1.1", "Host: 127.0.0.1", "Connection: close, Upgrade", "Upgrade: websocket"), [200]],
  ])("%s: one answer, no second one, and the connection ends", async (_, bytes, statuses) => {
    const said = await sendBytes(wire.server.port, bytes());
    expect(statuses).toContain(statusIn(said));
    expect(said.match(/HTTP\/1\.1 \d{3}/g)?.length ?? 0).toBeLessThan(2);
    expect(said).not.toContain("openapi");
  });

  it("a body that is announced with Expect: 100-continue is asked for and taken", async () => {
    const runId = await wire.makeRun(), body = `[{"tS":4.5,"name":"x","value":1}]`;
    const said = await sendBytes(wire.server.port, request(`POST /api/v1/runs/${runId}/signals HTTP/1.1`, "Host: 127.0.0.1", `Authorization: Bearer ${wire.token}`, "Content-Type: application/json", "Expect: 100-continue", `Content-Length: ${body.length}`, "Connection: close") + body);
    expect(said).toMatch(/^HTTP\/1\.1 100 Continue\r\n\r\nHTTP\/1\.1 200 OK/);
  });

  it("an encoded body is 400, and a token in the address counts for nothing", async () => {
    const runId = await wire.makeRun();
    expect(codeOf(await wire.post(`/runs/${runId}/signals`, text("[]"), { headers: { "Content-Encoding": "gzip" } }))).toBe("400 wire.badBody");
    expect(codeOf(await wire.call({ method: "GET", path: `/api/v1/runs/${runId}/result?token=${wire.token}&access_token=${wire.token}` }))).toBe("401 wire.noToken");
  });

  it("a body that comes slowly holds nobody up; cut off, nothing of it is kept and its room is free again", async () => {
    const runId = await wire.makeRun(), announced = 90 << 20;
    const slow = Array.from({ length: 2 }, () => {
      const socket = connect({ port: wire.server.port, host: "127.0.0.1" });
      socket.on("error", () => undefined);
      socket.write(`${request(`POST /api/v1/runs/${runId}/profiles HTTP/1.1`, "Host: 127.0.0.1", `Authorization: Bearer ${wire.token}`, "Content-Type: application/x-ndjson", `Content-Length: ${announced}`)}${wire.head}\n${wire.lines[0]}\n`);
      return socket;
    });
    expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(wire.lines[1] as string)))).toMatchObject({ accepted: 1 });
    expect((await wire.get("/health")).status).toBe(200);
    const big = new Uint8Array(announced).fill(10);
    big.set(Buffer.from(`${wire.head}\n${wire.lines[2]}\n`));
    const full = await wire.post(`/runs/${runId}/profiles`, { type: "application/x-ndjson", bytes: big }); // 270 MiB at once are more than are held
    expect([codeOf(full), full.headers["retry-after"]]).toEqual(["503 wire.busy", "1"]);
    for (const socket of slow) socket.destroy();
    await expect.poll(async () => (await wire.post(`/runs/${runId}/profiles`, { type: "application/x-ndjson", bytes: big })).status, { timeout: 5000 }).toBe(200);
    expect(keptOf(await wire.post(`/runs/${runId}/profiles`, wire.ndjson(wire.lines[0] as string)))).toMatchObject({ accepted: 1, duplicates: 0 });
  });
});

