/** From a journal to the run folder that was recorded with it: everything received, nothing twice, in the order of messages. */
import { once } from "node:events";
import { createWriteStream, type WriteStream } from "node:fs";
import { link, mkdir, copyFile, writeFile } from "node:fs/promises";
import { dirname, join } from "node:path";
import { snakeCase } from "../sensing/fields.ts";
import { openArrowStream } from "../sensing/arrowWrite.ts";
import { ROW_KEYS } from "../sensing/rows.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { JOURNAL_START, JournalReader } from "./journal.ts";
import type { JournalRecord, RowMessage } from "./journalRecord.ts";
import { compareMessages } from "./merge.ts";

export interface JournalFolder {
  /** The journal, and where its images lie. */
  readonly journal: string;
  readonly framesRoot: string;
  /** Bytes of the journal that count. */
  readonly end: number;
  /** The job as it came, and its plan's file name and text. */
  readonly jobText: string;
  readonly planFile: string;
  readonly planText: string;
  /** An empty folder. */
  readonly out: string;
}

/** Where every profile of a device lies. */
interface DeviceIndex {
  readonly frame: string;
  readonly tS: number[];
  readonly seq: number[];
  readonly at: number[]; // byte offset of the record
  readonly row: number[];
  points: number; // −1: differs
  withX: boolean;
  layered: number;
}

/** Profiles an Arrow batch holds at most, and its bytes about. */
const BATCH_PROFILES = 256, BATCH_BYTES = 16 * 1024 * 1024;
/** Arrow's sequence column holds whole numbers up to this. */
const INT32_MAX = 2 ** 31 - 1;

/** Writes job, plan, streams and images into `out`, flushed by the caller. Profiles are read again from where they lie: memory holds a batch and 32 bytes a profile. */
export async function writeJournalFolder({ journal, framesRoot, end, jobText, planFile, planText, out }: JournalFolder): Promise<void> {
  const reader = await JournalReader.open(journal);
  try {
    await writeFile(join(out, "job.json"), jobText);
    await mkdir(dirname(join(out, planFile)), { recursive: true });
    await writeFile(join(out, planFile), planText);
    const devices = new Map<string, DeviceIndex>(), rows: RowMessage[] = [];
    for await (const { at, record } of reader.records(JOURNAL_START, end)) takeRecord(record, at, devices, rows);
    await writeRows(out, rows.sort(compareMessages));
    for (const row of rows) if (row.kind === "frame") await copyImage(join(framesRoot, row.file), join(out, row.file));
    for (const [device, index] of devices) await writeProfiles(reader, out, device, index, devices.size);
  } finally {
    await reader.close();
  }
}

function takeRecord(record: JournalRecord, at: number, devices: Map<string, DeviceIndex>, rows: RowMessage[]): void {
  if (record.kind === "rows") {
    for (const row of record.rows) rows.push(row);
    return;
  }
  record.profiles.forEach((profile, row) => {
    let index = devices.get(profile.device);
    if (index === undefined) devices.set(profile.device, index = { frame: profile.frame, tS: [], seq: [], at: [], row: [], points: profile.zMm.length, withX: profile.xMm !== null, layered: 0 });
    index.tS.push(profile.tS);
    index.seq.push(profile.seq);
    index.at.push(at);
    index.row.push(row);
    if (profile.zMm.length !== index.points) index.points = -1;
    if (profile.xMm !== null) index.withX = true;
    if (profile.layer !== null) index.layered++;
  });
}

async function copyImage(from: string, to: string): Promise<void> {
  await mkdir(dirname(to), { recursive: true });
  await link(from, to).catch(() => copyFile(from, to));
}

const FILES: Readonly<Record<RowMessage["kind"], keyof typeof ROW_KEYS>> = { progress: "progress", rework: "rework", pasteMark: "paste", pose: "poses", signal: "signals", frame: "frames" };

async function writeRows(out: string, rows: readonly RowMessage[]): Promise<void> {
  for (const kind of Object.keys(FILES) as RowMessage["kind"][]) {
    const keys = ROW_KEYS[FILES[kind]], own = rows.filter((row) => row.kind === kind);
    if (own.length === 0) continue;
    await writeThrough(join(out, `${FILES[kind]}.csv`), function* () {
      yield `${keys.map(snakeCase).join(",")}\n`;
      for (const row of own) yield `${keys.map((key) => cellOf(row, key)).join(",")}\n`;
    }());
  }
}

