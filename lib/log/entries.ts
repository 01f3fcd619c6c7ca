/** Entries of a log: each carries the hash of the one before, so that none can be changed, taken out or put in unseen. */
import { FIRST_PREV } from "../model/log.ts";
import type { LogEntry, LogKind, LogPayloads } from "../model/log.ts";
import { canonicalJson } from "./canonical.ts";
import { sha256Hex } from "./hash.ts";
import { requirePortable } from "./portable.ts";

/** What is to be said; place and hash follow from the log that it comes to stand in. */
export type LogDraft = { [K in LogKind]: { readonly actor: string; readonly at: string; readonly kind: K; readonly payload: LogPayloads[K] } }[LogKind];

/** Where a log ends; `EMPTY_LOG` before the first entry. */
export interface LogHead { readonly seq: number; readonly hash: string }
export const EMPTY_LOG: LogHead = { seq: 0, hash: FIRST_PREV };

/** SHA-256 of the canonical JSON of `unhashed`. */
export function hashOf(unhashed: object): string {
  return sha256Hex(canonicalJson(unhashed));
}

/** The entry that follows `after`. RangeError where the draft holds what not everybody prints alike. */
export function chainEntry(runId: string, after: LogHead, { actor, at, kind, payload }: LogDraft): LogEntry {
  const unhashed = { actor, at, kind, payload, prev: after.hash, runId, seq: after.seq + 1 };
  requirePortable(unhashed, kind);
  return { ...unhashed, hash: hashOf(unhashed) };
}

/** The entry's line of log.ndjson, without its line feed. */
export function entryLine(entry: LogEntry): string {
  return canonicalJson(entry);
}
