"use client";
import { NOTE_MAX_CHARS, OTHER_REASON, type PickedReason, type Reason } from "../../../lib/model/reason.ts";

interface NoteProps { readonly value: string; readonly isRequired: boolean; readonly onChange: (note: string) => void }

export function NoteField({ value, isRequired, onChange }: NoteProps) {
  return <label className="wide">{isRequired ? "In words" : "Note"} <input type="text" value={value} required={isRequired} maxLength={NOTE_MAX_CHARS} onChange={(event) => onChange(event.target.value)} /></label>;
}

interface Props {
  readonly reasons: readonly Reason[];
  readonly picked: PickedReason;
  readonly onPick: (picked: PickedReason) => void;
  /** A note may stand with any reason; else with the one that asks for it alone. */
  readonly mayNote?: boolean;
}

/** A reason that is picked, and words where none fits. */
export function ReasonField({ reasons, picked, onPick, mayNote = false }: Props) {
  const isOther = picked.reason === OTHER_REASON;
  return (
    <>
      <label>Reason <select value={picked.reason} onChange={({ target }) => onPick({ reason: target.value, note: mayNote ? picked.note : "" })}>{reasons.map(({ code, label }) => <option key={code} value={code}>{label}</option>)}</select></label>
      {isOther || mayNote ? <NoteField value={picked.note} isRequired={isOther} onChange={(note) => onPick({ ...picked, note })} /> : null}
    </>
  );
}
