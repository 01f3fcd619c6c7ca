"use client";
import { useId, useState } from "react";
import type { CellAsk, LiveWords } from "../../../../lib/model/liveSheet.ts";
import { sendForm } from "../sendForm.ts";
import { AbortAsk } from "./AbortAsk.tsx";
import { PauseKeyLine } from "./PauseKeyLine.tsx";
import { usePauseKey } from "./usePauseKey.ts";
import "./pause.css";

export const PAUSE_WORDS = { strandEnd: "Pause at strand’s end", now: "Pause now", layerEnd: "Pause at layer’s end" } as const;
const PLACES = ["strandEnd", "now", "layerEnd"] as const;

interface Props {
  readonly runId: string;
  /** What one touch asks for. */
  readonly pauseAt: LiveWords["pauseAt"];
  readonly mayAsk: boolean;
  /** A line of buttons for one run among others: without abort and without keys, which would not know whom they ask. */
  readonly isSlim?: boolean;
}

/** Asks a run's cell to pause: one touch or one key, never held up by a name. */
export function PauseBar({ runId, pauseAt, mayAsk, isSlim = false }: Props) {
  const [said, setSaid] = useState("");
  const noteId = useId();
  const ask = async (what: CellAsk): Promise<void> => {
    setSaid("Asking the cell.");
    const sent = await sendForm<{ readonly n: number }>(`/api/live/${runId}/commands`, what);
    setSaid("problem" in sent ? `Not asked: ${sent.problem}.` : `Asked as number ${sent.kept.n}.`);
  };
  const pause = (at: LiveWords["pauseAt"]): void => { void ask({ kind: "pause", at }); };
  const pauseKey = usePauseKey(mayAsk && !isSlim, () => pause(pauseAt));
  return (
    <section className={isSlim ? "pause-bar slim" : "pause-bar"} aria-label="Ask the cell">
      <div className="pause-buttons">
        {[pauseAt, ...PLACES.filter((place) => place !== pauseAt)].map((place, i) => (
          <button key={place} type="button" className={i === 0 ? "proposed" : undefined} disabled={!mayAsk} aria-describedby={noteId} onClick={() => pause(place)}><b>{PAUSE_WORDS[place]}</b></button>
        ))}
        {isSlim ? null : <AbortAsk mayAsk={mayAsk} noteId={noteId} onAbort={() => { void ask({ kind: "abort" }); }} />}
      </div>
      <div className="pause-line">
        <p><span id={noteId}>{mayAsk ? "Requests to the cell, no emergency stop." : "Nothing can be asked of the cell now."}</span> <span role="status" className="said">{said}</span></p>
        {isSlim ? null : <PauseKeyLine pauseKey={pauseKey} />}
      </div>
    </section>
  );
}
