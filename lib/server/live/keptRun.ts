/** One run as the keeper holds it: what is kept already, and the journal that new messages go to. */
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../../base/errors.ts";
import type { Device } from "../../model/job.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import type { Message, ProfileMessage } from "../../model/messages.ts";
import type { Kept } from "../../model/wire.ts";
import { readPlan } from "../../plan/readPlan.ts";
import { KeptIndex } from "../../sensing/keptIndex.ts";
import { StrandIndex } from "../../sensing/strands.ts";
import { decodeWireProfiles } from "../../sensing/wireProfiles.ts";
import { decodeWireFrame, decodeWireRows, parseBody, type RowContext, type RowStreamName, type WireItem } from "../../sensing/wireRows.ts";
import { JournalWriter } from "../../source/journal.ts";
import { encodeProfiles, encodeRows, type JournalRecord, type RowMessage } from "../../source/journalRecord.ts";
import { livePaths, readHead, writeDurably, type LivePaths } from "./liveFolder.ts";

/** How much of each kind is kept. */
export type KeptCounts = Record<Message["kind"], number>;

/** One body of the wire. */
export type KeepBody =
  | { readonly kind: "profiles"; readonly format: "arrow" | "ndjson"; readonly bytes: Uint8Array }
  | { readonly kind: "rows"; readonly stream: RowStreamName; readonly bytes: Uint8Array }
  | { readonly kind: "frame"; readonly meta: Uint8Array; readonly image: Uint8Array };

/** What a body became. `over`: the run takes no more data and the body held some; nothing of it was kept. */
export interface TakenBody extends Kept { readonly over: boolean }

/** Names in frames/: letters, figures and a few signs, so that they are the same everywhere. */
const FRAME_NAME = /^frames(\/[A-Za-z0-9_-][A-Za-z0-9._ -]{0,120}){1,4}$/;

export class KeptRun {
  readonly counts: KeptCounts = { profile: 0, progress: 0, rework: 0, pasteMark: 0, pose: 0, signal: 0, frame: 0 };
  /** Greatest stamp kept of each kind, NaN: none. */
  readonly lastS: KeptCounts = { profile: Number.NaN, progress: Number.NaN, rework: Number.NaN, pasteMark: Number.NaN, pose: Number.NaN, signal: Number.NaN, frame: Number.NaN };
  /** Greatest stamp kept of each profiler, s. */
  readonly profilerS = new Map<string, number>();
  /** And of each camera. */
  readonly cameraS = new Map<string, number>();
  private readonly paths: LivePaths;
  private readonly context: RowContext;
  private readonly profileForms = new Map<string, string>(); // device → frame, and whether samples have places of their own
  private readonly frameFiles = new Map<string, string>(); // file → device
  private readonly frameFolders = new Set<string>();
  private index = new KeptIndex();
  private writer: JournalWriter | null = null;
  private isBroken = false;

  private constructor(paths: LivePaths, devices: readonly Device[], strands: StrandIndex) {
    this.paths = paths;
    this.context = { devices, strands };
  }

  /** Opens what is kept of a run. InputError store.noRun. */
  static async open(dataFolder: string, runId: string): Promise<KeptRun> {
    const paths = livePaths(dataFolder, runId), head = readHead(paths);
    if (head === null) throw new InputError("store.noRun", "the id of a run that came over the wire", JSON.stringify(runId), {});
    const { job } = resolveJob(JSON.parse(head.jobText), "job.json");
    const run = new KeptRun(paths, job.devices, new StrandIndex(readPlan(head.planText, job, head.planFile).plan));
    if (existsSync(paths.seen)) run.index = KeptIndex.restored(readFileSync(paths.seen, "utf8"));
    else run.writer = await JournalWriter.open(paths.journal, (record) => run.hear(record));
    return run;
  }

  /** Bytes of the journal; 0 once the run is over. */
  get bytes(): number {
    return this.writer?.bytes ?? 0;
  }

  private hear(record: JournalRecord): void {
    const messages: readonly Message[] = record.kind === "rows" ? record.rows : record.profiles;
    for (const message of messages) this.note(message);
  }

  private note(message: Message): void {
    this.index.add(message);
    this.counts[message.kind]++;
    if (!(this.lastS[message.kind] >= message.tS)) this.lastS[message.kind] = message.tS;
    if (message.kind === "profile") {
      this.profileForms.set(message.device, formOf(message));
      keepGreatest(this.profilerS, message);
    }
    if (message.kind !== "frame") return;
    keepGreatest(this.cameraS, message);
    this.frameFiles.set(message.file, message.device);
    for (const folder of foldersOf(message.file)) this.frameFolders.add(folder);
  }

