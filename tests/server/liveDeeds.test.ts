/** What people do on the page of a live run, through the routes of the real server: a rehearsed print of two layers with an invented gap, seed 41. */
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { resumeRows } from "../../lib/control/resume.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { LiveWords } from "../../lib/model/liveSheet.ts";
import type { StationDetail } from "../../lib/model/stationDetail.ts";
import { readPlan } from "../../lib/plan/readPlan.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { command, ownData } from "../support/recorded.ts";
import { signedInAs } from "../support/people.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";

const data = ownData();
let server: ServerProcess, client: WireClient, runId = "", operator = "", reviewer = "";

beforeAll(async () => {
  const folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "41", "--strands", "3", "--length", "10", "--layers", "2", "--points", "200", "--dx", "0.06", "--fault", "gap@1/2/3-6", "--format", "ndjson")).out.trim();
  const token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(join(data.place, "data"));
  client = new WireClient(() => server.url, token);
  runId = await client.makeRun(folder, "one");
  const bodies = bodiesOf(folder, 40), second = bodies.findIndex(({ path, text }) => path === "progress" && /"layer":2/.test(text));
  for (const body of bodies.slice(0, second)) await client.send(runId, body);
  operator = signedInAs(sharedStore().db, "Dana Ort", { roles: ["operator"] }).cookie;
  reviewer = signedInAs(sharedStore().db, "Kim Lai", { roles: ["reviewer"] }).cookie;
}, 120_000);
afterAll(async () => {
  await server.stop("SIGKILL");
  await data.restore();
});

async function post(deed: string, body: object, cookie = operator): Promise<{ readonly status: number; readonly json: Record<string, unknown> }> {
  const response = await fetch(`${server.url}/api/live/${runId}/${deed}`, { method: "POST", headers: { origin: server.url, cookie, "Content-Type": "application/json" }, body: JSON.stringify(body) });
  return { status: response.status, json: await response.json() as Record<string, unknown> };
}
const codeOf = ({ status, json }: Awaited<ReturnType<typeof post>>): unknown => [status, (json["problem"] as { code: string } | undefined)?.code];

/** The newest words that the page is sent. */
async function words(): Promise<LiveWords> {
  const response = await fetch(`${server.url}/api/live/${runId}/events`);
  let text = "";
  for await (const chunk of response.body as unknown as AsyncIterable<Uint8Array>) {
    text += Buffer.from(chunk).toString("utf8");
    const found = /event: words\ndata: (.*)\n\n/.exec(text)?.[1];
    if (found !== undefined) return JSON.parse(found) as LiveWords; // which ends the stream
  }
  throw new Error("the stream ended without words");
}
const gapOf = async () => (await words()).alerts.find(({ cause }) => cause.kind === "gap");

describe("the words of the watch", () => {
  it("open with the gap and what to do; nozzle, what was heard, gate, pause and where to go on are there", async () => {
    await expect.poll(async () => (await words()).headline, { timeout: 30_000 }).toMatch(/^Strand 2 of layer 1 has a gap of 3\.0 mm at 3\.0 mm\.$|has sent nothing|has not asked/);
    await expect.poll(async () => (await gapOf())?.title, { timeout: 30_000 }).toMatch(/^Strand 2 of layer 1 has a gap of [23]\.\d mm at [23]\.\d mm$/);
    const { heard, nozzle, gate, pauseAt, autoPause, paste, alerts } = await words();
    expect(heard.map(({ name }) => name)).toEqual(["profiler-1", "progress", "cell"]);
    expect([nozzle?.layer, nozzle?.strand, gate?.isHeld, pauseAt, autoPause, paste]).toEqual([1, 3, true, "strandEnd", { isOn: true, by: null }, null]);
    expect(alerts.map(({ cause: { kind } }) => kind)).toEqual(expect.arrayContaining(["gap", "layerHeld"]));
  });
});

describe("who may do it", () => {
  it("nobody without signing in, nobody without the role; a pause asks nobody", async () => {
    const n = (await gapOf())?.n ?? 0;
    expect(codeOf(await post("alerts", { do: "acknowledge", n }, ""))).toEqual([401, "people.signIn"]);
    expect(codeOf(await post("alerts", { do: "acknowledge", n }, reviewer))).toEqual([403, "people.role"]);
    expect(codeOf(await post("rework", { layer: 1, strand: 2, fromMm: 3, toMm: 6, reason: "gap", note: "" }, ""))).toEqual([401, "people.signIn"]);
    expect(codeOf(await post("auto", { isOn: false }, reviewer))).toEqual([403, "people.role"]);
    expect(codeOf(await post("gate", { layer: 1, reason: "seenByEye", note: "" }, ""))).toEqual([401, "people.signIn"]);
    expect((await post("commands", { kind: "pause", at: "now" }, "")).status).toBe(200);
  });
});

