"use client";
import { useState } from "react";
import { PassphraseField } from "../components/PassphraseField.tsx";
import { useEntering } from "../components/useEntering.ts";

/** Name and passphrase; then on to where the person came from. Sent as a form without scripts it would reach nobody, and no address. */
export function SignInForm({ next }: { readonly next: string }) {
  const [name, setName] = useState("");
  const [passphrase, setPassphrase] = useState("");
  const { said, isSending, submit } = useEntering("/api/sign-in", { next, refused: "Not signed in" });
  return (
    <form className="entry-form" method="post" onSubmit={(event) => { void submit(event, { name, passphrase }); }} aria-label="Sign in">
      <label>Name <input type="text" name="name" value={name} required autoComplete="username" autoCapitalize="none" spellCheck={false} onChange={(event) => setName(event.target.value)} /></label>
      <PassphraseField label="Passphrase" value={passphrase} onChange={setPassphrase} isNew={false} />
      <button type="submit" disabled={isSending}>Sign in</button>
      <p role="status">{said}</p>
      <p className="hint-words">Without a passphrase, or with a forgotten one: an administrator hands out links, for new people and for new passphrases.</p>
    </form>
  );
}
