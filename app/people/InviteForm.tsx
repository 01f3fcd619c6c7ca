"use client";
import { useState, type FormEvent } from "react";
import { NAME_MAX_CHARS, type Role } from "../../lib/model/person.ts";
import { LinkMade } from "./LinkMade.tsx";
import type { DoPeople } from "./PeopleSheet.tsx";
import { RoleBoxes } from "./RoleBoxes.tsx";

/** A name, roles, and a link to hand over. */
export function InviteForm({ act }: { readonly act: DoPeople }) {
  const [name, setName] = useState("");
  const [roles, setRoles] = useState<readonly Role[]>(["operator"]);
  const [said, setSaid] = useState("");
  const [made, setMade] = useState<{ readonly path: string; readonly name: string } | null>(null);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const done = await act({ do: "invite", name, roles });
    if ("problem" in done) {
      setSaid(`Not invited: ${done.problem}.`);
      return;
    }
    setSaid("");
    setMade(done.link === null ? null : { path: done.link, name });
    setName("");
  };
  return (
    <>
      <form className="invite-form" onSubmit={(event) => { void submit(event); }} aria-label="Let somebody in">
        <label>Name, as it will stand in logs <input type="text" value={name} required maxLength={NAME_MAX_CHARS} autoComplete="off" spellCheck={false} onChange={(event) => setName(event.target.value)} /></label>
        <RoleBoxes legend="Roles" roles={roles} onChange={setRoles} />
        <button type="submit">Make a link</button>
        <p role="status">{said}</p>
      </form>
      {made === null ? null : <LinkMade path={made.path} name={made.name} />}
    </>
  );
}
