"use client";
import { useState } from "react";
import type { PeopleDeed, PersonLine, Role } from "../../lib/model/person.ts";
import { dateWords } from "../components/TitleBlock.tsx";
import { LinkMade } from "./LinkMade.tsx";
import type { DoPeople } from "./PeopleSheet.tsx";
import { RoleBoxes } from "./RoleBoxes.tsx";

function factsOf({ createdAt, retiredAt, sessionCount, seenAt }: PersonLine): string {
  if (retiredAt !== null) return `here since ${dateWords(createdAt)}, retired ${dateWords(retiredAt)}`;
  const now = sessionCount === 0 ? "not signed in" : `signed in on ${sessionCount === 1 ? "one browser" : `${sessionCount} browsers`}, last seen ${dateWords(seenAt ?? createdAt)}`;
  return `here since ${dateWords(createdAt)}; ${now}`;
}

type Simple = "retire" | "bringBack" | "endSessions" | "newPassphrase";
const DONE: Readonly<Record<Simple | "roles", string>> = { roles: "The roles are kept.", retire: "Retired.", bringBack: "Back again.", endSessions: "Signed out everywhere.", newPassphrase: "" };

/** A person: roles, and what else can be done. */
export function PersonRow({ person, act }: { readonly person: PersonLine; readonly act: DoPeople }) {
  const { id, name, retiredAt } = person;
  const [picked, setPicked] = useState<readonly Role[] | null>(null);
  const [said, setSaid] = useState("");
  const [link, setLink] = useState<string | null>(null);
  const send = async (deed: PeopleDeed & { readonly do: Simple | "roles" }): Promise<void> => {
    const done = await act(deed);
    setSaid("problem" in done ? `Not done: ${done.problem}.` : DONE[deed.do]);
    setLink("problem" in done ? null : done.link);
    if (deed.do === "roles" && !("problem" in done)) setPicked(null);
  };
  const button = (what: Simple, words: string) => <button type="button" onClick={() => { void send({ do: what, personId: id }); }} aria-label={`${words}: ${name}`}>{words}</button>;
  const roles = picked ?? person.roles, isChanged = roles.join() !== person.roles.join();
  return (
    <li className={retiredAt === null ? "person" : "person retired"}>
      <div><p className="person-name">{name}</p><p className="person-facts">{factsOf(person)}</p></div>
      {retiredAt === null ? (
        <div>
          <RoleBoxes legend={`Roles of ${name}`} roles={roles} onChange={setPicked} />
          <p className="acts-row">
            <button type="button" disabled={!isChanged} onClick={() => { void send({ do: "roles", personId: id, roles }); }} aria-label={`Keep the roles of ${name}`}>Keep the roles</button>
            {button("newPassphrase", "Link for a new passphrase")}{button("endSessions", "End sessions")}{button("retire", "Retire")}
          </p>
        </div>
      ) : <p className="acts-row">{button("bringBack", "Bring back")}</p>}
      {link === null ? null : <LinkMade path={link} name={name} />}
      <p role="status" className="person-said">{said}</p>
    </li>
  );
}
