"use client";
import type { ReactNode } from "react";
import { mayDo, roleSentence, type Deed } from "../../lib/model/person.ts";
import { usePerson } from "./Acting.tsx";
import { SignInLink } from "./SignInLink.tsx";

/** A form for those who may send it; for others what they lack: to be signed in, or a role. */
export function MayDo({ deed, children }: { readonly deed: Deed; readonly children: ReactNode }) {
  const person = usePerson();
  if (person === null) return <p className="may-do"><SignInLink>Sign in to do this</SignInLink></p>;
  return mayDo(person.roles, deed) ? children : <p className="may-do none">{roleSentence(person, deed)}</p>;
}
