"use client";
import { useId, useState } from "react";
import type { CellAsk } from "../../lib/model/liveSheet.ts";
import { dateWords } from "../components/TitleBlock.tsx";
import { AbortAsk } from "../runs/[id]/live/AbortAsk.tsx";
import { sendForm } from "../runs/[id]/sendForm.ts";

/** Whoever is led to sign in while a print goes on can ask it to stop from here, without a name. */
export function PauseHere({ prints }: { readonly prints: readonly { readonly runId: string; readonly createdAt: string }[] }) {
  const [said, setSaid] = useState(""), noteId = useId();
  const ask = async (runId: string, what: CellAsk): Promise<void> => {
    const sent = await sendForm<{ readonly n: number }>(`/api/live/${runId}/commands`, what);
    setSaid("problem" in sent ? `Not asked: ${sent.problem}.` : `Asked as number ${sent.kept.n}. Whether the cell does it stands on the run’s page.`);
  };
  return (
    <section className="print-goes-on" aria-labelledby="print-title">
      <h2 id="print-title">A print goes on. To pause or abort it takes no name.</h2>
      {prints.map(({ runId, createdAt }) => (
        <div key={runId} className="ask-buttons" role="group" aria-label={`The print made ${dateWords(createdAt)}`}>
          {prints.length === 1 ? null : <p>made {dateWords(createdAt)}</p>}
          <button type="button" className="first" onClick={() => { void ask(runId, { kind: "pause", at: "strandEnd" }); }}><b>Pause at the strand’s end</b></button>
          <button type="button" onClick={() => { void ask(runId, { kind: "pause", at: "now" }); }}><b>Pause now</b></button>
          <AbortAsk mayAsk noteId={noteId} onAbort={() => { void ask(runId, { kind: "abort" }); }} />
        </div>
      ))}
      <p id={noteId}>Requests to the cell, no emergency stop.</p>
      <p role="status">{said}</p>
    </section>
  );
}
