/** Links that let somebody in once: the first person, one who was invited, one who gives a new passphrase. There is no e-mail: a link is handed over. */
import { randomBytes } from "node:crypto";
import { z } from "zod";
import { InputError } from "../../base/errors.ts";
import { sha256Hex } from "../../log/hash.ts";
import { PROGRAM_ACTOR } from "../../model/log.ts";
import { nameKeyOf, ROLES, type Role } from "../../model/person.ts";
import { addLink, addPerson, endLink, endLinksOf, findLink, findPerson, hasPeople, revokeSessions, setPassphraseHash, type EntryLink } from "../../store/people.ts";
import type { Store } from "../../store/openStore.ts";
import { readJson } from "../personInput.ts";
import { isSignedIn, noteComing } from "../comings.ts";
import { newId, sharedStore } from "../settings.ts";
import type { Asking } from "./actor.ts";
import { requireFreeName } from "./names.ts";
import { hashPassphrase, requirePassphrase } from "./passphrase.ts";
import { beginSession } from "./sessions.ts";
import { sessionCookie, withCookie } from "./signIn.ts";

/** How long an invited person has, ms. */
export const INVITED_MS = 72 * 3_600_000;
/** The first link counts until it is used or the server ends; the next server voids it. */
const NEVER = "9999-12-31T23:59:59.999Z";

const entry = z.object({ key: z.string(), name: z.string(), passphrase: z.string() });
/** What a person gives who comes in by a link; `name` counts for the first one alone. InputError upload.badRequest, source.tooLarge. */
export const readEntry = (request: Request): Promise<z.output<typeof entry>> => readJson(request, entry);

function makeLink({ db }: Store, link: Omit<EntryLink, "usedAt" | "keySha256">): string {
  const key = randomBytes(32).toString("base64url");
  addLink(db, { ...link, keySha256: sha256Hex(key) });
  return `/${link.kind === "first" ? "first" : "invited"}?key=${key}`;
}

/** The path that lets the first person in, and the one before counts no more; null: there are people. */
export function makeFirstLink(store: Store, nowIso: string): string | null {
  return store.db.transaction((): string | null => {
    endLinksOf(store.db, "kind", "first", nowIso);
    if (hasPeople(store.db)) return null;
    return makeLink(store, { kind: "first", personId: null, name: null, nameKey: null, roles: ROLES, createdAt: nowIso, createdBy: PROGRAM_ACTOR, expiresAt: NEVER });
  }).immediate();
}

interface Offered { readonly by: string; readonly nowMs: number }

/** The path that lets an invited person in. InputError people.badValue, people.taken. */
export function invite(store: Store, { name, roles }: { readonly name: string; readonly roles: readonly Role[] }, { by, nowMs }: Offered): string {
  const createdAt = new Date(nowMs).toISOString();
  return store.db.transaction((): string => {
    const clean = requireFreeName(store, name, createdAt);
    return makeLink(store, { kind: "invited", personId: null, name: clean, nameKey: nameKeyOf(clean), roles, createdAt, createdBy: by, expiresAt: new Date(nowMs + INVITED_MS).toISOString() });
  }).immediate();
}

/** The path by which a person gives a new passphrase; an earlier one counts no more. */
export function offerPassphrase(store: Store, personId: string, { by, nowMs }: Offered): string {
  const createdAt = new Date(nowMs).toISOString();
  return store.db.transaction((): string => {
    endLinksOf(store.db, "personId", personId, createdAt);
    return makeLink(store, { kind: "newPassphrase", personId, name: null, nameKey: null, roles: [], createdAt, createdBy: by, expiresAt: new Date(nowMs + INVITED_MS).toISOString() });
  }).immediate();
}

function refuseLink(): never {
  throw new InputError("people.link", "a link that still counts", "one that was used, taken back or is too old", {});
}

/** What a link is for: its page shows it. `name` null: it is to be typed. */
export interface LinkView { readonly kind: EntryLink["kind"]; readonly name: string | null; readonly roles: readonly Role[] }

function linkOf({ db }: Store, key: string, nowMs: number): { readonly link: EntryLink; readonly name: string | null } | null {
  const link = findLink(db, sha256Hex(key), new Date(nowMs).toISOString());
  if (link === null || (link.kind === "first" && hasPeople(db))) return null;
  const person = link.personId === null ? null : findPerson(db, "id", link.personId);
  return link.kind === "newPassphrase" && person?.retiredAt !== null ? null : { link, name: person?.name ?? link.name };
}

/** null: it does not count, or not any more. */
export function viewLink(key: string, store: Store = sharedStore(), nowMs = Date.now()): LinkView | null {
  const found = linkOf(store, key, nowMs);
  return found === null ? null : { kind: found.link.kind, name: found.name, roles: found.link.roles };
}

/** Takes a link: the person is there with this passphrase, and is signed in. InputError people.link, people.badValue, people.taken, people.wait. */
export async function enterBy(request: Asking, { key, name, passphrase }: z.output<typeof entry>, store: Store = sharedStore(), nowMs = Date.now()): Promise<Response> {
  const { db } = store, at = new Date(nowMs).toISOString(), before = linkOf(store, key, nowMs) ?? refuseLink(), called = before.name ?? requireFreeName(store, name, at);
  requirePassphrase(passphrase, called);
  const hash = await hashPassphrase(passphrase);
  const { token, personId, wasIn } = db.transaction(() => {
    const { link } = linkOf(store, key, nowMs) ?? refuseLink(); // somebody else may have come in by it meanwhile
    endLink(db, link.keySha256, at);
    const before = link.personId !== null && isSignedIn(db, link.personId, nowMs);
    const id = link.personId === null ? madePerson(store, { name: called, roles: link.roles, hash, at }) : withNewPassphrase(store, link.personId, hash, at);
    return { token: beginSession(db, id, nowMs), personId: id, wasIn: before };
  }).immediate();
  noteComing(store, { personId, wasIn, nowMs });
  return withCookie({ name: called }, sessionCookie(request, token));
}

function madePerson(store: Store, { name, roles, hash, at }: { readonly name: string; readonly roles: readonly Role[]; readonly hash: string; readonly at: string }): string {
  const id = newId(), clean = requireFreeName(store, name, at);
  addPerson(store.db, { id, name: clean, nameKey: nameKeyOf(clean), roles, passphraseHash: hash, createdAt: at });
  return id;
}

function withNewPassphrase({ db }: Store, personId: string, hash: string, at: string): string {
  setPassphraseHash(db, personId, hash);
  revokeSessions(db, personId, at);
  return personId;
}