const RECT_KEYS = ["u0Px", "v0Px", "u1Px", "v1Px"];
const POSE_KEYS = ["tx", "ty", "tz", "qx", "qy", "qz", "qw"];

/** A cell of a row's line. What is not valid has no pose, and zeros stand for it. */
function cellOf(row: RowMessage, key: string): string {
  const inPose = POSE_KEYS.indexOf(key);
  if (inPose >= 0 && "pose" in row) return row.pose === null ? "0" : String(row.pose[inPose]);
  if (row.kind === "pasteMark" && RECT_KEYS.includes(key)) return String(row.rectPx[RECT_KEYS.indexOf(key)]);
  if (key === "valid" && row.kind === "pose") return row.pose === null ? "0" : "1";
  const value = (row as unknown as Readonly<Record<string, string | number>>)[key] ?? "";
  if (typeof value === "number") return String(value);
  return /[",\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value;
}

async function writeThrough(path: string, parts: Iterable<string | Uint8Array> | AsyncIterable<string | Uint8Array>): Promise<void> {
  const stream: WriteStream = createWriteStream(path, { flags: "wx" });
  const failed = once(stream, "error").then(([error]): never => { throw error; });
  failed.catch(() => undefined);
  for await (const part of parts) if (!stream.write(part)) await Promise.race([once(stream, "drain"), failed]);
  stream.end();
  await Promise.race([once(stream, "close"), failed]);
}

/** Profiles by time, then sequence; in Arrow where one batch layout holds all of them, else in NDJSON. */
async function writeProfiles(reader: JournalReader, out: string, device: string, index: DeviceIndex, deviceCount: number): Promise<void> {
  const order = Uint32Array.from(index.tS.keys()).sort((a, b) => (index.tS[a] as number) - (index.tS[b] as number) || (index.seq[a] as number) - (index.seq[b] as number));
  const withLayer = index.layered === order.length;
  const isArrow = index.points > 0 && !index.withX && (withLayer || index.layered === 0) && index.seq.every((seq) => seq <= INT32_MAX);
  const name = `profiles${deviceCount === 1 ? "" : `.${device}`}.${isArrow ? "arrow" : "ndjson"}`;
  const profiles = inOrder(reader, index, order);
  await writeThrough(join(out, name), isArrow ? arrowParts(profiles, device, index, withLayer) : ndjsonParts(profiles, device, index.frame));
}

async function* inOrder(reader: JournalReader, index: DeviceIndex, order: Uint32Array): AsyncGenerator<ProfileMessage> {
  let held = -1, profiles: readonly ProfileMessage[] = [];
  for (const i of order) {
    const at = index.at[i] as number;
    if (at !== held) {
      const placed = await reader.read(at);
      if (placed === null || placed.record.kind !== "profiles") throw new TypeError(`the journal has no profiles at byte ${at}`);
      [held, profiles] = [at, placed.record.profiles];
    }
    yield profiles[index.row[i] as number] as ProfileMessage;
  }
}

async function* arrowParts(profiles: AsyncIterable<ProfileMessage>, device: string, { frame, points }: DeviceIndex, withLayer: boolean): AsyncGenerator<Uint8Array> {
  const batch = Math.max(1, Math.min(BATCH_PROFILES, Math.floor(BATCH_BYTES / (4 * points))));
  const stream = openArrowStream({ device, frame, points, withLayer, batchProfiles: [batch] });
  for await (const profile of profiles) {
    const bytes = stream.add(profile);
    if (bytes !== null) yield bytes;
  }
  yield stream.end();
}

async function* ndjsonParts(profiles: AsyncIterable<ProfileMessage>, device: string, frame: string): AsyncGenerator<string> {
  const list = (values: Float32Array): (number | null)[] => Array.from(values, (value) => (Number.isNaN(value) ? null : value));
  yield `${JSON.stringify({ device, frame })}\n`;
  for await (const { seq, tS, pose, layer, zMm, xMm } of profiles) {
    yield `${JSON.stringify({ seq, tS, pose, ...(layer === null ? {} : { layer }), ...(xMm === null ? {} : { xMm: list(xMm) }), zMm: list(zMm) })}\n`;
  }
}
