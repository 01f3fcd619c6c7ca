/** Verifies an exported record: chain, seals and every file, from nothing but the folder and a public key. */
import { createHash } from "node:crypto";
import { InputError } from "../base/errors.ts";
import { RECORD_FILES } from "../model/log.ts";
import type { KeptFile } from "../model/log.ts";
import { checkLog } from "./checkLog.ts";
import type { CheckedSeal, LogReport } from "./checkLog.ts";
import { checkSeals } from "./checkSeals.ts";
import { fault } from "./faults.ts";
import type { Fault } from "./faults.ts";
import { readPublicKeys } from "./keys.ts";
import type { PublicKey } from "./keys.ts";
import { linesOf } from "./lines.ts";

/** A record that lies somewhere, file by file. */
export interface RecordFiles {
  /** Every file that is there, paths with slashes. */
  readonly names: readonly string[];
  /** The bytes of one of them. */
  readonly read: (name: string) => AsyncIterable<Uint8Array>;
}

/**
 * The public key that the reader knows from elsewhere: its PEM, and how to call it in an error. It has to be the key of the last seal, which covers every
 * entry and every seal before. A key from before a change vouches only as far as its own seals go: what came after could be anybody's, so the record is
 * then said not to be whole by that key, and how far that key goes.
 */
export interface KnownKey { readonly pem: string; readonly file: string }

export interface WholeRecord {
  readonly fault: null;
  readonly runId: string;
  readonly count: number;
  readonly head: string;
  readonly sealCount: number;
  readonly lastSealAt: string;
  /** Of the last seal. */
  readonly keyId: string;
  /** Every key that sealed it, in order, with how many entries its last seal covers. */
  readonly keys: readonly { readonly keyId: string; readonly untilCount: number }[];
  readonly isFinished: boolean;
  readonly fileCount: number;
  /** Raw files that were given up and are not there. */
  readonly dropped: readonly KeptFile[];
}
export type Verified = WholeRecord | { readonly fault: Fault };

const BESIDE: ReadonlySet<string> = new Set([RECORD_FILES.log, RECORD_FILES.seals, RECORD_FILES.publicKey, RECORD_FILES.verify]);
const NEEDED = [RECORD_FILES.publicKey, RECORD_FILES.seals, RECORD_FILES.log] as const;

/**
 * Whole, or the first thing that is wrong: key, then entries and seals in order, then files in the order in which the log names them, then
 * files that it does not name. `heard` is told of the bytes read so far. InputError `log.noRecord` where there is no record at all,
 * `log.badKey` where the known key is none.
 */
export async function verifyRecord(record: RecordFiles, known: KnownKey | null, heard: (bytes: number) => void): Promise<Verified> {
  const there = new Set(record.names);
  const missing = NEEDED.filter((name) => !there.has(name));
  if (missing.length === NEEDED.length) throw new InputError("log.noRecord", `a folder with ${NEEDED.join(", ")}`, "none of them", {});
  const knownKey = known === null ? null : readPublicKeys(known.pem, known.file)[0] as PublicKey;
  if (missing[0] !== undefined) return { fault: fault("fileMissing", `${missing[0]} is missing`) };
  const keys = await readKeys(record);
  if (keys === null) return { fault: fault("fileChanged", `${RECORD_FILES.publicKey} was changed: it holds no Ed25519 key`) };
  const keyId = (keys[0] as PublicKey).keyId;
  const verified = await verifyLog(record, keys, heard);
  if (knownKey === null || knownKey.keyId === keyId || verified.fault !== null) return verified;
  const until = verified.keys.find((each) => each.keyId === knownKey.keyId)?.untilCount ?? null;
  const how = until === null ? "" : `, which sealed the first ${until} of ${verified.count} entries: give the key that it was changed for, as you know it from elsewhere`;
  return { fault: fault("keyDiffers", `the record is sealed with the key ${keyId}, and --key is ${knownKey.keyId}${how}`) };
}

