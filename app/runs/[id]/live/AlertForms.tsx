"use client";
import { useState, type FormEvent } from "react";
import { SHELF_LIMIT_S, SHELF_REASONS, SHELF_TIMES_S, type AlertPriority } from "../../../../lib/model/alert.ts";
import { DISPOSITIONS, DISPOSITION_LABELS, DISPOSITION_REASONS, NOTE_MAX_CHARS, type Disposition } from "../../../../lib/model/disposition.ts";
import type { AlertDeed } from "../../../../lib/model/liveSheet.ts";

interface Props { readonly n: number; readonly onDeed: (deed: AlertDeed) => Promise<boolean>; readonly onDone: () => void }

const OTHER = "other";

function NoteField({ value, isRequired, onChange }: { readonly value: string; readonly isRequired: boolean; readonly onChange: (note: string) => void }) {
  return <label className="wide">{isRequired ? "In words" : "Note"} <input type="text" value={value} required={isRequired} maxLength={NOTE_MAX_CHARS} onChange={(event) => onChange(event.target.value)} /></label>;
}

/** Silent for a stated time, for a reason; what is more urgent is silent for less. */
export function ShelveForm({ n, priority, onDeed, onDone }: Props & { readonly priority: AlertPriority }) {
  const [forS, setForS] = useState<number>(SHELF_TIMES_S[0]);
  const [reason, setReason] = useState<string>(SHELF_REASONS[0].code);
  const [note, setNote] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (await onDeed({ do: "shelve", n, forS, reason, note })) onDone();
  };
  return (
    <form className="person-form" aria-label="Shelve the alert" onSubmit={(event) => { void submit(event); }}>
      <label>For <select value={forS} onChange={(event) => setForS(Number(event.target.value))}>{SHELF_TIMES_S.filter((each) => each <= SHELF_LIMIT_S[priority]).map((each) => <option key={each} value={each}>{each / 60} min</option>)}</select></label>
      <label>Reason <select value={reason} onChange={(event) => setReason(event.target.value)}>{SHELF_REASONS.map(({ code, label }) => <option key={code} value={code}>{label}</option>)}</select></label>
      {reason === OTHER ? <NoteField value={note} isRequired onChange={setNote} /> : null}
      <button type="submit">Shelve it</button>
    </form>
  );
}

/** What becomes of the finding behind an alert while the print goes on. */
export function DecideForm({ n, onDeed, onDone }: Props) {
  const [disposition, setDisposition] = useState<Disposition>("acceptedAsIs");
  const [reason, setReason] = useState(DISPOSITION_REASONS.acceptedAsIs[0]?.code ?? "");
  const [note, setNote] = useState("");
  const pick = (next: Disposition): void => {
    setDisposition(next);
    setReason(DISPOSITION_REASONS[next][0]?.code ?? "");
  };
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (await onDeed({ do: "dispose", n, disposition, reason, note })) onDone();
  };
  return (
    <form className="person-form" aria-label="Decide about the finding" onSubmit={(event) => { void submit(event); }}>
      <label>It is <select value={disposition} onChange={(event) => pick(event.target.value as Disposition)}>{DISPOSITIONS.map((each) => <option key={each} value={each}>{DISPOSITION_LABELS[each]}</option>)}</select></label>
      <label>Reason <select value={reason} onChange={(event) => setReason(event.target.value)}>{DISPOSITION_REASONS[disposition].map(({ code, label }) => <option key={code} value={code}>{label}</option>)}</select></label>
      <NoteField value={note} isRequired={reason === OTHER} onChange={setNote} />
      <button type="submit">Decide</button>
    </form>
  );
}

/** Words that stand in the log with the alert. */
export function NoteForm({ n, onDeed, onDone }: Props) {
  const [note, setNote] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (await onDeed({ do: "note", n, note })) onDone();
  };
  return (
    <form className="person-form" aria-label="Note on the alert" onSubmit={(event) => { void submit(event); }}>
      <NoteField value={note} isRequired onChange={setNote} />
      <button type="submit">Write it down</button>
    </form>
  );
}
