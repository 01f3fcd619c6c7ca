"use client";
import { useState } from "react";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import { sendForm } from "../sendForm.ts";

/** Whether the program may ask for a pause by itself, and a way to change that. */
export function AutoPause({ runId, autoPause: { isOn, by } }: { readonly runId: string; readonly autoPause: LiveWords["autoPause"] }) {
  const [said, setSaid] = useState("");
  const change = async (): Promise<void> => {
    const sent = await sendForm(`/api/live/${runId}/auto`, { isOn: !isOn });
    setSaid("problem" in sent ? `Not changed: ${sent.problem}.` : "");
  };
  return (
    <section className="live-part auto-pause" aria-labelledby="auto-title">
      <h2 id="auto-title">Pausing by itself</h2>
      <p>{isOn ? "The program asks for a pause by itself where the policy of the job says so." : "The program asks for no pause about a finding by itself; a layer that is held still asks for its own."}{by === null ? "" : ` So since ${by} changed it.`}</p>
      <button type="button" onClick={() => { void change(); }}>{isOn ? "Ask for none by itself" : "Let it ask by itself"}</button>
      <p role="status" className="said">{said}</p>
    </section>
  );
}
