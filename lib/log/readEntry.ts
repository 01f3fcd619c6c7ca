import type { KeptFile } from "../model/log.ts";
import { canonicalJson } from "./canonical.ts";
import { hashOf } from "./entries.ts";

/** A line of log.ndjson as far as checking needs it; kinds of later versions are taken too. */
export interface ReadEntry {
  readonly at: string;
  readonly hash: string;
  readonly kind: string;
  readonly payload: Readonly<Record<string, unknown>>;
  readonly prev: string;
  readonly runId: string;
  readonly seq: number;
  /** `hash` is what the entry's content gives. */
  readonly isSound: boolean;
}

const HEX_64 = /^[0-9a-f]{64}$/;
const isHash = (value: unknown): value is string => typeof value === "string" && HEX_64.test(value);

/** null where the line is no entry in canonical form. */
export function readEntryLine(line: string): ReadEntry | null {
  try {
    const value = JSON.parse(line) as Record<string, unknown> | null;
    if (typeof value !== "object" || value === null || canonicalJson(value) !== line) return null;
    const { hash, ...unhashed } = value;
    const { actor, at, kind, payload, prev, runId, seq } = unhashed;
    const isEntry = Object.keys(value).length === 8 && [actor, at, kind, runId].every((text) => typeof text === "string") && isHash(hash) && isHash(prev)
      && Number.isSafeInteger(seq) && typeof payload === "object" && payload !== null && !Array.isArray(payload);
    return isEntry ? { ...(unhashed as unknown as Omit<ReadEntry, "hash" | "isSound">), hash, isSound: hashOf(unhashed) === hash } : null;
  } catch {
    return null;
  }
}

/** The file that an entry names with hash and size; null: none. */
export function fileOf({ payload: { name, sha256, size } }: ReadEntry): KeptFile | null {
  return typeof name === "string" && isHash(sha256) && typeof size === "number" ? { name, sha256, size } : null;
}

/** The hashes of raw data that this entry gives up. */
export function droppedBy({ kind, payload: { sha256 } }: ReadEntry): readonly string[] {
  return kind === "raw.dropped" && Array.isArray(sha256) ? sha256.filter(isHash) : [];
}