  /** Decodes a body and appends what is new; durable once `flush` has returned. `deviceOnly`: the one device that the sender may speak for. */
  async take(body: KeepBody, deviceOnly: string | null): Promise<TakenBody> {
    if (body.kind === "frame") return this.takeFrame(body, deviceOnly);
    if (body.kind === "rows") return this.keep(decodeWireRows(body.stream, body.bytes, this.context), deviceOnly, (fresh) => encodeRows(fresh as RowMessage[]));
    const { items } = decodeWireProfiles(body.bytes, body.format, this.context.devices);
    return this.keep(items, deviceOnly, (fresh) => encodeProfiles(fresh));
  }

  /** Whatever the bytes are: what a camera sent is evidence, and whether it can be read is said where it is measured. */
  private async takeFrame({ meta, image }: Extract<KeepBody, { kind: "frame" }>, deviceOnly: string | null): Promise<TakenBody> {
    const item = decodeWireFrame(parseBody(meta), this.context);
    if (item.message !== null && !this.index.has(item.message) && this.writer !== null && this.refusal(item.message, deviceOnly, this.profileForms) === null) {
      writeDurably(join(this.paths.folder, item.message.file), image);
    }
    return this.keep([item], deviceOnly, (fresh) => encodeRows(fresh));
  }

  private async keep<M extends Message>(items: readonly WireItem<M>[], deviceOnly: string | null, encode: (fresh: M[]) => Uint8Array): Promise<TakenBody> {
    const rejected: { index: number; reason: string }[] = [], fresh: M[] = [], within = new KeptIndex(), forms = new Map(this.profileForms);
    let duplicates = 0;
    for (const { index, message, reason } of items) {
      const refusal = message === null ? reason : this.refusal(message, deviceOnly, forms);
      if (message === null || refusal !== null) rejected.push({ index, reason: refusal ?? "" });
      else if (this.index.has(message) || within.has(message)) duplicates++;
      else {
        within.add(message);
        fresh.push(message);
        if (message.kind === "profile") forms.set(message.device, formOf(message));
      }
    }
    if (fresh.length > 0 && this.writer === null) return { accepted: 0, duplicates, rejected, over: true };
    if (fresh.length > 0) {
      await this.writer?.append(encode(fresh));
      for (const message of fresh) this.note(message);
    }
    return { accepted: fresh.length, duplicates, rejected, over: false };
  }

  /** Why a message cannot be kept though it is well formed; null: it can. `forms`: of each device's profiles so far. */
  private refusal(message: Message, deviceOnly: string | null, forms: ReadonlyMap<string, string>): string | null {
    if (deviceOnly !== null && "device" in message && message.device !== deviceOnly) return `the token is for the device ${deviceOnly} alone, and this is of ${message.device}`;
    if (message.kind === "profile") {
      const form = forms.get(message.device);
      return form === undefined || form === formOf(message) ? null : `profiles of ${message.device} are ${form} since the first of the run, and this is ${formOf(message)}`;
    }
    if (message.kind === "pasteMark" && this.frameFiles.get(message.file) !== message.device) return `${message.file} is no frame of ${message.device} that is kept`;
    if (message.kind !== "frame") return null;
    if (!FRAME_NAME.test(message.file)) return "file must be frames/NAME of letters, figures, dots, dashes, underscores and blanks";
    if (this.frameFolders.has(message.file) || foldersOf(message.file).some((folder) => this.frameFiles.has(folder))) return `${message.file} or a part of it is the name of a folder and of a frame`;
    const owner = this.frameFiles.get(message.file);
    return owner === undefined || owner === message.device ? null : `${message.file} is a frame of ${owner} already`;
  }

  /** Throws where the run was given up since: what it took may lie on the disk torn. */
  async flush(): Promise<void> {
    if (this.isBroken) throw new InputError("wire.busy", "a journal that can be written", "an error of the disk", {});
    await this.writer?.flush();
  }

  /** After an error of the disk: nothing more is taken or acknowledged through this object. */
  async giveUp(): Promise<void> {
    this.isBroken = true;
    await this.close();
  }

  /** No more data: what was seen is kept as identities, for what is sent again. */
  async end(): Promise<void> {
    await this.close();
    if (!existsSync(this.paths.seen)) writeDurably(this.paths.seen, this.index.saved());
  }

  async close(): Promise<void> {
    const { writer } = this;
    this.writer = null;
    await writer?.close();
  }
}

function keepGreatest(stamps: Map<string, number>, { device, tS }: { readonly device: string; readonly tS: number }): void {
  if (!((stamps.get(device) ?? Number.NaN) >= tS)) stamps.set(device, tS);
}

/** "frames/a/b.png" → "frames", "frames/a". */
function foldersOf(file: string): string[] {
  const parts = file.split("/");
  return parts.slice(1).map((_, i) => parts.slice(0, i + 1).join("/"));
}

function formOf({ frame, xMm }: ProfileMessage): string {
  return `in the frame ${frame} ${xMm === null ? "at the job's places" : "at places of their own"}`;
}
