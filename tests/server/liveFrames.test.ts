/** Frames of a print that goes on, through the real threads: a rehearsed print with a gap, seed 5, seen by a camera of 320 × 240 pixels. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Alert } from "../../lib/model/alert.ts";
import type { LiveEvents, LiveFrames } from "../../lib/model/liveEvent.ts";
import type { InspectResult } from "../../lib/model/result.ts";
import { command, ownData } from "../support/recorded.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";
import { EventReader } from "../support/wireEvents.ts";
import { frameBody } from "../support/wirePrint.ts";
import { bundleWire, startWire, type WireBundle, type WireServer } from "../support/wireServer.ts";

const data = ownData();
let bundle: WireBundle, server: WireServer, client: WireClient, folder = "", token = "";

beforeAll(async () => {
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "3", "--length", "10", "--points", "300", "--dx", "0.05", "--fault", "gap@1/2/3-7", "--format", "ndjson",
    "--camera", "--camera-size", "320x240", "--camera-scale", "9", "--camera-every", "2")).out.trim();
  token = (await command("token", "add", "cell")).out.trim();
  bundle = await bundleWire();
  server = await startWire(bundle, join(data.place, "data"));
  client = new WireClient(() => server.url, token);
}, 120_000);
afterAll(async () => {
  await server.stop();
  bundle.remove();
  await data.restore();
});

const TEXTS = ["file", "device", "frame"];
const frameRows = (): Record<string, string | number>[] => {
  const [head = "", ...lines] = readFileSync(join(folder, "frames.csv"), "utf8").trim().split("\n"), keys = head.split(",").map((key) => key.replace(/_([a-z])/g, (_, c: string) => c.toUpperCase()));
  return lines.map((line) => Object.fromEntries(line.split(",").map((cell, i) => [keys[i] as string, TEXTS.includes(keys[i] as string) ? cell : Number(cell)])));
};

describe("a strand with a gap of 4 mm that no profile has shown yet", () => {
  it("is found by the camera alone while the print goes on, as watch; frames are counted; the settled result is that of the recording with all of them", async () => {
    const runId = await client.makeRun(folder, "camera"), events = await EventReader.open(server.url, runId, token), rows = frameRows();
    const bodies = bodiesOf(folder, 12), second = bodies.findIndex(({ path, text }) => path === "progress" && /"strand":2/.test(text)), unseen = bodies.filter(({ path }, i) => path === "profiles" && i >= second);
    for (const body of bodies.filter((each) => !unseen.includes(each))) await client.send(runId, body);
    const sendFrame = async (row: object, image: Uint8Array): Promise<unknown> => { const { type, bytes } = frameBody(row, image); return (await client.call("POST", `/runs/${runId}/frames`, { type, text: bytes as Uint8Array<ArrayBuffer> })).json; };
    const newest = (): LiveFrames | undefined => events.of<LiveFrames>("frame").at(-1);
    for (const row of rows) expect(await sendFrame(row, readFileSync(join(folder, row["file"] as string)))).toEqual({ accepted: 1, duplicates: 0, rejected: [] });
    await events.until(() => newest()?.newest?.file === rows.at(-1)?.["file"], 60_000);
    const told = newest() as LiveFrames;
    expect([told.keptCount, told.measuredCount + told.skippedCount, told.newest?.used, told.newest?.reason]).toEqual([rows.length, rows.length, true, null]);
    const gap = (): { readonly file?: string } | undefined => events.of<LiveEvents["finding"]>("finding").filter(({ strand }) => strand === 2).at(-1)?.findings.find(({ kind }) => kind === "gap");
    await events.until(() => gap()?.file === told.newest?.file, 20_000); // told anew with each frame that shows it
    expect(gap()).toMatchObject({ severity: "watch", file: told.newest?.file, fromMm: expect.closeTo(3, 0), toMm: expect.closeTo(7, 0), worst: { metric: "pasteFraction", limit: 0.25 } });
    await events.until(() => events.of<{ readonly alert: Alert | null }>("alert").some(({ alert }) => alert?.cause.kind === "gap" && alert.priority === "low"), 20_000);

    const bad = { ...rows.at(-1), file: "frames/broken.png", tS: (rows.at(-1)?.["tS"] as number) + 1 };
    expect(await sendFrame(bad, new Uint8Array([1, 2, 3]))).toEqual({ accepted: 1, duplicates: 0, rejected: [] });
    await events.until(() => newest()?.newest?.reason === "unreadable", 20_000);
    events.close();

    for (const body of unseen) await client.send(runId, body);
    expect((await client.call("POST", `/runs/${runId}/finish`)).status).toBe(200);
    const settled = (await client.call("GET", `/runs/${runId}/result`)).json as InspectResult, recorded = JSON.parse((await command("inspect", folder)).out) as InspectResult;
    expect(settled.frames.at(-1)).toMatchObject({ file: "frames/broken.png", used: false, reason: "unreadable", stretches: [], bodies: [] });
    expect(settled.warnings).toEqual([{ code: "frame.unreadable", message: "frames/broken.png is kept and not measured: it is neither PNG nor JPEG", file: "frames.csv" }]);
    expect({ ...settled, frames: settled.frames.slice(0, -1), warnings: [] }).toEqual(recorded);
    expect(recorded.findings.map(({ kind }) => kind)).toEqual(["gap"]);
    expect(server.complaints()).toBe("");
  }, 120_000);
});
