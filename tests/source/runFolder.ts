/** Small run folders for the readers' tests: one flat layer or two, invented numbers. */
import { Field, FixedSizeList, Float32, Float64, Int32, List, makeData, RecordBatch, RecordBatchFileWriter, RecordBatchStreamWriter, Schema, Struct, Table, type Data } from "apache-arrow";
import { mkdtemp, rm, writeFile, mkdir } from "node:fs/promises";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterEach } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { Message, ProfileMessage } from "../../lib/model/messages.ts";

export const POINTS = 5;

export function jobJson(change: (job: Record<string, any>) => void = () => undefined): Record<string, unknown> {
  const job = {
    contract: "aslaid/1", name: "foam block", plan: { file: "plan.csv" }, stationSpacingMm: 0.5,
    nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 },
    material: { name: "test paste", beadShape: "stadium" },
    devices: [
      { id: "profiler-1", kind: "profiler", points: POINTS, x0Mm: -2, dxMm: 1.1, sigmaZMm: 0.012 },
      { id: "profiler-2", kind: "profiler", points: POINTS, x0Mm: -3, dxMm: 1.2, sigmaZMm: 0.013 },
      { id: "tracker-1", kind: "tracker", sigmaMm: 0.07 }, { id: "arm-1", kind: "arm" },
      { id: "camera-1", kind: "camera", widthPx: 12, heightPx: 9, fx: 14, fy: 15, cx: 6, cy: 4.5, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 },
    ],
  };
  change(job);
  return job;
}

export const PLAN_HEAD = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s";
/** Strands 1 and 2 of layer 1, 10 and 8 mm long. */
export const PLAN_CSV = [PLAN_HEAD,
  "1,1,0,0,0.5,0,0,1,1.0,0.5,6,2.7", "1,1,10,0,0.5,0,0,1,1.0,0.5,6,2.7",
  "1,2,0,3,0.5,0,0,1,1.0,0.5,6,2.7", "1,2,8,3,0.5,0,0,1,1.0,0.5,6,2.7"].join("\n") + "\n";
/** The same with a strand of 7 mm above. */
export const PLAN_TWO_LAYERS = `${PLAN_CSV}2,1,0,0,1.0,0,0,1,1.0,0.5,6,2.7\n2,1,7,0,1.0,0,0,1,1.0,0.5,6,2.7\n`;

export interface ProfileRow { seq: number; tS: number; pose: number[]; zMm: (number | null)[]; xMm?: (number | null)[]; layer?: number }

/** Profile `seq` at t = seq · stepS + 1 s; sample 3 of every second one is missing. */
export function profileRow(seq: number, stepS = 0.25): ProfileRow {
  const zMm = Array.from({ length: POINTS }, (_, i) => (seq % 2 === 1 && i === 3 ? null : Math.fround(-59.5 - seq * 0.01 - i * 0.1)));
  return { seq, tS: 1 + seq * stepS, pose: [seq * 0.3, 0.2, 60, 0, 0, 0, 1], zMm };
}

export function profileRows(count: number): ProfileRow[] {
  return Array.from({ length: count }, (_, seq) => profileRow(seq));
}

export function ndjson(rows: readonly object[], header: object = { device: "profiler-1", frame: "plan" }): string {
  return [header, ...rows].map((row) => `${JSON.stringify(row)}\n`).join("");
}

/** An Arrow stream or file of `rows`, cut into batches of the given sizes (the last size repeats). */
export function arrow(rows: readonly ProfileRow[], options: { sizes?: readonly number[]; format?: "stream" | "file"; metadata?: Record<string, string>; missing?: "nan" | "null" } = {}): Uint8Array {
  const { sizes = [3], format = "stream", metadata = { device: "profiler-1", frame: "plan" }, missing = "nan" } = options;
  const hasX = rows.some((row) => row.xMm !== undefined);
  const hasLayer = rows.some((row) => row.layer !== undefined);
  const samples = hasX ? new List(new Field("item", new Float32(), true)) : new FixedSizeList(rows[0]?.zMm.length ?? POINTS, new Field("item", new Float32(), true));
  const fields = [
    new Field("seq", new Int32(), false), new Field("tS", new Float64(), false),
    new Field("pose", new FixedSizeList(7, new Field("item", new Float64(), false)), false), new Field("zMm", samples, false),
    ...(hasX ? [new Field("xMm", samples, false)] : []), ...(hasLayer ? [new Field("layer", new Int32(), true)] : []),
  ];
  const schema = new Schema(fields, new Map(Object.entries(metadata)));
  const writer: RecordBatchStreamWriter = format === "file" ? (new RecordBatchFileWriter() as never) : new RecordBatchStreamWriter();
  let from = 0;
  for (let b = 0; from < rows.length; b++) {
    const size = sizes[Math.min(b, sizes.length - 1)] as number;
    writer.write(batchOf(schema, rows.slice(from, from + size), missing));
    from += size;
  }
  if (rows.length === 0) writer.write(new Table(schema) as never);
  writer.finish();
  return writer.toUint8Array(true);
}

