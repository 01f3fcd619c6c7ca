"use client";
import { createContext, useContext, type ReactNode } from "react";
import type { SignedIn } from "../../lib/model/person.ts";

const PersonContext = createContext<SignedIn | null>(null);

/** Tells everything in it who is signed in; null: nobody. */
export function Acting({ person, children }: { readonly person: SignedIn | null; readonly children: ReactNode }) {
  return <PersonContext value={person}>{children}</PersonContext>;
}

export function usePerson(): SignedIn | null {
  return useContext(PersonContext);
}
