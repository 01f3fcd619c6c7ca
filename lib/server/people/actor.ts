/** Who a request comes from: the one place that says who may look and who may do what. */
import { InputError } from "../../base/errors.ts";
import { sha256Hex } from "../../log/hash.ts";
import { SCREEN_ACTOR } from "../../model/log.ts";
import { DEED_ROLES, DEEDS, mayDo, rolesText, type Deed, type SignedIn } from "../../model/person.ts";
import { lookingNeeds, sharedStore } from "../settings.ts";
import { readCookie, SCREEN_COOKIE, SESSION_COOKIE } from "./cookies.ts";
import { sessionOf } from "./sessions.ts";

/** A person who is signed in. `name` is the log's actor. */
export interface Actor extends SignedIn {
  readonly personId: string;
  /** Of the session that the request came with. */
  readonly tokenSha256: string;
}

/** What a request has headers of. */
export interface Asking { readonly headers: Pick<Headers, "get"> }

/** Who is signed in on the browser that asks; null: nobody. `isUse`: false where a page asks by itself, so that it keeps nobody signed in. */
export function actorOf({ headers }: Asking, isUse = true): Actor | null {
  const token = readCookie(headers.get("cookie"), SESSION_COOKIE);
  if (token === null) return null;
  const found = sessionOf(sharedStore().db, token, { nowMs: Date.now(), isUse });
  return found === null ? null : { personId: found.person.id, name: found.person.name, roles: found.person.roles, tokenSha256: found.session.tokenSha256 };
}

/** Who does a deed. InputError people.signIn where nobody is signed in, people.role where the person has no role for it. */
export function requirePerson(request: Asking, deed: Deed): Actor {
  const actor = actorOf(request);
  if (actor === null) throw new InputError("people.signIn", "somebody who is signed in", "nobody", {});
  if (!mayDo(actor.roles, deed)) throw new InputError("people.role", `the role ${rolesText(DEED_ROLES[deed], "or")}`, `${actor.name}, who has ${rolesText(actor.roles, "and")}`, {});
  return actor;
}

/**
 * What a route asks of whoever comes: a deed's person; `look`, that it may be looked at; `watch`, the same where a page asks by itself again and
 * again; `open`, nothing. Each route names its own, so that none can leave it out.
 */
export type Door = "open" | "look" | "watch" | Deed;

function isDeed(door: Door): door is Deed {
  return DEEDS.some((deed) => deed === door);
}

/** Lets in or refuses; who is signed in, null: nobody (and none is needed). InputError people.signIn, people.role. */
export function passDoor(request: Asking, door: Door): Actor | null {
  if (isDeed(door)) return requirePerson(request, door);
  if (door === "open") return null;
  const { actor, mayLook } = looksAs(request, door === "look");
  if (!mayLook) throw new InputError("people.signIn", "somebody who is signed in", "nobody", {});
  return actor;
}

/** Who looks at a page, and whether that is allowed. */
export function looksAs(request: Asking, isUse = true): { readonly actor: Actor | null; readonly mayLook: boolean } {
  const actor = actorOf(request, isUse);
  return { actor, mayLook: actor !== null || lookingNeeds() === "nothing" };
}

/** Whether a stream that was begun may go on: its session may have ended since. */
export function mayLookOn(request: Asking): boolean {
  return lookingNeeds() === "nothing" || actorOf(request, false) !== null;
}

/** "4f2c19", from what the browser keeps, which nobody can make out of it; null: it keeps nothing. */
export function screenNameOf({ headers }: Asking): string | null {
  const kept = readCookie(headers.get("cookie"), SCREEN_COOKIE);
  return kept === null ? null : sha256Hex(kept).slice(0, 6);
}

/** Who stands in the log for a pause or an abort: "screen 4f2c19", or "Dana Reyes at screen 4f2c19". It never asks and never fails. */
export function screenActor(request: Asking): string {
  const name = screenNameOf(request), screen = name === null ? SCREEN_ACTOR : `${SCREEN_ACTOR} ${name}`, person = nameOrNull(request);
  return person === null ? screen : `${person} at ${screen}`;
}

/** A pause goes on without its name where the database has none to give. */
function nameOrNull(request: Asking): string | null {
  try {
    return actorOf(request)?.name ?? null;
  } catch (error) {
    console.error("who is at the screen could not be read:", error);
    return null;
  }
}
