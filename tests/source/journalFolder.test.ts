import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Message, ProfileMessage } from "../../lib/model/messages.ts";
import { JournalWriter } from "../../lib/source/journal.ts";
import { writeJournalFolder } from "../../lib/source/journalFolder.ts";
import { encodeProfiles, encodeRows, type RowMessage } from "../../lib/source/journalRecord.ts";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { ROOT } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

let folder = "";
beforeEach(() => { folder = tempFolder(); });
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const EXAMPLE = join(ROOT, "fixtures", "example-run");
const planText = readFileSync(join(EXAMPLE, "plan.csv"), "utf8");
const job = JSON.parse(readFileSync(join(EXAMPLE, "job.json"), "utf8")) as { devices: object[] };
const DEVICES = [
  { id: "profiler-1", kind: "profiler", points: 3, x0Mm: -0.1, dxMm: 0.1, sigmaZMm: 0.005 }, { id: "p 2", kind: "profiler", points: 4, x0Mm: -0.15, dxMm: 0.1, sigmaZMm: 0.006 },
  { id: "tracker-1", kind: "tracker" }, { id: "camera-1", kind: "camera", widthPx: 8, heightPx: 6, fx: 9, fy: 9, cx: 4, cy: 3, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 },
];

async function folderOf(records: readonly Uint8Array[], devices: readonly object[] = DEVICES): Promise<string> {
  const journal = join(folder, "journal"), out = join(folder, "out"), writer = await JournalWriter.open(journal, () => undefined);
  for (const record of records) await writer.append(record);
  const end = writer.bytes;
  await writer.close();
  mkdirSync(out);
  await writeJournalFolder({ journal, framesRoot: folder, end, jobText: JSON.stringify({ ...job, devices }), planFile: "plan.csv", planText, out });
  return out;
}

/** Everything that the folder holds, in order; profiles copied. */
async function messagesIn(out: string): Promise<Message[]> {
  const all: Message[] = [];
  for await (const batch of (await openRunFolder(out)).messages()) for (const each of batch) all.push(each.kind === "profile" ? { ...each, zMm: each.zMm.slice(), xMm: each.xMm?.slice() ?? null } : each);
  return all;
}

const profile = (seq: number, tS: number, more: Partial<ProfileMessage> = {}): ProfileMessage => ({
  kind: "profile", device: "profiler-1", frame: "plan", seq, tS, pose: [seq / 3, 0.25, 60, 0, 0, Math.SQRT1_2, Math.SQRT1_2], zMm: Float32Array.of(-60, Number.NaN, -59.1 - seq / 7), xMm: null, layer: null, ...more,
});
const second = (seq: number, tS: number): ProfileMessage => profile(seq, tS, { device: "p 2", zMm: Float32Array.of(1, 2, 3, seq) });
const progress = (tS: number, sMm: number, event: "start" | "update" | "end"): RowMessage => ({ kind: "progress", tS, layer: 1, strand: 1, sMm, event });

describe("a journal as a run folder", () => {
  it("holds every message bit for bit in the order of time, kind, device and sequence, however late it came", async () => {
    const late = [profile(7, 3.5), profile(2, 1.25), profile(3, 1.25)], rows: RowMessage[] = [progress(2, 6, "end"), progress(0.1 + 0.2, 0, "start"), progress(1.25, 1e-7, "update")];
    const signal: RowMessage = { kind: "signal", tS: 1.25, name: "pressureKPa, left", value: -1e-9 }, lost: RowMessage = { kind: "pose", tS: 1.25, device: "tracker-1", from: "marker", to: "base", pose: null };
    const rework: RowMessage = { kind: "rework", tS: 4, layer: 1, strand: 1, fromMm: 0.5, toMm: 2, who: "Zoë \"Ö\"", reason: "two\nlines, and a comma" };
    const out = await folderOf([encodeProfiles(late), encodeRows([rework, signal]), encodeRows(rows), encodeProfiles([second(9, 1.25), second(4, 0.5)]), encodeRows([lost])]);
    expect(await messagesIn(out)).toEqual([rows[1], second(4, 0.5), rows[2], lost, signal, second(9, 1.25), late[1], late[2], rows[0], late[0], rework]);
    expect(readFileSync(join(out, "profiles.p 2.arrow")).subarray(0, 4)).toEqual(Buffer.from([255, 255, 255, 255]));
  });

  it("is the same folder whatever order and pieces it came in", async () => {
    const all = Array.from({ length: 40 }, (_, i) => profile(i, 1 + i / 16)), one = await folderOf([encodeRows([progress(1, 0, "start")]), encodeProfiles(all)], DEVICES.slice(0, 1));
    const bytes = readFileSync(join(one, "profiles.arrow"));
    rmSync(folder, { recursive: true });
    mkdirSync(folder);
    const other = await folderOf([encodeProfiles(all.slice(25)), encodeProfiles(all.slice(0, 9)), encodeRows([progress(1, 0, "start")]), encodeProfiles(all.slice(9, 25))], DEVICES.slice(0, 1));
    expect(readFileSync(join(other, "profiles.arrow")).equals(bytes)).toBe(true);
  });

  it.each([
    ["places of their own", [profile(0, 1, { xMm: Float32Array.of(0, 0.1, 0.35) }), profile(1, 2, { zMm: Float32Array.of(5, 6), xMm: Float32Array.of(1, 2) })]],
    ["a layer with some only", [profile(0, 1, { layer: 1 }), profile(1, 2)]],
    ["a sequence above 2^31", [profile(2 ** 31, 1), profile(2 ** 40, 2)]],
  ])("profiles with %s go to NDJSON and come back bit for bit", async (_, profiles) => {
    const out = await folderOf([encodeProfiles(profiles)], DEVICES.slice(0, 1));
    expect(readFileSync(join(out, "profiles.ndjson"), "utf8").split("\n")[0]).toBe(`{"device":"profiler-1","frame":"plan"}`);
    expect(await messagesIn(out)).toEqual(profiles);
  });

  it("a layer with each profile stays in Arrow", async () => {
    const profiles = [profile(0, 1, { layer: 1 }), profile(1, 2, { layer: 1 })], out = await folderOf([encodeProfiles(profiles)], DEVICES.slice(0, 1));
    expect(await messagesIn(out)).toEqual(profiles);
    expect(readFileSync(join(out, "profiles.arrow")).length).toBeGreaterThan(0);
  });

  it("takes the images of its frames along, and what a person marked in them", async () => {
    const image = readFileSync(join(ROOT, "docs", "run.png")), frame: RowMessage = { kind: "frame", tS: 1.5, device: "camera-1", file: "frames/a/1.png", pose: [0, 0, 90, 0, 0, 0, 1], frame: "plan" };
    mkdirSync(join(folder, "frames", "a"), { recursive: true });
    writeFileSync(join(folder, frame.file), image);
    const mark: RowMessage = { kind: "pasteMark", tS: 1.5, device: "camera-1", file: "frames/a/1.png", rectPx: [-0.5, 0.125, 3.5, 4], who: "Zoë, \"Ö\"" };
    const out = await folderOf([encodeRows([frame]), encodeProfiles([profile(0, 1)]), encodeRows([mark])]);
    expect(await messagesIn(out)).toEqual([profile(0, 1), mark, frame]);
    expect(readFileSync(join(out, frame.file)).equals(image)).toBe(true);
  });
});
