"use client";
import { useState, type FormEvent } from "react";
import { useWho } from "../../../components/useStored.ts";
import { sendForm } from "../sendForm.ts";

/** Ends a run whose cell is gone: with a reason and a name. The page follows its end by its events. */
export function EndForm({ runId }: { readonly runId: string }) {
  const [reason, setReason] = useState("");
  const [who, setWho] = useWho();
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSaid("The end is being written.");
    const sent = await sendForm(`/api/live/${runId}/finish`, { reason, actor: who });
    setSaid("problem" in sent ? `Not ended: ${sent.problem}.` : "The run is over.");
  };
  return (
    <details>
      <summary>The cell is gone: end the run</summary>
      <p className="none">What has come is measured and kept; nothing more is taken. The cell is not told.</p>
      <form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="End the run">
        <label>Reason <input type="text" value={reason} required maxLength={500} onChange={(event) => setReason(event.target.value)} /></label>
        <label>Who <input type="text" value={who} required autoComplete="name" onChange={(event) => setWho(event.target.value)} /></label>
        <button type="submit">End the run</button>
        <p role="status">{said}</p>
      </form>
    </details>
  );
}
