"use client";
import { useState, type FormEvent } from "react";
import type { CellAsk, LiveWords } from "../../../../lib/model/liveSheet.ts";
import { MayDo } from "../../../components/MayDo.tsx";
import { RequestNote } from "./RequestNote.tsx";

const FIELDS = [{ key: "layer", label: "Layer" }, { key: "strand", label: "Strand" }, { key: "sMm", label: "From, mm" }, { key: "overlapMm", label: "Overlap, mm" }] as const;
type Key = (typeof FIELDS)[number]["key"];

interface Props { readonly words: LiveWords; readonly overlapMm: number; readonly ask: (what: CellAsk) => Promise<boolean> }

/** Asks the cell to go on at a place, by default where the newest reading lies. Takes a person who is signed in. */
export function ResumeForm({ words: { newest }, overlapMm, ask }: Props) {
  const [typed, setTyped] = useState<Partial<Record<Key, string>>>({});
  const usual: Readonly<Record<Key, string>> = { layer: `${newest?.layer ?? 1}`, strand: `${newest?.strand ?? 1}`, sMm: (newest?.sMm ?? 0).toFixed(1), overlapMm: `${overlapMm}` };
  const valueOf = (key: Key): string => typed[key] ?? usual[key];
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const [layer, strand, sMm, overlap] = FIELDS.map(({ key }) => Number(valueOf(key))) as [number, number, number, number];
    if (await ask({ kind: "resume", layer, strand, sMm, overlapMm: overlap })) setTyped({});
  };
  return (
    <details>
      <summary>Resume at a place</summary>
      <MayDo deed="resume"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Resume the print">
        {FIELDS.map(({ key, label }) => (
          <label key={key}>{label} <input type="text" inputMode="decimal" pattern="[0-9]+(\.[0-9]+)?" required value={valueOf(key)} onChange={(event) => setTyped({ ...typed, [key]: event.target.value })} /></label>
        ))}
        <button type="submit" className="asking"><b>Resume</b><RequestNote /></button>
      </form></MayDo>
    </details>
  );
}
