"use client";
import { useState, type FormEvent } from "react";
import { SHELF_LIMIT_S, SHELF_TIMES_S, type AlertPriority } from "../../../../lib/model/alert.ts";
import type { AlertDeed } from "../../../../lib/model/liveSheet.ts";
import { firstOf, SHELF_REASONS } from "../../../../lib/model/reason.ts";
import { DispositionFields, UNDECIDED } from "../DispositionFields.tsx";
import { NoteField, ReasonField } from "../ReasonField.tsx";

interface Props { readonly n: number; readonly onDeed: (deed: AlertDeed) => Promise<boolean>; readonly onDone: () => void }

/** Silent for a stated time, for a reason; what is more urgent is silent for less. */
export function ShelveForm({ n, priority, onDeed, onDone }: Props & { readonly priority: AlertPriority }) {
  const [forS, setForS] = useState<number>(SHELF_TIMES_S[0]);
  const [picked, setPicked] = useState(() => firstOf(SHELF_REASONS));
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (await onDeed({ do: "shelve", n, forS, ...picked })) onDone();
  };
  return (
    <form className="person-form" aria-label="Shelve the alert" onSubmit={(event) => { void submit(event); }}>
      <label>For <select value={forS} onChange={(event) => setForS(Number(event.target.value))}>{SHELF_TIMES_S.filter((each) => each <= SHELF_LIMIT_S[priority]).map((each) => <option key={each} value={each}>{each / 60} min</option>)}</select></label>
      <ReasonField reasons={SHELF_REASONS} picked={picked} onPick={setPicked} />
      <button type="submit">Shelve it</button>
    </form>
  );
}

/** What becomes of the finding behind an alert while the print goes on. */
export function DecideForm({ n, onDeed, onDone }: Props) {
  const [decided, setDecided] = useState(UNDECIDED);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    if (await onDeed({ do: "dispose", n, ...decided })) onDone();
  };
  return (
    <form className="person-form" aria-label="Decide about the finding" onSubmit={(event) => { void submit(event); }}>
      <DispositionFields decided={decided} onDecide={setDecided} />
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
