/** A small print for the wire: what a recorded folder holds, as bodies of every kind. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import sharp from "sharp";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import { openArrowStream } from "../../lib/sensing/arrowWrite.ts";
import { ARROW_TYPE, decodeWireProfiles } from "../../lib/sensing/wireProfiles.ts";
import { command } from "./recorded.ts";
import { bodiesOf } from "./wireClient.ts";
import type { GoodBody } from "./wireFuzz.ts";

export interface NewRun { readonly job: Record<string, unknown>; readonly planText: string; readonly planFormat: string }

/** A rehearsed print of two short strands with a gap, in NDJSON, whose job also has a camera, a tracker, an arm and a second profiler. */
export interface WirePrint {
  /** As it was recorded; job.json with all devices. */
  readonly newRun: NewRun;
  readonly folder: string;
  /** What was recorded, in `pieces` steps of time. */
  readonly recorded: readonly GoodBody[];
  /** One body of each kind beside it: rows of every stream, Arrow, frames. */
  readonly others: readonly GoodBody[];
}

export const POSE = { tx: 0, ty: 0, tz: 60, qx: 0, qy: 0, qz: 0, qw: 1 } as const;
export const BOUNDARY = "----a5laid7Boundary";

/** A body of frames: its row and its image. */
export function frameBody(meta: object | string, image: Uint8Array, path = "frames"): GoodBody {
  const part = (head: string): Buffer => Buffer.from(`--${BOUNDARY}\r\nContent-Disposition: form-data; ${head}\r\n\r\n`);
  const bytes = Buffer.concat([
    part(`name="meta"`), Buffer.from(typeof meta === "string" ? meta : JSON.stringify(meta)), Buffer.from("\r\n"),
    part(`name="image"; filename="x.png"\r\nContent-Type: image/png`), image, Buffer.from(`\r\n--${BOUNDARY}--\r\n`),
  ]);
  return { path, type: `multipart/form-data; boundary=${BOUNDARY}`, bytes: new Uint8Array(bytes) };
}

/** A small picture; another `grey`, other bytes. */
export async function smallPng(grey = 90): Promise<Uint8Array> {
  return new Uint8Array(await sharp({ create: { width: 8, height: 6, channels: 3, background: { r: grey, g: grey, b: 10 } } }).png().toBuffer());
}

export const jsonBody = (path: string, value: unknown): GoodBody => ({ path, type: "application/json", bytes: new Uint8Array(Buffer.from(JSON.stringify(value))) });

/** Makes it in `folder`/run. */
export async function makeWirePrint(folder: string, pieces: number, name = "run"): Promise<WirePrint> {
  const out = (await command("rehearse", "--out", join(folder, name), "--seed", "6", "--strands", "2", "--length", "6", "--points", "96", "--dx", "0.08", "--fault", "gap@1/2/2-4", "--format", "ndjson")).out.trim();
  const recorded = JSON.parse(readFileSync(join(out, "job.json"), "utf8")) as { devices: { id: string }[] };
  const profiler = recorded.devices[0] as { id: string };
  const job = { ...recorded, devices: [
    ...recorded.devices, { ...profiler, id: "profiler-2" }, { id: "tracker-1", kind: "tracker", sigmaMm: 0.07 }, { id: "arm-1", kind: "arm" },
    { id: "camera-1", kind: "camera", widthPx: 8, heightPx: 6, fx: 14, fy: 14, cx: 4, cy: 3, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 },
  ] };
  const bodies = bodiesOf(out, pieces).map(({ path, type, text }): GoodBody => ({ path, type, bytes: new Uint8Array(Buffer.from(text)) }));
  const devices = resolveJob(structuredClone(job), "job.json").job.devices;
  const arrow = bodies.filter(({ path }) => path === "profiles").map(({ path, bytes }): GoodBody => ({ path, type: ARROW_TYPE, bytes: arrowOf(decodeWireProfiles(bytes, "ndjson", devices).items.map((item) => item.message as ProfileMessage)) }));
  return { newRun: { job, planText: readFileSync(join(out, "plan.csv"), "utf8"), planFormat: "csv" }, folder: out, recorded: bodies, others: [...arrow, ...rowBodies(), ...await frames()] };
}

function arrowOf(profiles: readonly ProfileMessage[]): Uint8Array {
  const stream = openArrowStream({ device: "profiler-2", frame: "plan", points: profiles[0]?.zMm.length ?? 0, withLayer: false, batchProfiles: [3] });
  const parts = profiles.map((profile) => stream.add(profile)).filter((part) => part !== null).map((part) => part.slice());
  return new Uint8Array(Buffer.concat([...parts, stream.end()]));
}

function rowBodies(): GoodBody[] {
  const times = [0.51, 0.62, 0.73];
  return [
    jsonBody("poses", times.map((tS) => ({ tS, device: "tracker-1", ...POSE, from: "marker", to: "base", valid: 1 }))),
    jsonBody("poses", times.map((tS) => ({ tS: tS + 0.01, device: "arm-1", ...POSE, from: "tool", to: "base", valid: false }))),
    jsonBody("signals", times.map((tS) => ({ tS, name: "pressureKPa", value: 210 + tS }))),
    jsonBody("rework", [{ tS: 1e6, layer: 1, strand: 1, fromMm: 1, toMm: 2.5, who: "Zoë \"Z\"", reason: "a, b" }]),
  ];
}

async function frames(): Promise<GoodBody[]> {
  return Promise.all([["frames/a.png", 0.9, 70], ["frames/deep/b 1.png", 1.1, 130]].map(async ([file, tS, grey]) =>
    frameBody({ file, device: "camera-1", tS, ...POSE, frame: "plan" }, await smallPng(grey as number))));
}
