"use client";
import { useState, type FormEvent } from "react";
import { NOTE_MAX_CHARS } from "../../../../lib/model/disposition.ts";
import type { GateLine } from "../../../../lib/model/liveSheet.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { sendForm } from "../sendForm.ts";

/** Lets a layer that is held be covered as it is: with a reason, in the person's name. */
export function GateForm({ runId, layer }: { readonly runId: string; readonly layer: GateLine["layer"] }) {
  const [reason, setReason] = useState(""), [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm(`/api/live/${runId}/gate`, { layer, reason });
    setSaid("problem" in sent ? `Not written: ${sent.problem}.` : "");
  };
  return (
    <details className="gate-form">
      <summary>Cover it as it is</summary>
      <MayDo deed="dispose"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label={`Let layer ${layer} be covered`}>
        <label>Why layer {layer} may be covered <input type="text" value={reason} required maxLength={NOTE_MAX_CHARS} onChange={(event) => setReason(event.target.value)} /></label>
        <button type="submit">Open the gate</button>
        <p role="status">{said}</p>
      </form></MayDo>
    </details>
  );
}
