/**
 * Checks a log entry by entry against its hashes and its seals, in one pass. It stops judging at the first thing that is wrong and reads
 * on only to tell what that was: an entry that is out of its place was swapped if it comes later, and taken out if it does not.
 */
import type { KeptFile, Seal } from "../model/log.ts";
import { EMPTY_LOG } from "./entries.ts";
import type { LogHead } from "./entries.ts";
import { fault } from "./faults.ts";
import type { Fault } from "./faults.ts";
import { droppedBy, fileOf, readEntryLine } from "./readEntry.ts";
import type { ReadEntry } from "./readEntry.ts";

/** A seal, and whether one of the record's keys made it. */
export interface CheckedSeal { readonly seal: Seal; readonly isSigned: boolean }

export interface LogReport {
  readonly fault: Fault | null;
  readonly head: LogHead;
  /** "": the log is empty. */
  readonly runId: string;
  readonly isFinished: boolean;
  /** Files by name, as last named. */
  readonly files: ReadonlyMap<string, KeptFile>;
  /** Hashes of raw data that was given up. */
  readonly dropped: ReadonlySet<string>;
}

export interface LogCheck {
  /** One line, without its line feed. */
  readonly take: (line: string) => void;
  readonly finish: () => LogReport;
}

/** A fault that later lines may explain better. */
interface Suspicion { readonly found: Fault; readonly explainedBy: (entry: ReadEntry) => Fault | null }

/** Seals stand by rising `count`; see checkSeals.ts. */
export function checkLog(seals: readonly CheckedSeal[]): LogCheck {
  const sealAt = new Map(seals.map((checked) => [checked.seal.count, checked]));
  const named = new Set<number>(), beforeSeal = new Map(seals.map(({ seal }, i) => [seal.count, seals[i - 1]?.seal ?? null]));
  let keySaid: { readonly from: unknown; readonly to: unknown } | null = null; // since the last seal
  const files = new Map<string, KeptFile>();
  const dropped = new Set<string>();
  let head = EMPTY_LOG, runId = "", isFinished = false;
  let found: Fault | null = null, suspicion: Suspicion | null = null;

  const accept = (entry: ReadEntry): Fault | null => {
    head = { seq: entry.seq, hash: entry.hash };
    runId = entry.runId;
    isFinished ||= entry.kind === "run.finished";
    const file = fileOf(entry);
    if (file !== null) files.set(file.name, file);
    for (const hash of droppedBy(entry)) dropped.add(hash);
    const { count } = entry.payload;
    if (entry.kind === "seal.named" && typeof count === "number") {
      named.add(count);
      if (!isNamedSeal(entry, sealAt.get(count)?.seal)) return fault("sealMissing", `the seal over ${count} entries is missing or another: entry ${entry.seq} names it`);
    }
    if (entry.kind === "key.changed") keySaid = { from: entry.payload["from"], to: entry.payload["to"] };
    const checked = sealAt.get(entry.seq), wrong = sealFault(entry, checked);
    if (wrong !== null || checked === undefined) return wrong;
    const said = keySaid, before = beforeSeal.get(entry.seq) ?? null;
    keySaid = null;
    return keyFault(checked.seal, before, said);
  };

  const take = (line: string): void => {
    if (found !== null) return;
    const entry = readEntryLine(line);
    if (suspicion !== null) {
      found = entry === null ? null : suspicion.explainedBy(entry);
      return;
    }
    if (entry === null) found = fault("entryUnreadable", `entry ${head.seq + 1} was changed: it is no entry in canonical JSON`);
    else if (runId !== "" && entry.runId !== runId) found = fault("entryAdded", `entry ${head.seq + 1} was added: it belongs to another run, ${entry.runId}`);
    else {
      suspicion = suspect(entry, head);
      if (suspicion === null) found = accept(entry);
    }
  };

  const finish = (): LogReport => {
    const first = found ?? suspicion?.found ?? endFault(seals, head, named);
    return { fault: first, head, runId, isFinished, files, dropped };
  };
  return { take, finish };
}

function nameOf({ seq, kind }: ReadEntry): string {
  return `entry ${seq} (${kind})`;
}

