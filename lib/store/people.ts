/** People, their sessions and entry links. What is kept of tokens and keys is their hash. Times are ISO 8601, UTC. */
import type { Role } from "../model/person.ts";
import type { Sqlite } from "./connection.ts";
import type { EntryLinkModel, PersonModel, SessionModel } from "./generated/models.ts";

export interface Person extends Omit<PersonModel, "rolesJson"> { readonly roles: readonly Role[] }
export type Session = SessionModel;
export interface EntryLink extends Omit<EntryLinkModel, "rolesJson" | "kind"> { readonly kind: "first" | "invited" | "newPassphrase"; readonly roles: readonly Role[] }

const rolesOf = (json: string): readonly Role[] => JSON.parse(json) as Role[];
const personOf = ({ rolesJson, ...row }: PersonModel): Person => ({ ...row, roles: rolesOf(rolesJson) });
const linkOf = ({ rolesJson, kind, ...row }: EntryLinkModel): EntryLink => ({ ...row, kind: kind as EntryLink["kind"], roles: rolesOf(rolesJson) });

export function addPerson(db: Sqlite, { id, name, nameKey, roles, passphraseHash, createdAt }: Omit<Person, "retiredAt">): void {
  db.prepare(`INSERT INTO "Person" (id, name, nameKey, rolesJson, passphraseHash, createdAt) VALUES (?, ?, ?, ?, ?, ?)`).run(id, name, nameKey, JSON.stringify(roles), passphraseHash, createdAt);
}

/** null: none; retired ones too. */
export function findPerson(db: Sqlite, by: "id" | "nameKey", value: string): Person | null {
  const row = db.prepare<[string], PersonModel>(`SELECT * FROM "Person" WHERE ${by} = ?`).get(value);
  return row === undefined ? null : personOf(row);
}

/** In the order of their names; retired ones last. */
export function listPeople(db: Sqlite): Person[] {
  return db.prepare<[], PersonModel>(`SELECT * FROM "Person" ORDER BY retiredAt IS NOT NULL, nameKey`).all().map(personOf);
}

/** Whether anybody was ever made. */
export function hasPeople(db: Sqlite): boolean {
  return db.prepare(`SELECT 1 FROM "Person" LIMIT 1`).get() !== undefined;
}

export function setRoles(db: Sqlite, id: string, roles: readonly Role[]): void {
  db.prepare(`UPDATE "Person" SET rolesJson = ? WHERE id = ?`).run(JSON.stringify(roles), id);
}

export function setPassphraseHash(db: Sqlite, id: string, hash: string): void {
  db.prepare(`UPDATE "Person" SET passphraseHash = ? WHERE id = ?`).run(hash, id);
}

/** `at` null: the person is back. */
export function setRetired(db: Sqlite, id: string, at: string | null): void {
  db.prepare(`UPDATE "Person" SET retiredAt = ? WHERE id = ?`).run(at, id);
}

export function addSession(db: Sqlite, { tokenSha256, personId, createdAt, expiresAt }: Pick<Session, "tokenSha256" | "personId" | "createdAt" | "expiresAt">): void {
  db.prepare(`INSERT INTO "Session" (tokenSha256, personId, createdAt, seenAt, expiresAt) VALUES (?, ?, ?, ?, ?)`).run(tokenSha256, personId, createdAt, createdAt, expiresAt);
}

/** The session of this hash that was not ended, with its person who is not retired; null: none. Whether it has expired is the caller's to say. */
export function findSession(db: Sqlite, tokenSha256: string): { readonly session: Session; readonly person: Person } | null {
  const session = db.prepare<[string], Session>(`SELECT * FROM "Session" WHERE tokenSha256 = ? AND revokedAt IS NULL`).get(tokenSha256);
  const person = session === undefined ? null : findPerson(db, "id", session.personId);
  return session === undefined || person === null || person.retiredAt !== null ? null : { session, person };
}

/** Sessions that were not ended, of everybody. */
export function listSessions(db: Sqlite): Session[] {
  return db.prepare<[], Session>(`SELECT * FROM "Session" WHERE revokedAt IS NULL`).all();
}

export function noteSeen(db: Sqlite, tokenSha256: string, { seenAt, expiresAt }: Pick<Session, "seenAt" | "expiresAt">): void {
  db.prepare(`UPDATE "Session" SET seenAt = ?, expiresAt = ? WHERE tokenSha256 = ?`).run(seenAt, expiresAt, tokenSha256);
}

export function revokeSession(db: Sqlite, tokenSha256: string, at: string): void {
  db.prepare(`UPDATE "Session" SET revokedAt = ? WHERE tokenSha256 = ? AND revokedAt IS NULL`).run(at, tokenSha256);
}

/** All of a person's but the one named; "": none is spared. */
export function revokeSessions(db: Sqlite, personId: string, at: string, but = ""): void {
  db.prepare(`UPDATE "Session" SET revokedAt = ? WHERE personId = ? AND revokedAt IS NULL AND tokenSha256 <> ?`).run(at, personId, but);
}

/** Forgets sessions and links that ended before `at`. */
export function sweepEntries(db: Sqlite, at: string): void {
  db.prepare(`DELETE FROM "Session" WHERE seenAt < ?`).run(at);
  db.prepare(`DELETE FROM "EntryLink" WHERE coalesce(usedAt, expiresAt) < ?`).run(at);
}

/** Whether a run is open that was made before the instant `at`. */
export function hasOpenRunSince(db: Sqlite, at: string): boolean {
  return db.prepare(`SELECT 1 FROM "Run" WHERE state IN ('prepared', 'live', 'paused', 'onHold') AND createdAt < ? LIMIT 1`).get(at) !== undefined;
}

export function addLink(db: Sqlite, { keySha256, kind, personId, name, nameKey, roles, createdAt, createdBy, expiresAt }: Omit<EntryLink, "usedAt">): void {
  db.prepare(`INSERT INTO "EntryLink" (keySha256, kind, personId, name, nameKey, rolesJson, createdAt, createdBy, expiresAt) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`)
    .run(keySha256, kind, personId, name, nameKey, JSON.stringify(roles), createdAt, createdBy, expiresAt);
}

/** The link of this hash that still counts at the instant `now`; null: none, used, taken back or expired. */
export function findLink(db: Sqlite, keySha256: string, now: string): EntryLink | null {
  const row = db.prepare<[string, string], EntryLinkModel>(`SELECT * FROM "EntryLink" WHERE keySha256 = ? AND usedAt IS NULL AND expiresAt > ?`).get(keySha256, now);
  return row === undefined ? null : linkOf(row);
}

/** Links that still count at the instant `now`, newest first. */
export function listLinks(db: Sqlite, now: string): EntryLink[] {
  return db.prepare<[string], EntryLinkModel>(`SELECT * FROM "EntryLink" WHERE usedAt IS NULL AND expiresAt > ? ORDER BY createdAt DESC, keySha256`).all(now).map(linkOf);
}

/** The link counts no more; false: it did not already. */
export function endLink(db: Sqlite, keySha256: string, at: string): boolean {
  return db.prepare(`UPDATE "EntryLink" SET usedAt = ? WHERE keySha256 = ? AND usedAt IS NULL`).run(at, keySha256).changes === 1;
}

/** Ends all links of a kind, or of a person. */
export function endLinksOf(db: Sqlite, by: "kind" | "personId", value: string, at: string): void {
  db.prepare(`UPDATE "EntryLink" SET usedAt = ? WHERE ${by} = ? AND usedAt IS NULL`).run(at, value);
}
