/** What every page begins with. */
import { headers } from "next/headers";
import { redirect } from "next/navigation";
import type { SignedIn } from "../lib/model/person.ts";
import { looksAs } from "../lib/server/people/actor.ts";

/** Who looks, null: nobody is signed in. Leads to the sign-in page, and back to `path`, where looking asks for it. */
export async function look(path: string): Promise<SignedIn | null> {
  const { actor, mayLook } = looksAs({ headers: await headers() });
  if (!mayLook) redirect(`/sign-in?next=${encodeURIComponent(path)}`);
  return signedIn(actor);
}

/** For a page that is free for everybody: who is signed in, null: nobody. */
export async function lookFreely(): Promise<SignedIn | null> {
  return signedIn(looksAs({ headers: await headers() }).actor);
}

/** What of it may go to the browser. */
function signedIn(actor: SignedIn | null): SignedIn | null {
  return actor === null ? null : { name: actor.name, roles: actor.roles };
}
