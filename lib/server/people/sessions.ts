/**
 * Who is signed in where. A session is good for 30 min since its last use. While a run is open that was made before those 30 min were over it
 * is good for the length of the run, at most 24 h since its last use: nobody is to sign in again in the middle of a print.
 */
import { randomBytes } from "node:crypto";
import { sha256Hex } from "../../log/hash.ts";
import type { Sqlite } from "../../store/connection.ts";
import { addSession, findSession, hasOpenRunSince, listSessions, noteSeen, sweepEntries, type Person, type Session } from "../../store/people.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";

/** Common practice, no source, ms. */
export const IDLE_MS = 30 * 60_000, LONGEST_MS = 24 * 3_600_000;
/** Last use is written at most so often, ms. */
const NOTE_EVERY_MS = 30_000;
/** Sessions and links that ended are forgotten after this, ms. */
const FORGET_MS = 7 * 24 * 3_600_000;

const isoOf = (ms: number): string => new Date(ms).toISOString();

/** The new session's token, for the browser alone. */
export function beginSession(db: Sqlite, personId: string, nowMs: number): string {
  const token = randomBytes(32).toString("base64url");
  sweepEntries(db, isoOf(nowMs - FORGET_MS));
  addSession(db, { tokenSha256: sha256Hex(token), personId, createdAt: isoOf(nowMs), expiresAt: isoOf(nowMs + IDLE_MS) });
  return token;
}

function isGood(db: Sqlite, { seenAt, expiresAt }: Session, nowMs: number): boolean {
  if (nowMs < Date.parse(expiresAt)) return true;
  return nowMs < Date.parse(seenAt) + LONGEST_MS && hasOpenRunSince(db, expiresAt);
}

export interface SessionNow { readonly session: Session; readonly person: Person }

/** The session of a token, with its person; null: none that is good. `isUse`: it counts as used now. */
export function sessionOf(db: Sqlite, token: string | null, { nowMs, isUse }: { readonly nowMs: number; readonly isUse: boolean }): SessionNow | null {
  const found = token === null ? null : findSession(db, sha256Hex(token));
  if (found === null || !isGood(db, found.session, nowMs)) return null;
  const { tokenSha256, seenAt } = found.session;
  if (isUse && nowMs - Date.parse(seenAt) >= NOTE_EVERY_MS) unlessDiskRefuses(() => noteSeen(db, tokenSha256, { seenAt: isoOf(nowMs), expiresAt: isoOf(nowMs + IDLE_MS) }));
  return found;
}

/** Sessions that are good now, by person. */
export function goodSessions(db: Sqlite, nowMs: number): Map<string, Session[]> {
  const by = new Map<string, Session[]>();
  for (const session of listSessions(db)) {
    if (isGood(db, session, nowMs)) by.set(session.personId, [...by.get(session.personId) ?? [], session]);
  }
  return by;
}
