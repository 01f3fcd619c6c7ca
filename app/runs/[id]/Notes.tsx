"use client";
import type { FormEvent } from "react";
import { useState } from "react";
import type { PinnedNote } from "../../../lib/model/disposition.ts";
import { NOTE_MAX_CHARS } from "../../../lib/model/reason.ts";
import { MayDo } from "../../components/MayDo.tsx";
import { dateWords } from "../../components/TitleBlock.tsx";
import { sendForm } from "./sendForm.ts";
import type { Station } from "./stationAt.ts";

interface Props {
  readonly runId: string;
  readonly station: Station;
  readonly notes: readonly PinnedNote[];
  readonly onKept: (kept: PinnedNote) => void;
  readonly onPlace: (note: PinnedNote) => void;
}

/** Notes pinned to places, newest first, each leading there; and a form that pins one to the chosen station. */
export function Notes({ runId, station, notes, onKept, onPlace }: Props) {
  const [text, setText] = useState("");
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm<PinnedNote>(`/api/runs/${runId}/notes`, { layer: station.layer, strand: station.strand, sMm: station.sMm, text });
    if ("problem" in sent) setSaid(`Not written: ${sent.problem}.`);
    else {
      setSaid("Written to the log.");
      setText("");
      onKept(sent.kept);
    }
  };
  return (
    <section className="notes" aria-labelledby="notes-title">
      <h2 id="notes-title">Notes{notes.length === 0 ? "" : ` · ${notes.length}`}</h2>
      {notes.length === 0 ? <p className="none">None is pinned yet.</p> : null}
      <ul>
        {notes.toReversed().map((note) => (
          <li key={note.seq}>
            <button type="button" className="place" onClick={() => onPlace(note)}>layer {note.layer}, strand {note.strand}, {note.sMm.toFixed(1)} mm</button>
            <p>{note.text}</p>
            <p className="by">{note.actor}, {dateWords(note.at)}</p>
          </li>
        ))}
      </ul>
      <MayDo deed="noteFinished"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Pin a note">
        <label>Note at strand {station.strand} of layer {station.layer}, {station.sMm.toFixed(1)} mm <input type="text" value={text} required maxLength={NOTE_MAX_CHARS} onChange={(event) => setText(event.target.value)} /></label>
        <button type="submit">Pin the note</button>
        <p role="status">{said}</p>
      </form></MayDo>
    </section>
  );
}
