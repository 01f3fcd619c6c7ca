"use client";
import type { FormEvent } from "react";
import { useState } from "react";
import type { FindingDisposition } from "../../../lib/model/disposition.ts";
import { MayDo } from "../../components/MayDo.tsx";
import { DispositionFields, UNDECIDED } from "./DispositionFields.tsx";
import { sendForm } from "./sendForm.ts";

interface Props { readonly runId: string; readonly resultId: string; readonly findingIndex: number; readonly onKept: (kept: FindingDisposition) => void }

/** What becomes of a finding: a disposition, a picked reason, a note; the log names who is signed in. */
export function DispositionForm({ runId, resultId, findingIndex, onKept }: Props) {
  const [decided, setDecided] = useState(UNDECIDED);
  const [said, setSaid] = useState("");
  const [sending, setSending] = useState(false);
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    setSending(true);
    const sent = await sendForm<FindingDisposition>(`/api/runs/${runId}/dispositions`, { resultId, findingIndex, ...decided });
    setSending(false);
    if ("problem" in sent) setSaid(`Not written: ${sent.problem}.`);
    else {
      setSaid("Written to the log.");
      setDecided({ ...decided, note: "" });
      onKept(sent.kept);
    }
  };
  return (
    <MayDo deed="disposeFinished"><form className="person-form" onSubmit={(event) => { void submit(event); }} aria-label="Disposition of this finding">
      <DispositionFields id="disposition" decided={decided} onDecide={setDecided} />
      <button type="submit" disabled={sending}>Write to the log</button>
      <p role="status">{said}</p>
    </form></MayDo>
  );
}
