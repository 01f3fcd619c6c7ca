import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import type { Message, ProfileMessage } from "../../lib/model/messages.ts";
import { JOURNAL_START, JournalReader, JournalWriter } from "../../lib/source/journal.ts";
import { encodeProfiles, encodeRows, type JournalRecord, type RowMessage } from "../../lib/source/journalRecord.ts";
import { tempFolder } from "../support/tempStore.ts";

const folder = tempFolder();
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const profile = (seq: number, points: number, more: Partial<ProfileMessage> = {}): ProfileMessage => ({
  kind: "profile", device: "profiler-1", frame: "plan", seq, tS: 1 / 3 + seq, pose: [0.1, -2, 60, 0, 0, Math.SQRT1_2, Math.SQRT1_2],
  zMm: Float32Array.from({ length: points }, (_, i) => (i % 5 === 3 ? Number.NaN : -60 + i / 7)), xMm: null, layer: null, ...more,
});
const ROWS: RowMessage[] = [
  { kind: "progress", tS: 0.1 + 0.2, layer: 1, strand: 2, sMm: 1e-7, event: "start" },
  { kind: "pose", tS: 2.5, device: "tracker-1", from: "marker", to: "base", pose: null },
  { kind: "rework", tS: 3, layer: 1, strand: 2, fromMm: 0.5, toMm: 4.25, who: "Zoë, \"Ö\"\n2", reason: "" },
  { kind: "pasteMark", tS: 3.5, device: "camera-1", file: "frames/1.png", rectPx: [0.25, 1, 9.75, 1e3], who: "Zoë" },
];
const RECORDS = [encodeProfiles([profile(0, 7), profile(1, 7)]), encodeRows(ROWS), encodeProfiles([profile(2, 4, { xMm: Float32Array.of(0, 0.5, 1.25, 9), layer: 3 })])];

async function written(name: string): Promise<{ readonly path: string; readonly bytes: Buffer; readonly ends: readonly number[] }> {
  const path = join(folder, name), writer = await JournalWriter.open(path, () => undefined), ends: number[] = [];
  for (const record of RECORDS) {
    await writer.append(record);
    ends.push(writer.bytes);
  }
  await writer.flush();
  await writer.close();
  return { path, bytes: readFileSync(path), ends };
}

async function readAll(path: string): Promise<Message[]> {
  const reader = await JournalReader.open(path), out: Message[] = [];
  for await (const { record } of reader.records()) {
    for (const message of messagesOf(record)) out.push(message.kind === "profile" ? { ...message, zMm: message.zMm.slice(), xMm: message.xMm?.slice() ?? null } : message);
  }
  await reader.close();
  return out;
}

const messagesOf = (record: JournalRecord): readonly Message[] => (record.kind === "rows" ? record.rows : record.profiles);

describe("a journal", () => {
  it("gives back every message bit for bit: NaN, places of their own, layers, missing poses, quotes and line feeds", async () => {
    const { path } = await written("whole");
    expect(await readAll(path)).toEqual([profile(0, 7), profile(1, 7), ...ROWS, profile(2, 4, { xMm: Float32Array.of(0, 0.5, 1.25, 9), layer: 3 })]);
  });

  it("cut at any byte of its last record is read up to the record before, and going on writes over the torn one", async () => {
    const { bytes, ends } = await written("cut");
    const [, second = 0, third = 0] = ends;
    for (let cut = second; cut < third; cut += cut - second < 40 ? 1 : 37) {
      const path = join(folder, "torn");
      writeFileSync(path, bytes.subarray(0, cut));
      const heard: JournalRecord[] = [];
      const writer = await JournalWriter.open(path, (record) => heard.push(record));
      expect(heard).toHaveLength(2);
      expect(writer.bytes).toBe(second);
      await writer.append(RECORDS[2] as Uint8Array);
      await writer.flush();
      await writer.close();
      expect(readFileSync(path).equals(bytes)).toBe(true);
      rmSync(path);
    }
  });

  it("with one bit flipped anywhere in its second record is read up to the first", async () => {
    const { path, bytes, ends } = await written("flipped");
    const [first = 0, second = 0] = ends;
    for (let at = first; at < second; at += 11) {
      const copy = Buffer.from(bytes);
      copy[at] = (copy[at] as number) ^ (1 << at % 8);
      writeFileSync(path, copy);
      expect((await readAll(path)).filter(({ kind }) => kind !== "profile")).toEqual([]);
    }
  });

  it("ends at the byte that it is told, and begins where it is told", async () => {
    const { path, ends } = await written("ended");
    const reader = await JournalReader.open(path), [first = 0, second = 0] = ends;
    expect((await reader.read(JOURNAL_START, first - 1))).toBeNull();
    expect((await reader.read(JOURNAL_START, first))?.next).toBe(first);
    expect((await reader.read(first, second))?.record).toEqual({ kind: "rows", rows: ROWS });
    await reader.close();
  });

  it("that has only just begun, or not even that, is made anew", async () => {
    for (const length of [0, 5, JOURNAL_START - 1]) {
      const path = join(folder, `young-${length}`);
      writeFileSync(path, readFileSync((await written(`old-${length}`)).path).subarray(0, length));
      const writer = await JournalWriter.open(path, () => { throw new Error("nothing is there"); });
      expect(writer.bytes).toBe(JOURNAL_START);
      await writer.close();
    }
  });
});
