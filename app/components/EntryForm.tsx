"use client";
import { useState } from "react";
import { NAME_MAX_CHARS, PASSPHRASE_CHARS } from "../../lib/model/person.ts";
import { PassphraseField } from "./PassphraseField.tsx";
import { useEntering } from "./useEntering.ts";

interface Props {
  readonly linkKey: string;
  /** null: it is typed. */
  readonly name: string | null;
  readonly buttonWords: string;
}

/** What a person gives who comes in by a link. */
export function EntryForm({ linkKey, name, buttonWords }: Props) {
  const [typed, setTyped] = useState("");
  const [passphrase, setPassphrase] = useState("");
  const { said, isSending, submit } = useEntering("/api/entry", { next: "/", refused: "Not done" });
  return (
    <form className="entry-form" method="post" onSubmit={(event) => { void submit(event, { key: linkKey, name: name ?? typed, passphrase }); }} aria-label={buttonWords}>
      {name === null
        ? <label>Name, as it will stand in logs <input type="text" name="name" value={typed} required maxLength={NAME_MAX_CHARS} autoComplete="username" spellCheck={false} onChange={(event) => setTyped(event.target.value)} /></label>
        : <label>Name, as it stands in logs <input type="text" name="name" value={name} readOnly autoComplete="username" /></label>}
      <PassphraseField label="Passphrase" value={passphrase} onChange={setPassphrase} isNew hint={`At least ${PASSPHRASE_CHARS.least} characters, of whatever kind: some words that only you would put together.`} />
      <button type="submit" disabled={isSending}>{buttonWords}</button>
      <p role="status">{said}</p>
    </form>
  );
}
