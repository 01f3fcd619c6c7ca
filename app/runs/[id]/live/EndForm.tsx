"use client";
import { useState, type FormEvent } from "react";
import { END_REASONS, END_WORDS_MAX_CHARS, OTHER_END_REASON } from "../../../../lib/model/endReason.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { sendForm } from "../sendForm.ts";

/** Ends a run whose cell is gone: with a reason that is picked, and words where none fits. The page follows its end by its events. */
export function EndForm({ runId }: { readonly runId: string }) {
  const [reason, setReason] = useState<string>(END_REASONS[0].code);
  const [words, setWords] = useState("");
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSaid("The end is being written.");
    const sent = await sendForm(`/api/live/${runId}/finish`, { reason, words: reason === OTHER_END_REASON ? words : "" });
    setSaid("problem" in sent ? `Not ended: ${sent.problem}.` : "The run is over.");
  };
  return (
    <details>
      <summary>The cell is gone: end the run</summary>
      <p className="none">What has come is measured and kept; nothing more is taken. The cell is not told.</p>
      <MayDo deed="end"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="End the run">
        <label>Reason <select value={reason} onChange={(event) => setReason(event.target.value)}>{END_REASONS.map(({ code, label }) => <option key={code} value={code}>{label}</option>)}</select></label>
        {reason === OTHER_END_REASON ? <label>In words <input type="text" value={words} required maxLength={END_WORDS_MAX_CHARS} onChange={(event) => setWords(event.target.value)} /></label> : null}
        <button type="submit">End the run</button>
        <p role="status">{said}</p>
      </form></MayDo>
    </details>
  );
}
