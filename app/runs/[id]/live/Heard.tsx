"use client";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import { GateForm } from "./GateForm.tsx";
import { heardWords } from "./watchWords.ts";

/** What was heard when, and what holds the next layer back. */
export function Heard({ runId, words: { heard, gate, autoPause } }: { readonly runId: string; readonly words: LiveWords }) {
  return (
    <div className="heard">
      {heard.length === 0 ? <p className="none">Nothing has been heard yet.</p> : <p>{heard.map((line, i) => <span key={line.name} className={line.isSilent ? "silent" : undefined}>{i === 0 ? "" : " · "}{heardWords(line)}</span>)}{autoPause.isOn ? "" : " · pauses for no finding by itself"}</p>}
      {gate === null ? null : <p className={gate.isHeld ? "gate held" : "gate"}>{gate.words}</p>}
      {gate?.isHeld === true ? <GateForm runId={runId} layer={gate.layer} /> : null}
    </div>
  );
}