describe("an alert", () => {
  it("is acknowledged in the person's name, once; bad deeds are refused with what was expected", async () => {
    const n = (await gapOf())?.n ?? 0;
    expect(await post("alerts", { do: "acknowledge", n })).toEqual({ status: 200, json: { n } });
    expect([(await gapOf())?.state, (await gapOf())?.acknowledgedBy]).toEqual(["acknowledged", "Dana Ort"]);
    expect(codeOf(await post("alerts", { do: "acknowledge", n }))).toEqual([409, "alert.badDeed"]);
    expect(codeOf(await post("alerts", { do: "acknowledge", n: 999 }))).toEqual([409, "alert.badDeed"]);
    expect(codeOf(await post("alerts", { do: "shelve", n, forS: 301, reason: "known", note: "" }))).toEqual([409, "alert.badDeed"]);
    expect(codeOf(await post("alerts", { do: "shelve", n, forS: 60, reason: "tired", note: "" }))).toEqual([400, "log.badValue"]);
    expect(codeOf(await post("alerts", { do: "shelve", n, forS: 60, reason: "other", note: " " }))).toEqual([400, "log.badValue"]);
    expect(codeOf(await post("alerts", { do: "sing", n }))).toEqual([400, "upload.badRequest"]);
    expect((await post("alerts", { do: "shelve", n, forS: 60, reason: "known", note: "" })).status).toBe(200);
    expect((await gapOf())?.shelf).toMatchObject({ reason: "known", by: "Dana Ort" });
    expect((await post("alerts", { do: "unshelve", n })).status).toBe(200);
    expect((await post("alerts", { do: "note", n, note: "a bubble in the syringe" })).status).toBe(200);
    expect(readEntriesOf(sharedStore().db, runId, "alert.noted").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Ort", { n, note: "a bubble in the syringe" }]]);
  });
});

describe("the section of a station", () => {
  it("is that of the reading which stands; none where nothing was read", async () => {
    const at = async (query: string): Promise<StationDetail> => await (await fetch(`${server.url}/api/live/${runId}/station?${query}`)).json() as StationDetail;
    const detail = await at("layer=1&strand=1&station=6");
    expect([detail.cut?.layer, detail.cut?.strand, detail.cut?.stationIndex, (detail.cut?.points.length ?? 0) > 10, detail.attempts]).toEqual([1, 1, 6, true, []]);
    expect((await at("layer=2&strand=1&station=6")).cut).toBeNull();
    expect((await fetch(`${server.url}/api/live/${runId}/station?layer=x&strand=1&station=6`)).status).toBe(400);
  });
});

describe("going on", () => {
  it("above the held layer is refused; the stretch is taken off on whole stations, and the cell is asked for it with the rows that are left", async () => {
    expect(codeOf(await post("commands", { kind: "resume", layer: 2, strand: 1, sMm: 0, overlapMm: 1 }))).toEqual([409, "control.gateHolds"]);
    expect(codeOf(await post("rework", { layer: 1, strand: 2, fromMm: 3.1, toMm: 5.9, reason: "bored", note: "" }))).toEqual([400, "log.badValue"]);
    expect(codeOf(await post("rework", { layer: 1, strand: 2, fromMm: 30, toMm: 40, reason: "gap", note: "" }))).toEqual([400, "log.badValue"]);
    expect(codeOf(await post("rework", { layer: 1, strand: 2, fromMm: 3.1, toMm: 5.9, reason: "other", note: " " }))).toEqual([400, "log.badValue"]);
    const { status, json } = await post("rework", { layer: 1, strand: 2, fromMm: 5.9, toMm: 3.1, reason: "gap", note: "" });
    expect([status, json]).toEqual([200, { resume: { kind: "resume", layer: 1, strand: 2, sMm: 3, overlapMm: 1 } }]);
    expect(readEntriesOf(sharedStore().db, runId, "strand.takenOff").map(({ payload }) => payload)).toEqual([{ layer: 1, strand: 2, fromMm: 3, toMm: 6, reason: "a gap, or too little" }]);
    await expect.poll(async () => (await gapOf())?.isOn ?? false, { timeout: 20_000 }).toBe(false);
    expect(codeOf(await post("commands", { kind: "resume", layer: 2, strand: 1, sMm: 0, overlapMm: 1 }))).toEqual([409, "control.gateHolds"]);
    const asked = await post("commands", json["resume"] as object), nozzle = (await words()).nozzle;
    expect(asked.status).toBe(200);
    const { jobText, planText, bodyJson } = sharedStore().db.prepare<[string, string, unknown], { jobText: string; planText: string; bodyJson: string }>(`SELECT jobText, planText, bodyJson FROM "Run", "Command" WHERE "Run".id = ? AND runId = ? AND n = ?`).get(runId, runId, asked.json["n"]) as { jobText: string; planText: string; bodyJson: string };
    const { plan } = readPlan(planText, resolveJob(JSON.parse(jobText), "job.json").job, "plan.csv");
    expect((JSON.parse(bodyJson) as { rows: unknown }).rows).toEqual(resumeRows(plan, { from: { layer: 1, strand: 2, sMm: 3 }, overlapMm: 1, toMm: 6, stoppedAt: nozzle }));
  });

  it("a person opens the gate with a reason; a layer that nothing holds has none to open", async () => {
    expect(codeOf(await post("gate", { layer: 2, reason: "seenByEye", note: "" }))).toEqual([400, "log.badValue"]);
    expect(codeOf(await post("gate", { layer: 1, reason: "other", note: "" }))).toEqual([400, "log.badValue"]);
    expect((await post("gate", { layer: 1, reason: "other", note: "filled by hand, seen by eye" })).status).toBe(200);
    expect(readEntriesOf(sharedStore().db, runId, "gate.opened").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Ort", { layer: 1, reason: "filled by hand, seen by eye" }]]);
    expect((await words()).gate).toMatchObject({ isHeld: false, words: expect.stringMatching(/^Layer 1 may be covered: a person said so, though one stretch is taken off/) as unknown });
    expect((await post("commands", { kind: "resume", layer: 2, strand: 1, sMm: 0, overlapMm: 1 })).status).toBe(200);
  });

  it("automatic pauses are switched off and on in the person's name", async () => {
    expect((await post("auto", { isOn: false })).json).toEqual({ isOn: false });
    expect((await words()).autoPause).toEqual({ isOn: false, by: "Dana Ort" });
    expect((await post("auto", { isOn: true })).json).toEqual({ isOn: true });
  });
});