function batchOf(schema: Schema, rows: readonly ProfileRow[], missing: "nan" | "null"): RecordBatch {
  const length = rows.length;
  const children = schema.fields.map((field): Data => {
    const values = (key: "zMm" | "xMm"): (number | null)[] => rows.flatMap((row) => row[key] ?? []);
    switch (field.name) {
      case "seq": return makeData({ type: new Int32(), data: Int32Array.from(rows, (row) => row.seq) });
      case "tS": return makeData({ type: new Float64(), data: Float64Array.from(rows, (row) => row.tS) });
      case "layer": return makeData({ type: new Int32(), data: Int32Array.from(rows, (row) => row.layer ?? 0) });
      case "pose": return makeData({ type: field.type as FixedSizeList, length, child: makeData({ type: new Float64(), data: Float64Array.from(rows.flatMap((row) => row.pose)) }) });
      default: {
        const key = field.name as "zMm" | "xMm";
        const child = floatData(values(key), missing);
        if (field.type instanceof FixedSizeList) return makeData({ type: field.type, length, child });
        const valueOffsets = new Int32Array(length + 1);
        rows.forEach((row, i) => { valueOffsets[i + 1] = (valueOffsets[i] as number) + (row[key]?.length ?? 0); });
        return makeData({ type: field.type as List, length, valueOffsets, child });
      }
    }
  });
  return new RecordBatch(schema, makeData({ type: new Struct(schema.fields), length, children }));
}

function floatData(values: readonly (number | null)[], missing: "nan" | "null"): Data {
  const data = Float32Array.from(values, (value) => value ?? (missing === "nan" ? Number.NaN : 77));
  if (missing === "nan") return makeData({ type: new Float32(), data });
  const nullBitmap = new Uint8Array(Math.ceil(values.length / 8));
  values.forEach((value, i) => { if (value !== null) nullBitmap[i >> 3] = (nullBitmap[i >> 3] as number) | (1 << (i & 7)); });
  return makeData({ type: new Float32(), data, nullBitmap, nullCount: values.filter((value) => value === null).length });
}

const made: string[] = [];
afterEach(async () => {
  for (const folder of made.splice(0)) await rm(folder, { recursive: true, force: true });
});

/** Writes a folder of the given files (job and plan unless they are among them; null leaves one out); it is removed after the test. */
export async function runFolder(files: Readonly<Record<string, string | Uint8Array | object | null>>): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), "aslaid-run-"));
  made.push(folder);
  for (const [name, content] of Object.entries({ "job.json": jobJson(), "plan.csv": PLAN_CSV, ...files })) {
    if (content === null) continue;
    await mkdir(dirname(join(folder, name)), { recursive: true });
    await writeFile(join(folder, name), typeof content === "string" || content instanceof Uint8Array ? content : JSON.stringify(content, null, 2));
  }
  return folder;
}

/** All messages, with copies of their arrays. */
export async function collect(batches: AsyncIterable<readonly Message[]>): Promise<Message[]> {
  const out: Message[] = [];
  for await (const batch of batches) {
    for (const message of batch) out.push(message.kind === "profile" ? { ...message, zMm: message.zMm.slice(), xMm: message.xMm?.slice() ?? null } : message);
  }
  return out;
}

export function profilesOf(messages: readonly Message[]): ProfileMessage[] {
  return messages.filter((message): message is ProfileMessage => message.kind === "profile");
}

/** The InputError that `work` ends in. */
export async function inputError(work: () => unknown): Promise<InputError> {
  try {
    await work();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error("expected an InputError, got none");
}
