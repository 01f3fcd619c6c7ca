import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import type { Job } from "../model/job.ts";
import type { FrameMessage, Message, PasteMarkMessage, PoseMessage, ProgressMessage, ReworkMessage, SignalMessage } from "../model/messages.ts";
import type { Plan } from "../model/plan.ts";
import { refuse, type Fields } from "../sensing/fields.ts";
import { decodeFrame, decodePasteMark, decodePose, decodeProgress, decodeRework, decodeSignal, ROW_KEYS } from "../sensing/rows.ts";
import { StrandIndex } from "../sensing/strands.ts";
import { ArrowCursor } from "./arrowCursor.ts";
import type { Cursor } from "./cursor.ts";
import { frameCursor, readFrames, type FrameFile } from "./frames.ts";
import { NdjsonCursor } from "./ndjsonCursor.ts";
import type { ProfileCursor, ProfileFile, ProfileReading } from "./profileCursor.ts";
import { cursorsOf, RowCursor, surveyRows, type RowStream } from "./rowCursor.ts";
import type { WarningLog } from "./warningLog.ts";

export interface StreamsInput {
  readonly root: string;
  /** What stands in the folder. */
  readonly names: ReadonlySet<string>;
  readonly job: Job;
  readonly plan: Plan;
  readonly warnings: WarningLog;
}

export interface Streams {
  /** In the order of messages. */
  readonly frames: readonly FrameMessage[];
  /** Every file of a stream, relative to the folder, images too. */
  readonly files: readonly string[];
  /** Fresh cursors over all streams, for one pass. */
  cursors(): Cursor[];
}

/** Files that belong to a run and carry no messages that are read yet. */
const BESIDE = ["target.ply", "landmarks.csv"];

/** Finds the streams of a folder and looks into each: headers and first profiles, every row of poses and signals, whether every image is there. */
export async function openStreams(input: StreamsInput): Promise<Streams> {
  const { root, names, warnings, job } = input;
  const rows = rowStreams(input);
  const profiles = profileFiles(root, names);
  const { progress, rework, poses, signals } = rows;
  if (profiles.length === 0 && rows.frames === null && poses === null && signals === null) {
    throw new InputError("sensing.noStream", "a sensor stream: profiles, frames, poses or signals", "none", { file: root });
  }
  const isLayerRequired = progress === null && input.plan.layerCount > 1;
  if (isLayerRequired && profiles.length === 0) {
    throw new InputError("sensing.layersUnknown", "progress, or profiles with their layer, for a plan of several layers", "neither", { file: root });
  }
  const reading: ProfileReading = { devices: job.devices, isLayerRequired, warnings };
  await lookIntoProfiles(profiles, reading);
  const poseSurvey = poses === null ? null : await surveyRows(poses, warnings);
  const signalSurvey = signals === null ? null : await surveyRows(signals, warnings);
  const frames = rows.frames === null ? [] : await readFrames(root, rows.frames, warnings);
  const paste = rows.paste === null ? null : marksOf(rows.paste, frames);
  if (paste !== null) await surveyRows(paste, warnings);
  const files = [
    ...profiles.map((profile) => profile.file), ...BESIDE.filter((name) => names.has(name)),
    ...[progress, rework, paste, poses, signals, rows.frames].flatMap((stream) => (stream === null ? [] : [stream.file])),
    ...frames.map((frame) => frame.message.file),
  ];
  return {
    files, frames: frames.map(({ message }) => message),
    cursors: () => [
      ...(progress === null ? [] : [new RowCursor(progress, warnings)]),
      ...(rework === null ? [] : [new RowCursor(rework, warnings)]),
      ...(paste === null ? [] : [new RowCursor(paste, warnings)]),
      ...(poses === null || poseSurvey === null ? [] : cursorsOf(poses, poseSurvey, warnings)),
      ...(signals === null || signalSurvey === null ? [] : cursorsOf(signals, signalSurvey, warnings)),
      ...profiles.map((profile) => profileCursor(profile, reading)),
      frameCursor(frames),
    ],
  };
}

interface RowStreams {
  readonly progress: RowStream<ProgressMessage> | null;
  readonly rework: RowStream<ReworkMessage> | null;
  readonly paste: RowStream<PasteMarkMessage> | null;
  readonly poses: RowStream<PoseMessage> | null;
  readonly signals: RowStream<SignalMessage> | null;
  readonly frames: RowStream<FrameMessage> | null;
}

/** The CSV streams that the folder has; progress, signals and what people mark are on the reference clock, poses and frames on their device's. */
function rowStreams({ root, names, job, plan }: StreamsInput): RowStreams {
  const strands = new StrandIndex(plan);
  const offsets = new Map(job.devices.map((device) => [device.id, device.clockOffsetS ?? 0]));
  const stream = <M extends Message>(name: keyof typeof ROW_KEYS, decode: (fields: Fields) => M, clockOffsetS: (message: M) => number): RowStream<M> | null => {
    const file = `${name}.csv`;
    return names.has(file) ? { path: join(root, file), file, keys: ROW_KEYS[name], decode, clockOffsetS } : null;
  };
  return {
    progress: stream("progress", (fields) => decodeProgress(fields, strands), () => 0),
    rework: stream("rework", (fields) => decodeRework(fields, strands), () => 0),
    paste: stream("paste", (fields) => decodePasteMark(fields, job.devices), () => 0),
    poses: stream("poses", (fields) => decodePose(fields, job.devices), (message) => offsets.get(message.device) ?? 0),
    signals: stream("signals", decodeSignal, () => 0),
    frames: stream("frames", (fields) => decodeFrame(fields, job.devices), (message) => offsets.get(message.device) ?? 0),
  };
}

/** Marks of paste, each in a frame that its camera took: sensing.badValue otherwise. */
function marksOf(stream: RowStream<PasteMarkMessage>, frames: readonly FrameFile[]): RowStream<PasteMarkMessage> {
  const taken = new Set(frames.map(({ message: { device, file } }) => JSON.stringify([device, file])));
  return { ...stream, decode: (fields) => {
    const mark = stream.decode(fields);
    return taken.has(JSON.stringify([mark.device, mark.file])) ? mark : refuse(fields, "file", "sensing.badValue", `a frame of ${mark.device}`);
  } };
}

function profileFiles(root: string, names: ReadonlySet<string>): ProfileFile[] {
  return [...names].sort().flatMap((file) => {
    const match = /^profiles(?:\.(.+))?\.(?:arrow|ndjson)$/.exec(file);
    return match === null ? [] : [{ path: join(root, file), file, deviceInName: match[1] ?? null }];
  });
}

function profileCursor(profile: ProfileFile, reading: ProfileReading): ProfileCursor {
  return profile.file.endsWith(".arrow") ? new ArrowCursor(profile, reading) : new NdjsonCursor(profile, reading);
}

/** Reads the header and the first profiles of each file; a device may have one file only. */
async function lookIntoProfiles(profiles: readonly ProfileFile[], reading: ProfileReading): Promise<void> {
  const fileOf = new Map<string, string>();
  for (const profile of profiles) {
    const cursor = profileCursor(profile, reading);
    try {
      await cursor.refill();
    } finally {
      await cursor.close();
    }
    const id = cursor.header?.profiler.id;
    if (id === undefined) continue;
    const other = fileOf.get(id);
    if (other !== undefined) throw new InputError("sensing.badValue", "one file of profiles per device", `${other} and ${profile.file} of ${id}`, { file: profile.file, key: "device" });
    fileOf.set(id, profile.file);
  }
}
