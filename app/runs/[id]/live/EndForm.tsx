"use client";
import { useState, type FormEvent } from "react";
import { END_REASONS, firstOf } from "../../../../lib/model/reason.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { ReasonField } from "../ReasonField.tsx";
import { sendForm } from "../sendForm.ts";

/** Ends a run whose cell is gone: with a reason that is picked, and words where none fits. The page follows its end by its events. */
export function EndForm({ runId }: { readonly runId: string }) {
  const [picked, setPicked] = useState(() => firstOf(END_REASONS));
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSaid("The end is being written.");
    const sent = await sendForm(`/api/live/${runId}/finish`, picked);
    setSaid("problem" in sent ? `Not ended: ${sent.problem}.` : "The run is over.");
  };
  return (
    <details>
      <summary>The cell is gone: end the run</summary>
      <p className="none">What has come is measured and kept; nothing more is taken. The cell is not told.</p>
      <MayDo deed="end"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="End the run">
        <ReasonField reasons={END_REASONS} picked={picked} onPick={setPicked} />
        <button type="submit">End the run</button>
        <p role="status">{said}</p>
      </form></MayDo>
    </details>
  );
}
