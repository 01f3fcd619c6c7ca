import type { Metadata } from "next";
import Link from "next/link";
import { ownPath, rolesText } from "../../lib/model/person.ts";
import { printsGoingOn, signInFacts } from "../../lib/server/people/signInPage.ts";
import { Acting } from "../components/Acting.tsx";
import { Cautions } from "../components/Cautions.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { lookFreely } from "../door.ts";
import { OwnAccount } from "./OwnAccount.tsx";
import { PauseHere } from "./PauseHere.tsx";
import { SignInForm } from "./SignInForm.tsx";
import "../people/people.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Sign in" };

/** `?next=PATH`: where to go on, of this server alone. Free for everybody; whoever is signed in finds the own passphrase and sessions here. */
export default async function SignInPage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const next = ownPath((await searchParams)["next"]), person = await lookFreely(), { hasPeople, isLookingFree } = signInFacts(), prints = printsGoingOn();
  return (
    <Acting person={person}><main className="sheet entry">
      <header>
        <div className="above">{isLookingFree || person !== null ? <Link href="/">All runs</Link> : null}{person === null ? null : <WhoLine />}</div>
        <h1>{person !== null ? `You are signed in as ${person.name}.` : hasPeople ? "Sign in." : "Nobody can sign in yet."}</h1>
        <p className="detail">
          {person !== null ? `You have the role ${rolesText(person.roles, "and")}.`
            : !hasPeople ? "The server printed a link when it started that lets the first person in, once. It stands in the server’s own output."
              : isLookingFree ? "To look is free here. To act takes a name, for the run’s log." : "Here it takes a name to look, and to act."}
        </p>
      </header>
      <div className="way">
        {person === null && prints.length > 0 ? <PauseHere prints={prints} /> : null}
        {person !== null ? <OwnAccount next={next} /> : hasPeople ? <SignInForm next={next} /> : null}
      </div>
      <Cautions />
      <TitleBlock cells={[
        { label: "sheet", value: person === null ? "signing in" : "your passphrase and sessions", twelfths: 4 }, { label: "looking", value: isLookingFree ? "free" : "asks for sign-in", twelfths: 4 }, { label: "acting", value: "asks for sign-in", twelfths: 4 },
      ]} />
      <SafetyNote />
    </main></Acting>
  );
}
