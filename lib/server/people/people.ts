/** What administrators see of people and do about them. There is always one administrator who can sign in. */
import { z } from "zod";
import { InputError } from "../../base/errors.ts";
import { rolesFrom, type LinkLine, type PeopleAnswer, type PeopleDeed, type PersonLine, type Role } from "../../model/person.ts";
import { endLink, endLinksOf, findPerson, listLinks, listPeople, revokeSessions, setRetired, setRoles, type Person } from "../../store/people.ts";
import type { Store } from "../../store/openStore.ts";
import { readJson } from "../personInput.ts";
import { isSignedIn, noteComing } from "../comings.ts";
import { sharedStore } from "../settings.ts";
import type { Actor } from "./actor.ts";
import { invite, offerPassphrase } from "./links.ts";
import { goodSessions } from "./sessions.ts";

const roles = z.array(z.string()), personId = z.string();
const deed = z.discriminatedUnion("do", [
  z.object({ do: z.literal("invite"), name: z.string(), roles }), z.object({ do: z.literal("takeBackLink"), keySha256: z.string() }), z.object({ do: z.literal("roles"), personId, roles }),
  z.object({ do: z.enum(["retire", "bringBack", "endSessions", "newPassphrase"]), personId }),
]);
/** InputError upload.badRequest, source.tooLarge. */
export const readPeopleDeed = (request: Request): Promise<PeopleDeed> => readJson(request, deed);

/** Everybody, those who may sign in first. */
export function peopleLines({ db }: Store = sharedStore(), nowMs = Date.now()): PersonLine[] {
  const sessions = goodSessions(db, nowMs);
  return listPeople(db).map(({ id, name, roles, createdAt, retiredAt }) => {
    const good = retiredAt === null ? sessions.get(id) ?? [] : [];
    return { id, name, roles, createdAt, retiredAt, sessionCount: good.length, seenAt: good.map(({ seenAt }) => seenAt).toSorted().at(-1) ?? null };
  });
}

/** Links that were handed out and still count, newest first. */
export function linkLines({ db }: Store = sharedStore(), nowMs = Date.now()): LinkLine[] {
  return listLinks(db, new Date(nowMs).toISOString()).flatMap(({ keySha256, kind, personId, name, roles, createdBy, expiresAt }) => {
    if (kind === "first") return [];
    const person = personId === null ? null : findPerson(db, "id", personId);
    return [{ keySha256, kind, name: person?.name ?? name ?? "", roles: person?.roles ?? roles, createdBy, expiresAt }];
  });
}

function requireRoles(words: readonly string[]): readonly Role[] {
  const found = rolesFrom(words);
  if (found === null || found.length === 0) throw new InputError("people.badValue", "at least one role", found === null ? "another word" : "none", { key: "roles" });
  return found;
}

function requireKnown({ db }: Store, id: string): Person {
  const person = findPerson(db, "id", id);
  if (person === null) throw new InputError("people.unknown", "a person who is kept here", "another", {});
  return person;
}

/** InputError people.lastAdministrator where nobody but this person could make people. */
function requireAnotherAdministrator({ db }: Store, id: string): void {
  if (listPeople(db).some((person) => person.id !== id && person.retiredAt === null && person.roles.includes("administrator"))) return;
  throw new InputError("people.lastAdministrator", "another administrator who can sign in", "the last one", {});
}

/** Does it, in one transaction. InputError people.badValue, people.taken, people.unknown, people.lastAdministrator, people.link. */
export function doPeople(asked: PeopleDeed, { name: by }: Pick<Actor, "name">, store: Store = sharedStore(), nowMs = Date.now()): PeopleAnswer {
  const personId = "personId" in asked ? asked.personId : "", wasIn = isSignedIn(store.db, personId, nowMs);
  const answer = store.db.transaction(() => ({ link: carryOut(store, asked, { by, nowMs, at: new Date(nowMs).toISOString() }) })).immediate();
  noteComing(store, { personId, wasIn, nowMs });
  return answer;
}

function carryOut(store: Store, asked: PeopleDeed, { by, nowMs, at }: { readonly by: string; readonly nowMs: number; readonly at: string }): string | null {
  const { db } = store;
  if (asked.do === "invite") return invite(store, { name: asked.name, roles: requireRoles(asked.roles) }, { by, nowMs });
  if (asked.do === "takeBackLink") {
    if (!endLink(db, asked.keySha256, at)) throw new InputError("people.link", "a link that still counts", "one that does not", {});
    return null;
  }
  const { id, roles: had, retiredAt } = requireKnown(store, asked.personId);
  switch (asked.do) {
    case "roles": {
      const next = requireRoles(asked.roles);
      if (had.includes("administrator") && retiredAt === null && !next.includes("administrator")) requireAnotherAdministrator(store, id);
      setRoles(db, id, next);
      return null;
    }
    case "retire":
      if (had.includes("administrator") && retiredAt === null) requireAnotherAdministrator(store, id);
      setRetired(db, id, retiredAt ?? at);
      revokeSessions(db, id, at);
      endLinksOf(db, "personId", id, at);
      return null;
    case "bringBack":
      setRetired(db, id, null);
      return null;
    case "endSessions":
      revokeSessions(db, id, at);
      return null;
    case "newPassphrase":
      if (retiredAt !== null) throw new InputError("people.unknown", "a person who may sign in", "one who is retired", {});
      return offerPassphrase(store, id, { by, nowMs });
  }
}