async function readKeys(record: RecordFiles): Promise<readonly PublicKey[] | null> {
  try {
    return readPublicKeys(await readText(record, RECORD_FILES.publicKey), RECORD_FILES.publicKey);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

async function readText(record: RecordFiles, name: string): Promise<string> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of record.read(name)) chunks.push(chunk);
  return Buffer.concat(chunks).toString("utf8");
}

async function verifyLog(record: RecordFiles, keys: readonly PublicKey[], heard: (bytes: number) => void): Promise<Verified> {
  const sealLines: string[] = [];
  for await (const { text, isEnded } of linesOf(record.read(RECORD_FILES.seals))) {
    if (text === null || !isEnded) return { fault: fault("sealUnreadable", `seal ${sealLines.length + 1} was changed or is cut off in the middle`) };
    sealLines.push(text);
  }
  const { seals, fault: sealFault } = checkSeals(sealLines, keys);
  if (sealFault !== null) return { fault: sealFault };
  const check = checkLog(seals);
  let lineCount = 0;
  for await (const { text, isEnded } of linesOf(record.read(RECORD_FILES.log))) {
    lineCount++;
    if (!isEnded) {
      const { fault: before } = check.finish();
      return { fault: before !== null && before.kind !== "tailMissing" && before.kind !== "sealMissing" ? before : fault("tailMissing", `entry ${lineCount} is cut off in the middle`) };
    }
    check.take(text ?? "");
  }
  const report = check.finish();
  const last = seals.at(-1);
  if (report.fault !== null || last === undefined) return { fault: report.fault ?? fault("sealMissing", "all seals are missing") };
  const keyId = (keys[0] as PublicKey).keyId;
  if (last.seal.keyId !== keyId) return { fault: fault("sealForged", `the last seal is by the key ${last.seal.keyId}, and ${RECORD_FILES.publicKey} is ${keyId}`) };
  const files = await verifyFiles(record, report, heard);
  if (files.fault !== null) return { fault: files.fault };
  return {
    fault: null, runId: report.runId, count: report.head.seq, head: report.head.hash, sealCount: seals.length, lastSealAt: last.seal.at, keyId, keys: keysOf(seals),
    isFinished: report.isFinished, fileCount: report.files.size - files.dropped.length, dropped: files.dropped,
  };
}

function keysOf(seals: readonly CheckedSeal[]): WholeRecord["keys"] {
  const until = new Map<string, number>();
  for (const { seal: { keyId, count } } of seals) {
    until.delete(keyId); // a key that came back is the last one
    until.set(keyId, count);
  }
  return [...until].map(([keyId, untilCount]) => ({ keyId, untilCount }));
}

async function verifyFiles(record: RecordFiles, { files, dropped }: LogReport, heard: (bytes: number) => void): Promise<{ fault: Fault | null; dropped: KeptFile[] }> {
  const there = new Set(record.names);
  const gone: KeptFile[] = [];
  let doneBytes = 0;
  for (const file of files.values()) {
    if (!there.has(file.name)) {
      if (!dropped.has(file.sha256)) return { fault: fault("fileMissing", `the file ${file.name} is missing`), dropped: gone };
      gone.push(file);
      continue;
    }
    const hash = createHash("sha256");
    let size = 0;
    for await (const chunk of record.read(file.name)) {
      hash.update(chunk);
      size += chunk.length;
      doneBytes += chunk.length;
      heard(doneBytes);
    }
    const words = size === file.size ? "its bytes do not have the hash that the log names" : `it has ${size} bytes and the log names ${file.size}`;
    if (hash.digest("hex") !== file.sha256) return { fault: fault("fileChanged", `the file ${file.name} was changed: ${words}`), dropped: gone };
  }
  const added = record.names.find((name) => !files.has(name) && !BESIDE.has(name));
  return { fault: added === undefined ? null : fault("fileAdded", `the file ${added} was added: no entry names it`), dropped: gone };
}
