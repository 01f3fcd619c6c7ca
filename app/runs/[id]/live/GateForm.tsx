"use client";
import { useState, type FormEvent } from "react";
import type { GateLine } from "../../../../lib/model/liveSheet.ts";
import { firstOf, GATE_REASONS } from "../../../../lib/model/reason.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { ReasonField } from "../ReasonField.tsx";
import { sendForm } from "../sendForm.ts";

/** Lets a layer that is held be covered as it is: with a reason, in the person's name. */
export function GateForm({ runId, layer }: { readonly runId: string; readonly layer: GateLine["layer"] }) {
  const [picked, setPicked] = useState(() => firstOf(GATE_REASONS)), [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm(`/api/live/${runId}/gate`, { layer, ...picked });
    setSaid("problem" in sent ? `Not written: ${sent.problem}.` : "");
  };
  return (
    <details className="gate-form">
      <summary>Cover it as it is</summary>
      <p className="none">Layer {layer} may then be covered, whatever is open on it.</p>
      <MayDo deed="dispose"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label={`Let layer ${layer} be covered`}>
        <ReasonField reasons={GATE_REASONS} picked={picked} onPick={setPicked} />
        <button type="submit">Open the gate</button>
        <p role="status">{said}</p>
      </form></MayDo>
    </details>
  );
}
