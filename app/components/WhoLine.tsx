"use client";
import Link from "next/link";
import { mayDo } from "../../lib/model/person.ts";
import { usePerson } from "./Acting.tsx";
import { SignInLink } from "./SignInLink.tsx";
import { signOut } from "./signOut.ts";

/** Who is signed in, on every sheet's top; and the way in or out. */
export function WhoLine() {
  const person = usePerson();
  if (person === null) return <SignInLink>Sign in</SignInLink>;
  return (
    <span className="who">
      {mayDo(person.roles, "people") ? <Link href="/people">People</Link> : null}
      <Link href="/sign-in" title="Your passphrase, and where you are signed in">{person.name}</Link>
      <button type="button" className="plain-button" onClick={() => { void signOut(); }}>Sign out</button>
    </span>
  );
}
