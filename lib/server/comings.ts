/** Who was at the bench while a run was open: coming and going stand in its log, once for a person, however many browsers they use. */
import type { LogDraft } from "../log/entries.ts";
import type { Sqlite } from "../store/connection.ts";
import { listOpenRuns } from "../store/liveRuns.ts";
import { readSeals } from "../store/logTable.ts";
import type { Store } from "../store/openStore.ts";
import { findPerson, type Person } from "../store/people.ts";
import { unlessDiskRefuses } from "./diskRefuses.ts";
import { goodSessions } from "./people/sessions.ts";
import { recordEntry } from "./record.ts";

function cameDraft({ name, roles }: Pick<Person, "name" | "roles">, at: string): LogDraft {
  return { actor: name, at, kind: "person.signedIn", payload: { person: name, roles } };
}

/** Those who are signed in at the instant `at`, for the log of a run that begins. */
export function signedInDrafts(db: Sqlite, at: string): LogDraft[] {
  return [...goodSessions(db, Date.parse(at)).keys()].flatMap((id) => {
    const person = findPerson(db, "id", id);
    return person === null || person.retiredAt !== null ? [] : [cameDraft(person, at)];
  });
}

export function isSignedIn(db: Sqlite, personId: string, nowMs: number): boolean {
  return goodSessions(db, nowMs).has(personId);
}

interface Coming { readonly personId: string; readonly wasIn: boolean; readonly nowMs: number }

/** To be called after what changed somebody's sessions; `wasIn`: before it. Each open run is told where they came or went. A disk that refuses stops nobody. */
export function noteComing(store: Store, { personId, wasIn, nowMs }: Coming): void {
  const { db } = store, person = findPerson(db, "id", personId), isIn = isSignedIn(db, personId, nowMs);
  if (person === null || isIn === wasIn) return;
  const at = new Date(nowMs).toISOString();
  const draft: LogDraft = isIn ? cameDraft(person, at) : { actor: person.name, at, kind: "person.signedOut", payload: { person: person.name } };
  for (const { id } of listOpenRuns(db)) if (readSeals(db, id).length > 0) unlessDiskRefuses(() => { recordEntry(store, id, draft); });
}
