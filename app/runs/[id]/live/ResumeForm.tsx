"use client";
import { useState, type FormEvent } from "react";
import type { StrandPlace } from "../../../../lib/model/liveSheet.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { sendForm } from "../sendForm.ts";
import { RequestNote } from "./RequestNote.tsx";

const FIELDS = [{ key: "layer", label: "Layer" }, { key: "strand", label: "Strand" }, { key: "sMm", label: "From, mm" }, { key: "overlapMm", label: "Overlap, mm" }] as const;
type Key = (typeof FIELDS)[number]["key"];

/** Where to go on; `words` say why there. */
export interface ResumeProposal extends StrandPlace { readonly overlapMm: number; readonly words: string }

/** Asks the cell to go on at the proposed place, or at another one that is typed. */
export function ResumeForm({ runId, proposal, onAsked }: { readonly runId: string; readonly proposal: ResumeProposal; readonly onAsked: () => void }) {
  const [typed, setTyped] = useState<Partial<Record<Key, string>>>({});
  const [said, setSaid] = useState("");
  const usual: Readonly<Record<Key, string>> = { layer: `${proposal.layer}`, strand: `${proposal.strand}`, sMm: proposal.sMm.toFixed(1), overlapMm: `${proposal.overlapMm}` };
  const valueOf = (key: Key): string => typed[key] ?? usual[key];
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const [layer, strand, sMm, overlapMm] = FIELDS.map(({ key }) => Number(valueOf(key))) as [number, number, number, number];
    const sent = await sendForm<{ readonly n: number }>(`/api/live/${runId}/commands`, { kind: "resume", layer, strand, sMm, overlapMm });
    if ("problem" in sent) {
      setSaid(`Not asked: ${sent.problem}.`);
      return;
    }
    setSaid(`Asked as number ${sent.kept.n}.`);
    setTyped({});
    onAsked();
  };
  return (
    <MayDo deed="resume"><form className="resume" onSubmit={(event) => { void submit(event); }} aria-label="Resume the print">
      <p className="resume-words">{proposal.words}</p>
      <div className="resume-fields">
        {FIELDS.map(({ key, label }) => (
          <label key={key}>{label} <input type="text" inputMode="decimal" pattern="[0-9]+(\.[0-9]+)?" required value={valueOf(key)} onChange={(event) => setTyped({ ...typed, [key]: event.target.value })} /></label>
        ))}
        <button type="submit" className="asking"><b>Resume</b><RequestNote /></button>
      </div>
      <p role="status" className="said">{said}</p>
    </form></MayDo>
  );
}
