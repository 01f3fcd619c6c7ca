/**
 * The log of a run and its seals, as they stand in the database and in an export's log.ndjson and seals.ndjson.
 * Payloads are plain JSON; what they may hold so that everybody prints them alike is said in log/portable.ts.
 */
import type { AlertCause, AlertKind, AlertPriority } from "./alert.ts";
import type { Disposition } from "./disposition.ts";
import type { RunState } from "./liveRun.ts";
import type { FindingKind, Severity } from "./result.ts";
import type { SignatureMeaning } from "./signature.ts";

/** `prev` of the first entry. */
export const FIRST_PREV = "0".repeat(64);

/** Who stands in the log for what the program does by itself. */
export const PROGRAM_ACTOR = "aslaid";

/** Who stands in the log for what is brought in by command: it knows no person. */
export const COMMAND_ACTOR = "command line";
/** Who stands in the log for a pause or an abort, with the screen's name after it: "screen 4f2c19". */
export const SCREEN_ACTOR = "screen";

/** A file of the run as it was kept. `name` is its path in the run folder, with slashes; `size` in bytes. */
export interface KeptFile { readonly name: string; readonly sha256: string; readonly size: number }

/** What each kind of entry says. */
export interface LogPayloads {
  "run.created": { readonly name: string; readonly jobSha256: string; readonly planFile: string; readonly planSha256: string };
  "raw.kept": KeptFile;
  /** `name` is the result's file in an export; `rowsSha256` is over what the pages show of it (store/rowsDigest.ts). */
  "result.computed": KeptFile & { readonly resultId: string; readonly rowsSha256: string };
  "run.finished": Record<string, never>;
  /** Ended before its plan was laid; what was received is kept and measured all the same. */
  "run.aborted": Record<string, never>;
  /** A person ended the run because its cell is gone, and why. */
  "run.endAsked": { readonly reason: string };
  "run.state": { readonly from: RunState; readonly to: RunState; readonly reason: string };
  /** How much has been received so far. */
  "data.received": { readonly journalBytes: number; readonly counts: Readonly<Record<string, number>> };
  /** What was received could not be measured. */
  "result.failed": { readonly code: string; readonly message: string };
  "command.asked": { readonly n: number; readonly command: string };
  /** It was handed to the cell, for the first time. */
  "command.sent": { readonly n: number };
  "command.receipt": { readonly n: number; readonly outcome: string; readonly note: string };
  /** While the print went on, provisionally: what stood, and what people did about it (lib/alert/). An alert keeps its number `n`. */
  "alert.raised": AlertRaised;
  /** It became more urgent, or stood again: it has to be acknowledged anew. */
  "alert.urgent": AlertRaised;
  /** It stands and is no more urgent, and is another than the log said last: milder, or twice as long or half. */
  "alert.changed": AlertRaised;
  "alert.again": { readonly n: number };
  "alert.returned": { readonly n: number };
  /** Nobody acknowledged it in time. */
  "alert.escalated": { readonly n: number; readonly priority: AlertPriority };
  "alert.acknowledged": { readonly n: number };
  "alert.shelved": { readonly n: number; readonly until: string; readonly reason: string; readonly note: string };
  "alert.unshelved": { readonly n: number };
  "alert.noted": { readonly n: number; readonly note: string };
  "alert.disposed": { readonly n: number; readonly disposition: Disposition; readonly reason: string; readonly note: string };
  /** A person took a stretch off again, to be laid once more. */
  "strand.takenOff": { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number; readonly reason: string };
  /** A person said that all of a rectangle in a frame is paste: colours are learned there. */
  "paste.marked": { readonly device: string; readonly file: string; readonly u0Px: number; readonly v0Px: number; readonly u1Px: number; readonly v1Px: number };
  /** A person said that a layer which the gate held may be covered. */
  "gate.opened": { readonly layer: number; readonly reason: string };
  /** A person let the program pause by itself, or no more. */
  "autoPause.set": { readonly isOn: boolean };
  /** An earlier seal, so that it is missed where somebody takes it away. */
  "seal.named": { readonly count: number; readonly head: string; readonly keyId: string };
  /** Raw files that were kept once and were given up later, by their hashes; `exportHead` is that of the export that was verified before it. */
  "raw.dropped": { readonly sha256: readonly string[]; readonly reason: string; readonly exportHead: string };
  "finding.disposed": {
    readonly resultId: string;
    /** Place in the result's own order, from 0. */
    readonly findingIndex: number;
    readonly findingKind: FindingKind;
    readonly layer: number;
    /** null: off the path. */
    readonly strand: number | null;
    readonly disposition: Disposition;
    /** Code from DISPOSITION_REASONS. */
    readonly reason: string;
    /** "": none. */
    readonly note: string;
  };
  /** The same data under another job: a result of its own beside the run's (RECORD_FOLDERS). */
  "result.recomputed": KeptFile & { readonly resultId: string; readonly rowsSha256: string; readonly reason: string };
  /** A scan of the finished run once its material had set, and what it said beside what lay there wet. `n` from 1; its files are named before. */
  "scan.added": { readonly n: number; readonly setAt: string; readonly note: string };
  /** Somebody who may sign opened the report. */
  "report.opened": { readonly resultId: string };
  /** The report as it was signed is kept under `name`; it tells of the first `count` entries, the last of which has the hash `head`. */
  "run.signed": KeptFile & { readonly resultId: string; readonly meaning: SignatureMeaning; readonly remarks: string; readonly printedName: string; readonly head: string; readonly count: number; /** The bench lets one person run and sign, and this one did. */ readonly ownRun: boolean };
  /** What the server was when it began to keep this run, and whenever it began again while the run was open. */
  "server.began": { readonly version: string; readonly build: string; readonly settings: Readonly<Record<string, string>> };
  /** A person came or went while the run was open. */
  "person.signedIn": { readonly person: string; readonly roles: readonly string[] };
  "person.signedOut": { readonly person: string };
  /** From here on seals are by another key; earlier ones stay true by the key that made them. */
  "key.changed": { readonly from: string; readonly to: string };
  "note.added": { readonly layer: number; readonly strand: number; readonly sMm: number; readonly text: string };
}
/** `source` tells alerts apart that are told of separately; values are rounded to a thousandth. */
export interface AlertRaised {
  readonly n: number; readonly source: string; readonly alertKind: AlertKind; readonly severity: Severity; readonly priority: AlertPriority; readonly subject: string;
  readonly layer: number | null; readonly strand: number | null; readonly fromMm: number | null; readonly toMm: number | null;
  readonly metric: string | null; readonly value: number | null; readonly limit: number | null;
}
export type LogKind = keyof LogPayloads;

