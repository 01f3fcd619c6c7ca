/** Signing in and out, and a new passphrase of one's own. A wrong name and a wrong passphrase cost the same and are told in the same words. */
import { z } from "zod";
import { InputError } from "../../base/errors.ts";
import { nameKeyOf } from "../../model/person.ts";
import { findPerson, revokeSession, revokeSessions, setPassphraseHash, type Person } from "../../store/people.ts";
import type { Store } from "../../store/openStore.ts";
import { readJson } from "../personInput.ts";
import { isSignedIn, noteComing } from "../comings.ts";
import { sharedStore } from "../settings.ts";
import type { Actor, Asking } from "./actor.ts";
import { cameByHttps, cookieText, SESSION_COOKIE } from "./cookies.ts";
import { ADDRESS_RULE, Delays, NAME_RULE, WaitError } from "./delays.ts";
import { addressOf } from "./incoming.ts";
import { hashPassphrase, isPassphrase, requirePassphrase } from "./passphrase.ts";
import { beginSession } from "./sessions.ts";

const KEY = Symbol.for("aslaid.delays");
interface Doorkeeper { readonly names: Delays; readonly addresses: Delays }

/** One a process: routes may be bundled apart, so it hangs on globalThis. */
function doorkeeper(): Doorkeeper {
  const holder = globalThis as { [KEY]?: Doorkeeper };
  holder[KEY] ??= { names: new Delays(NAME_RULE), addresses: new Delays(ADDRESS_RULE) };
  return holder[KEY];
}

const given = z.object({ name: z.string(), passphrase: z.string() });
const change = z.object({ current: z.string(), passphrase: z.string() });

/** InputError upload.badRequest, source.tooLarge. */
export const readSignIn = (request: Request): Promise<z.output<typeof given>> => readJson(request, given);
/** InputError upload.badRequest, source.tooLarge. */
export const readChange = (request: Request): Promise<z.output<typeof change>> => readJson(request, change);

interface Try { readonly nameKey: string; readonly address: string; readonly nowMs: number }

/** Does `work` where name and address need not wait; it counts as failed until it gives something. InputError people.wait. */
async function counted<T>({ nameKey, address, nowMs }: Try, work: () => Promise<T | null>): Promise<T | null> {
  const { names, addresses } = doorkeeper(), leftMs = Math.max(names.leftMs(nameKey, nowMs), addresses.leftMs(address, nowMs));
  if (leftMs > 0) throw new WaitError(Math.ceil(leftMs / 1000));
  names.fail(nameKey, nowMs);
  addresses.fail(address, nowMs);
  try {
    const done = await work();
    if (done === null) return null;
    names.forgive(nameKey, "none");
    addresses.forgive(address, "oneLess");
    return done;
  } catch (error) {
    names.forgive(nameKey, "oneLess"); // too many at once: it was no try
    addresses.forgive(address, "oneLess");
    throw error;
  }
}

function wrong(): never {
  throw new InputError("people.wrong", "a name and its passphrase", "another of the two", {});
}

/** The person of a name and passphrase. InputError people.wrong, people.wait. */
async function personOf({ db }: Store, { name, passphrase }: { readonly name: string; readonly passphrase: string }, tried: Try): Promise<Person> {
  const found = await counted(tried, async () => {
    const known = findPerson(db, "nameKey", nameKeyOf(name)), person = known?.retiredAt === null ? known : null;
    return await isPassphrase(passphrase, person?.passphraseHash ?? null) ? person : null;
  });
  return found ?? wrong();
}

/** The Set-Cookie line of a session that begins. */
export function sessionCookie(request: Asking, token: string): string {
  return cookieText(SESSION_COOKIE, token, { maxAgeS: null, isHttps: cameByHttps(request.headers) });
}

/** An answer in JSON that sets the cookie. */
export function withCookie(value: object, cookie: string): Response {
  return Response.json(value, { headers: { "Set-Cookie": cookie, "Cache-Control": "no-store" } });
}

/** Signs in on this browser. InputError people.wrong, people.wait. */
export async function signIn(request: Asking, who: { readonly name: string; readonly passphrase: string }, store: Store = sharedStore(), nowMs = Date.now()): Promise<Response> {
  const person = await personOf(store, who, { nameKey: nameKeyOf(who.name).slice(0, 200), address: addressOf(request), nowMs });
  const wasIn = isSignedIn(store.db, person.id, nowMs), token = beginSession(store.db, person.id, nowMs);
  noteComing(store, { personId: person.id, wasIn, nowMs });
  return withCookie({ name: person.name, roles: person.roles }, sessionCookie(request, token));
}

/** Signs out here, or on every browser. Nobody signed in: nothing is done. */
export function signOut(request: Asking, actor: Actor | null, isEverywhere: boolean, store: Store = sharedStore(), nowMs = Date.now()): Response {
  const at = new Date(nowMs).toISOString();
  if (actor !== null) {
    if (isEverywhere) revokeSessions(store.db, actor.personId, at);
    else revokeSession(store.db, actor.tokenSha256, at);
    noteComing(store, { personId: actor.personId, wasIn: true, nowMs });
  }
  return withCookie({}, cookieText(SESSION_COOKIE, "", { maxAgeS: 0, isHttps: cameByHttps(request.headers) }));
}

/** Who is signed in gives their passphrase again; a wrong one counts as a failed sign-in does. InputError people.wrong, people.wait. */
export async function confirmPerson(request: Asking, { name }: Pick<Actor, "name">, passphrase: string, store: Store = sharedStore(), nowMs = Date.now()): Promise<void> {
  await personOf(store, { name, passphrase }, { nameKey: nameKeyOf(name), address: addressOf(request), nowMs });
}

/** A new passphrase of one's own; sessions elsewhere end. InputError people.wrong, people.wait, people.badValue. */
export async function changePassphrase(request: Asking, actor: Actor, { current, passphrase }: z.output<typeof change>, store: Store = sharedStore(), nowMs = Date.now()): Promise<object> {
  await confirmPerson(request, actor, current, store, nowMs);
  requirePassphrase(passphrase, actor.name);
  const hash = await hashPassphrase(passphrase);
  store.db.transaction(() => {
    setPassphraseHash(store.db, actor.personId, hash);
    revokeSessions(store.db, actor.personId, new Date(nowMs).toISOString(), actor.tokenSha256);
  }).immediate();
  return {};
}
