"use client";
import { useRouter } from "next/navigation";
import { useState } from "react";
import { ROLES, ROLE_WORDS, rolesText, type LinkLine, type PeopleAnswer, type PeopleDeed, type PersonLine } from "../../lib/model/person.ts";
import { dateWords } from "../components/TitleBlock.tsx";
import { sendForm } from "../runs/[id]/sendForm.ts";
import { InviteForm } from "./InviteForm.tsx";
import { PersonRow } from "./PersonRow.tsx";

/** Does a deed and has the page made anew; the path of a link where one was made, or why it was not done. */
export type DoPeople = (deed: PeopleDeed) => Promise<{ readonly link: string | null } | { readonly problem: string }>;

/** Everybody with what can be done about them, an invitation, and the links that are on their way. */
export function PeopleSheet({ people, links }: { readonly people: readonly PersonLine[]; readonly links: readonly LinkLine[] }) {
  const router = useRouter();
  const [linkSaid, setLinkSaid] = useState("");
  const act: DoPeople = async (deed) => {
    const sent = await sendForm<PeopleAnswer>("/api/people", deed);
    router.refresh();
    return "problem" in sent ? sent : sent.kept;
  };
  const takeBack = async (keySha256: string): Promise<void> => {
    const done = await act({ do: "takeBackLink", keySha256 });
    setLinkSaid("problem" in done ? `Not taken back: ${done.problem}.` : "Taken back. The link lets nobody in any more.");
  };
  return (
    <>
      <section aria-labelledby="people-title">
        <h2 id="people-title">People</h2>
        <ul>{people.map((person) => <PersonRow key={person.id} person={person} act={act} />)}</ul>
      </section>
      <section aria-labelledby="invite-title">
        <h2 id="invite-title">Let somebody in</h2>
        <InviteForm act={act} />
        <dl className="role-words">{ROLES.map((role) => <div key={role}><dt>{role}</dt><dd>{ROLE_WORDS[role]}</dd></div>)}</dl>
      </section>
      <section aria-labelledby="links-title">
        <h2 id="links-title">Links that are on their way</h2>
        {links.length === 0 ? <p className="none">There are none.</p> : (
          <ul>
            {links.map(({ keySha256, kind, name, roles, createdBy, expiresAt }) => (
              <li key={keySha256} className="person">
                <div><p className="person-name">{name}</p><p className="person-facts">{kind === "invited" ? `invited as ${rolesText(roles, "and")}` : "a new passphrase"}, by {createdBy}; counts until {dateWords(expiresAt)}</p></div>
                <p className="acts-row"><button type="button" onClick={() => { void takeBack(keySha256); }} aria-label={`Take it back: ${name}`}>Take it back</button></p>
              </li>
            ))}
          </ul>
        )}
        <p role="status">{linkSaid}</p>
      </section>
    </>
  );
}
