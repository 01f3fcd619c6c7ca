"use client";
import { useState, type FormEvent } from "react";
import { PassphraseField } from "../components/PassphraseField.tsx";
import { sendForm } from "../runs/[id]/sendForm.ts";

/** Name and passphrase; then on to where the person came from. Sent as a form without scripts it would reach nobody, and no address. */
export function SignInForm({ next }: { readonly next: string }) {
  const [name, setName] = useState("");
  const [passphrase, setPassphrase] = useState("");
  const [said, setSaid] = useState("");
  const [sending, setSending] = useState(false);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSending(true);
    setSaid("");
    const sent = await sendForm("/api/sign-in", { name, passphrase });
    if (!("problem" in sent)) {
      window.location.assign(next);
      return;
    }
    setSending(false);
    setSaid(`Not signed in: ${sent.problem}.`);
  };
  return (
    <form className="entry-form" method="post" onSubmit={(event) => { void submit(event); }} aria-label="Sign in">
      <label>Name <input type="text" name="name" value={name} required autoComplete="username" autoCapitalize="none" spellCheck={false} onChange={(event) => setName(event.target.value)} /></label>
      <PassphraseField label="Passphrase" value={passphrase} onChange={setPassphrase} isNew={false} />
      <button type="submit" disabled={sending}>Sign in</button>
      <p role="status">{said}</p>
      <p className="hint-words">Without a passphrase, or with a forgotten one: an administrator hands out links, for new people and for new passphrases.</p>
    </form>
  );
}
