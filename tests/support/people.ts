/** Somebody who is signed in, made in the store directly: a person, a session, and the cookie that a browser would hold. */
import { randomUUID } from "node:crypto";
import type { BrowserContext } from "playwright-core";
import { ROLES, nameKeyOf, type Role } from "../../lib/model/person.ts";
import { SESSION_COOKIE } from "../../lib/server/people/cookies.ts";
import { NOBODYS_HASH } from "../../lib/server/people/passphrase.ts";
import { beginSession } from "../../lib/server/people/sessions.ts";
import type { Sqlite } from "../../lib/store/connection.ts";
import { addPerson, findPerson } from "../../lib/store/people.ts";

export interface SignedInTest {
  readonly personId: string;
  /** Value of the session's cookie. */
  readonly token: string;
  /** A Cookie header. */
  readonly cookie: string;
}

/** With every role unless told otherwise; the same name again is the same person. Nobody knows a passphrase for it. */
export function signedInAs(db: Sqlite, name: string, { roles = ROLES, nowMs = Date.now() }: { readonly roles?: readonly Role[]; readonly nowMs?: number } = {}): SignedInTest {
  const known = findPerson(db, "nameKey", nameKeyOf(name)), personId = known?.id ?? randomUUID();
  if (known === null) addPerson(db, { id: personId, name, nameKey: nameKeyOf(name), roles, passphraseHash: NOBODYS_HASH, createdAt: new Date(nowMs).toISOString() });
  const token = beginSession(db, personId, nowMs);
  return { personId, token, cookie: `${SESSION_COOKIE}=${token}` };
}

/** Gives a browser the session. */
export async function holdSession(context: BrowserContext, url: string, token: string): Promise<void> {
  await context.addCookies([{ name: SESSION_COOKIE, value: token, url: new URL(url).origin, httpOnly: true, sameSite: "Strict" }]);
}