/** The cause of an alert as an entry tells of it. */
export function causeTold({ alertKind, severity, subject, layer, strand, fromMm, toMm, metric, value, limit }: AlertRaised): AlertCause {
  return {
    kind: alertKind, severity, subject, place: layer === null ? null : { layer, strand, fromMm, toMm },
    worst: metric === null || limit === null ? null : { metric: metric as NonNullable<AlertCause["worst"]>["metric"], value, limit },
  };
}

/** One line of log.ndjson. */
export interface LogEntry<K extends LogKind = LogKind> {
  readonly actor: string;
  /** ISO 8601, UTC, by the server's clock. */
  readonly at: string;
  /** SHA-256, lower-case hex, of the canonical JSON of the entry without it. */
  readonly hash: string;
  readonly kind: K;
  readonly payload: LogPayloads[K];
  /** The entry before's `hash`; FIRST_PREV for the first. */
  readonly prev: string;
  readonly runId: string;
  /** From 1, without a gap. */
  readonly seq: number;
}

/** One line of seals.ndjson: an Ed25519 signature over how long the log is and what its last entry is. */
export interface Seal {
  readonly at: string;
  /** Entries covered: the first `count` of them. */
  readonly count: number;
  /** `hash` of entry `count`. */
  readonly head: string;
  /** SHA-256, hex, of the public key's DER. */
  readonly keyId: string;
  readonly runId: string;
  /** Base64, over the canonical JSON of the seal without it. */
  readonly signature: string;
}

/** Files that an export holds beside those of the run; no file of a run may be called so. */
export const RECORD_FILES = { log: "log.ndjson", seals: "seals.ndjson", publicKey: "publicKey.pem", result: "result.json", verify: "VERIFY.md" } as const;

/** Kinds of entry that say nothing new of the run itself: who came and looked, seals, signatures, the server. Files are named by the entry that follows them. */
const NOT_NEWS: ReadonlySet<LogKind> = new Set<LogKind>(["seal.named", "key.changed", "report.opened", "run.signed", "raw.kept", "server.began", "person.signedIn", "person.signedOut"]);

/** Whether an entry says something new of the run, which no signature before it covers. */
export function isNews({ kind }: Pick<LogEntry, "kind">): boolean {
  return !NOT_NEWS.has(kind);
}

/** Folders of a run's record: recomputed results, scans after setting, reports as signed. No file of a run may lie in one. */
export const RECORD_FOLDERS = { results: "results", scans: "scans", reports: "reports" } as const;

/** Whether a run's record is whole, as of now. */
export interface RunRecord {
  readonly whole: boolean;
  /** What is wrong first, in a sentence; null: nothing. */
  readonly problem: string | null;
  /** Hash of the last entry; "" where there is none. */
  readonly head: string;
  /** Entries in the log. */
  readonly count: number;
  readonly lastSealAt: string | null;
  /** Of the last seal; "" where there is none. */
  readonly keyId: string;
}

/** Whether a file of a run is raw data, which may be dropped: profiles, poses, signals and pictures, of the print and of scans. What says where the nozzle was, and what a person took off, is small and stays. */
export function isSensorData(name: string): boolean {
  return /^(.*\/)?(profiles(\.[^/]+)?\.(arrow|ndjson)|(poses|signals)\.csv)$|^(.*\/)?frames\/./.test(name);
}
