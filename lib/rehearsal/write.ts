/** Writes a rehearsal as a run folder: all of it or nothing. */
import { existsSync, closeSync, mkdirSync, mkdtempSync, openSync, readdirSync, renameSync, rmSync, rmdirSync, statSync, writeFileSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { InputError } from "../base/errors.ts";
import type { PasteMarkMessage, ProfileMessage } from "../model/messages.ts";
import { openArrowStream, type ProfileStream } from "../sensing/arrowWrite.ts";
import type { FrameTruth } from "./camera/frameTruth.ts";
import { encodePng } from "./camera/png.ts";
import { withLayerColumn } from "./profiler.ts";
import type { Rehearsal } from "./simulate.ts";

export type ProfileFormat = "arrow" | "ndjson";

export interface WriteOptions {
  /** Told after every so many profiles, so that a command can show that it goes on. */
  readonly onProfiles?: (profileCount: number) => void;
  /** Told after every frame. */
  readonly onFrames?: (frameCount: number) => void;
  /** Profiles of the record batches of an Arrow stream, in turn. Without it 256 each. */
  readonly batchProfiles?: readonly number[];
}
const BATCH_PROFILES = [256];

/**
 * Writes job.json, plan.csv, the profiles (of several profilers profiles.ID.…), progress.csv, rework.csv and frames where there are any, and truth.json
 * into `out`. Everything goes into a temporary folder beside it first, which is then renamed. InputError command.usage where `out` is a file or
 * a folder that holds something, and where its parent cannot be written.
 */
export function writeRunFolder(rehearsal: Rehearsal, out: string, format: ProfileFormat, options: WriteOptions = {}): void {
  const target = resolve(out);
  refuseOccupied(target, out);
  let temporary: string, folder: string;
  try {
    mkdirSync(dirname(target), { recursive: true });
    temporary = mkdtempSync(join(dirname(target), `.${basename(target)}-`));
    folder = join(temporary, "run"); // mkdtemp's own folder is private; this one has the caller's usual rights
    mkdirSync(folder);
  } catch (cause) {
    throw new InputError("command.usage", "a folder that can be made", JSON.stringify(out), { key: "--out" }, cause);
  }
  try {
    writeFileSync(join(folder, "job.json"), `${JSON.stringify(rehearsal.jobJson, null, 2)}\n`);
    writeFileSync(join(folder, "plan.csv"), rehearsal.planCsv);
    writeProfiles(rehearsal, folder, format, options);
    if (rehearsal.progress.length > 0) writeFileSync(join(folder, "progress.csv"), progressCsv(rehearsal));
    if (rehearsal.rework.length > 0) writeFileSync(join(folder, "rework.csv"), reworkCsv(rehearsal));
    if (rehearsal.pasteMark !== null) writeFileSync(join(folder, "paste.csv"), pasteCsv(rehearsal.pasteMark));
    const frames = writeFrames(rehearsal, folder, options);
    writeFileSync(join(folder, "truth.json"), truthText(rehearsal, frames));
    if (existsSync(target)) rmdirSync(target); // empty, as seen above
    renameSync(folder, target);
  } finally {
    rmSync(temporary, { recursive: true, force: true });
  }
}

function refuseOccupied(target: string, out: string): void {
  if (!existsSync(target)) return;
  if (!statSync(target).isDirectory()) throw new InputError("command.usage", "a folder to be made", `the file ${JSON.stringify(out)}`, { key: "--out" });
  const held = readdirSync(target).length;
  if (held > 0) throw new InputError("command.usage", "a new or empty folder", `${JSON.stringify(out)} with ${held} ${held === 1 ? "entry" : "entries"}`, { key: "--out" });
}

/** One file per profiler, all open while the profiles pass by once. */
function writeProfiles(rehearsal: Rehearsal, folder: string, format: ProfileFormat, { onProfiles, batchProfiles = BATCH_PROFILES }: WriteOptions): void {
  const devices = (rehearsal.jobJson.devices as { id: string; kind: string }[]).filter(({ kind }) => kind === "profiler").map(({ id }) => id);
  const { points } = rehearsal.settings, withLayer = withLayerColumn(rehearsal.settings);
  const files = new Map<string, { handle: number; stream: ProfileStream }>();
  for (const device of devices) {
    const name = devices.length === 1 ? `profiles.${format}` : `profiles.${device}.${format}`;
    const stream = format === "arrow" ? openArrowStream({ device, frame: "plan", points, withLayer, batchProfiles }) : openNdjsonStream(device, "plan");
    files.set(device, { handle: openSync(join(folder, name), "w"), stream });
  }
  try {
    let count = 0;
    for (const profile of rehearsal.profiles()) {
      const { handle, stream } = files.get(profile.device) as { handle: number; stream: ProfileStream };
      const bytes = stream.add(profile);
      if (bytes !== null) writeFileSync(handle, bytes);
      if (++count % 500 === 0) onProfiles?.(count);
    }
    for (const { handle, stream } of files.values()) writeFileSync(handle, stream.end());
  } finally {
    for (const { handle } of files.values()) closeSync(handle);
  }
}

/** frames.csv and frames/ where there is a camera; gives the frames' truth. */
function writeFrames(rehearsal: Rehearsal, folder: string, { onFrames }: WriteOptions): FrameTruth[] {
  const lines = ["file,device,t_s,tx,ty,tz,qx,qy,qz,qw,frame"], truths: FrameTruth[] = [];
  for (const { file, device, tS, pose, frame, truth } of rehearsal.frames()) {
    if (truths.length === 0) mkdirSync(join(folder, "frames"));
    writeFileSync(join(folder, file), encodePng(frame));
    lines.push([file, device, decimal(tS), ...pose, "plan"].join(","));
    truths.push(truth);
    onFrames?.(truths.length);
  }
  if (truths.length > 0) writeFileSync(join(folder, "frames.csv"), `${lines.join("\n")}\n`);
  return truths;
}

/** The same stream as lines of text, heights to 1e-5 mm; gives bytes whenever a megabyte is full. */
export function openNdjsonStream(device: string, frame: string): ProfileStream {
  const encoder = new TextEncoder();
  let text = `${JSON.stringify({ device, frame })}\n`;
  const take = (): Uint8Array => {
    const bytes = encoder.encode(text);
    text = "";
    return bytes;
  };
  return {
    add(profile) {
      text += profileLine(profile);
      return text.length > 1 << 20 ? take() : null;
    },
    end: take,
  };
}

function profileLine(profile: ProfileMessage): string {
  const zMm = Array.from(profile.zMm, (z) => (Number.isNaN(z) ? null : Math.round(z * 1e5) / 1e5));
  const layer = profile.layer === null ? {} : { layer: profile.layer };
  return `${JSON.stringify({ seq: profile.seq, tS: profile.tS, pose: profile.pose, ...layer, zMm })}\n`;
}

function progressCsv(rehearsal: Rehearsal): string {
  const lines = rehearsal.progress.map((row) => `${decimal(row.tS)},${row.layer},${row.strand},${decimal(row.sMm)},${row.event}`);
  return `${["t_s,layer,strand,s_mm,event", ...lines].join("\n")}\n`;
}

function reworkCsv(rehearsal: Rehearsal): string {
  const lines = rehearsal.rework.map((row) => `${decimal(row.tS)},${row.layer},${row.strand},${row.fromMm},${row.toMm},${row.who},${row.reason}`);
  return `${["t_s,layer,strand,from_mm,to_mm,who,reason", ...lines].join("\n")}\n`;
}

function pasteCsv({ tS, device, file, rectPx, who }: PasteMarkMessage): string {
  return `t_s,device,file,u0_px,v0_px,u1_px,v1_px,who\n${[decimal(tS), device, file, ...rectPx, who].join(",")}\n`;
}

/** To 1e-6, without trailing zeros. */
function decimal(x: number): string {
  return (Math.round(x * 1e6) / 1e6).toString();
}

/** One station and one frame a line: long files stay readable. */
function truthText(rehearsal: Rehearsal, frames: readonly FrameTruth[]): string {
  const { stations, ...rest } = rehearsal.truth;
  const head = JSON.stringify(rest, null, 1).replace(/\n}$/, "");
  const list = (name: string, rows: readonly unknown[]): string => `,\n "${name}": [\n${rows.map((row) => JSON.stringify(row)).join(",\n")}\n ]`;
  return `${head}${list("stations", stations)}${frames.length > 0 ? list("frames", frames) : ""}\n}\n`;
}