/** What is wrong with `entry` where `head` is the last sound one; null: nothing. */
function suspect(entry: ReadEntry, head: LogHead): Suspicion | null {
  const due = head.seq + 1;
  if (entry.seq > due) {
    const more = entry.seq - 1 === due ? `entry ${due} is` : `entries ${due} to ${entry.seq - 1} are`;
    return {
      found: fault("entryMissing", `${more} missing: entry ${entry.seq} follows ${head.seq === 0 ? "at the beginning" : `entry ${head.seq}`}`),
      explainedBy: (later) => (later.seq === due ? fault("entriesSwapped", `entries ${due} and ${entry.seq} are swapped: entry ${due} stands after ${entry.seq}`) : null),
    };
  }
  if (entry.seq < due) return certain(fault("entryAdded", `${nameOf(entry)} was added: entry ${entry.seq} stands there already, and ${due} is due`));
  const isReal = (later: ReadEntry): Fault | null =>
    (later.seq === due && later.isSound && later.prev === head.hash ? fault("entryAdded", `${nameOf(entry)} was added: the real entry ${due} follows it`) : null);
  if (!entry.isSound) return { found: fault("entryChanged", `${nameOf(entry)} was changed: its hash does not fit what it says`), explainedBy: isReal };
  if (entry.prev === head.hash) return null;
  const words = due === 1 ? `${nameOf(entry)} is not the first one that was written` : `entries ${head.seq} and ${due} do not follow each other: one of them was changed, taken out or put in`;
  return { found: fault("chainBroken", words), explainedBy: isReal };
}

function certain(found: Fault): Suspicion {
  return { found, explainedBy: () => found };
}

function isNamedSeal({ seq, payload }: ReadEntry, seal: Seal | undefined): boolean {
  return seal !== undefined && seal.count < seq && seal.head === payload["head"] && seal.keyId === payload["keyId"];
}

function sealFault(entry: ReadEntry, checked: CheckedSeal | undefined): Fault | null {
  if (checked === undefined) return null;
  const { seal, isSigned } = checked;
  if (!isSigned) return fault("sealForged", `the seal over ${seal.count} entries is forged: its signature is not by the record's key`);
  if (seal.runId !== entry.runId) return fault("sealForged", `the seal over ${seal.count} entries belongs to another run, ${seal.runId}`);
  return seal.head === entry.hash ? null : fault("chainRewritten", `${nameOf(entry)} is not the one that was sealed: the chain was rewritten without the key`);
}

/** A seal by another key than the one before is believed only where an entry between the two says which key follows which; and an entry that says so has to be true. */
function keyFault({ count, keyId }: Seal, before: Seal | null, said: { readonly from: unknown; readonly to: unknown } | null): Fault | null {
  if (before === null || before.keyId === keyId) return said === null ? null : fault("keyUnsaid", `an entry before the seal over ${count} entries says that the key was changed, and it was not`);
  if (said !== null && said.from === before.keyId && said.to === keyId) return null;
  return fault("keyUnsaid", `the seal over ${count} entries is by another key, ${keyId}, and no entry says that ${before.keyId} was changed for it`);
}

/** What the end of the log shows: each seal but the last is named later, and the last covers the last entry. */
function endFault(seals: readonly CheckedSeal[], head: LogHead, named: ReadonlySet<number>): Fault | null {
  const last = seals.at(-1)?.seal;
  if (head.seq === 0) return fault("tailMissing", "the log has no entry: all of them are missing");
  if (last === undefined) return fault("sealMissing", `no seal covers the ${head.seq} entries: all seals are missing`);
  if (last.count > head.seq) {
    const missing = last.count === head.seq + 1 ? `entry ${last.count} is` : `entries ${head.seq + 1} to ${last.count} are`;
    return fault("tailMissing", `${missing} cut off: a seal covers ${last.count} entries and the log ends with entry ${head.seq}`);
  }
  const unnamed = seals.slice(0, -1).find(({ seal }) => !named.has(seal.count));
  if (unnamed !== undefined) return fault("sealAdded", `the seal over ${unnamed.seal.count} entries was added: no later entry names it`);
  if (last.count === head.seq) return null;
  return named.has(last.count)
    ? fault("sealMissing", `the last seal is missing: entries ${last.count + 1} to ${head.seq} are covered by none`)
    : fault("entryAdded", `entry ${last.count + 1} was added: it follows the last seal and does not name it`);
}

