"use client";
import { useState } from "react";
import type { CellAsk, LiveWords } from "../../../../lib/model/liveSheet.ts";
import { sendForm } from "../sendForm.ts";
import { AbortAsk } from "./AbortAsk.tsx";
import { EndForm } from "./EndForm.tsx";
import { RequestNote } from "./RequestNote.tsx";
import { ResumeForm } from "./ResumeForm.tsx";

interface Props { readonly runId: string; readonly words: LiveWords; readonly overlapMm: number }

/** What the cell can be asked for. A pause and an abort never ask who it is. */
export function Asks({ runId, words, overlapMm }: Props) {
  const [said, setSaid] = useState("");
  const ask = async (what: CellAsk): Promise<boolean> => {
    const sent = await sendForm<{ readonly n: number }>(`/api/live/${runId}/commands`, what);
    setSaid("problem" in sent ? `Not asked: ${sent.problem}.` : `Asked as number ${sent.kept.n}. What the cell answers stands below.`);
    return !("problem" in sent);
  };
  const pause = (at: "now" | "strandEnd" | "layerEnd") => () => { void ask({ kind: "pause", at }); };
  if (!words.mayAsk) return <section className="live-part asks"><h2>Ask the cell</h2><p className="none">Nothing can be asked of it any more.</p></section>;
  return (
    <section className="live-part asks" aria-labelledby="asks-title">
      <h2 id="asks-title">Ask the cell</h2>
      <div className="ask-buttons">
        <button type="button" className="first" onClick={pause("strandEnd")}><b>Pause at the strand’s end</b><RequestNote /></button>
        <button type="button" onClick={pause("now")}><b>Pause now</b><RequestNote /></button>
        <button type="button" onClick={pause("layerEnd")}><b>Pause at layer’s end</b><RequestNote /></button>
        <AbortAsk onAbort={() => { void ask({ kind: "abort" }); }} />
      </div>
      <p role="status" className="said">{said}</p>
      <div className="ask-more">
        <ResumeForm words={words} overlapMm={overlapMm} ask={ask} />
        <EndForm runId={runId} />
      </div>
    </section>
  );
}
