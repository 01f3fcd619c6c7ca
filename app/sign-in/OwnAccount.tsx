"use client";
import Link from "next/link";
import { useState, type FormEvent } from "react";
import { PASSPHRASE_CHARS } from "../../lib/model/person.ts";
import { PassphraseField } from "../components/PassphraseField.tsx";
import { signOut } from "../components/signOut.ts";
import { sendForm } from "../runs/[id]/sendForm.ts";

/** For whoever is signed in: on, out, out everywhere, and another passphrase. */
export function OwnAccount({ next }: { readonly next: string }) {
  const [current, setCurrent] = useState("");
  const [passphrase, setPassphrase] = useState("");
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm("/api/passphrase", { current, passphrase });
    setSaid("problem" in sent ? `Not changed: ${sent.problem}.` : "Changed. You are signed out on every other browser.");
    if ("problem" in sent) return;
    setCurrent("");
    setPassphrase("");
  };
  return (
    <>
      <p className="acts-row">
        <Link className="act" href={next}>{next === "/" ? "All runs" : "Go on where you were"}</Link>
        <button type="button" onClick={() => { void signOut(true); }}>Sign out on every browser</button>
      </p>
      <form className="entry-form" method="post" onSubmit={(event) => { void submit(event); }} aria-label="Change your passphrase">
        <h2>Another passphrase</h2>
        <PassphraseField label="Passphrase as it is" value={current} onChange={setCurrent} isNew={false} />
        <PassphraseField label="New passphrase" value={passphrase} onChange={setPassphrase} isNew hint={`At least ${PASSPHRASE_CHARS.least} characters, of whatever kind: some words that only you would put together.`} />
        <button type="submit">Change it</button>
        <p role="status">{said}</p>
      </form>
    </>
  );
}
