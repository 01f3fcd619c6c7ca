"use client";
import type { FormEvent } from "react";
import { useState } from "react";
import type { Disposition, FindingDisposition } from "../../../lib/model/disposition.ts";
import { DISPOSITIONS, DISPOSITION_LABELS, DISPOSITION_REASONS, NOTE_MAX_CHARS } from "../../../lib/model/disposition.ts";
import { MayDo } from "../../components/MayDo.tsx";
import { sendForm } from "./sendForm.ts";

interface Props { readonly runId: string; readonly resultId: string; readonly findingIndex: number; readonly onKept: (kept: FindingDisposition) => void }

/** What becomes of a finding: a disposition, a picked reason, a note; the log names who is signed in. */
export function DispositionForm({ runId, resultId, findingIndex, onKept }: Props) {
  const [disposition, setDisposition] = useState<Disposition>("acceptedAsIs");
  const [reason, setReason] = useState(DISPOSITION_REASONS.acceptedAsIs[0]?.code ?? "");
  const [note, setNote] = useState("");
  const [said, setSaid] = useState("");
  const [sending, setSending] = useState(false);
  const pick = (next: Disposition): void => {
    setDisposition(next);
    setReason(DISPOSITION_REASONS[next][0]?.code ?? "");
  };
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSending(true);
    const sent = await sendForm<FindingDisposition>(`/api/runs/${runId}/dispositions`, { resultId, findingIndex, disposition, reason, note });
    setSending(false);
    if ("problem" in sent) setSaid(`Not written: ${sent.problem}.`);
    else {
      setSaid("Written to the log.");
      setNote("");
      onKept(sent.kept);
    }
  };
  return (
    <MayDo deed="disposeFinished"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Disposition of this finding">
      <label>Disposition <select id="disposition" value={disposition} onChange={(event) => pick(event.target.value as Disposition)}>{DISPOSITIONS.map((each) => <option key={each} value={each}>{DISPOSITION_LABELS[each]}</option>)}</select></label>
      <label>Reason <select value={reason} onChange={(event) => setReason(event.target.value)}>{DISPOSITION_REASONS[disposition].map(({ code, label }) => <option key={code} value={code}>{label}</option>)}</select></label>
      <label>Note <input type="text" value={note} maxLength={NOTE_MAX_CHARS} required={reason === "other"} onChange={(event) => setNote(event.target.value)} /></label>
      <button type="submit" disabled={sending}>Write to the log</button>
      <p role="status">{said}</p>
    </form></MayDo>
  );
}
