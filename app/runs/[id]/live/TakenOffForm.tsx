"use client";
import { useState, type FormEvent, type ReactNode } from "react";
import { firstOf, TAKEN_OFF_REASONS } from "../../../../lib/model/reason.ts";
import { ReasonField } from "../ReasonField.tsx";
import { sendForm } from "../sendForm.ts";
import type { Marking, Stretch } from "./marking.ts";
import type { ResumeProposal } from "./ResumeForm.tsx";

interface Props {
  readonly runId: string;
  readonly marking: Marking;
  readonly onLeave: () => void;
  /** It stands in the log; there the print may go on. */
  readonly onKept: (proposal: ResumeProposal) => void;
}

const mm = (value: number): string => value.toFixed(1);

/** Leads through marking a stretch that was taken off by hand, and writes it to the log with a reason. */
export function TakenOffForm({ runId, marking, onLeave, onKept }: Props) {
  if (marking.state === "off") return null;
  const leave = <button type="button" onClick={onLeave}>Leave it</button>;
  if (marking.state === "begun") return <div className="marking"><p role="status">Touch the lane where the taken-off stretch begins, then where it ends.</p>{leave}</div>;
  if (marking.state === "open") return <div className="marking"><p role="status">Taken off from strand {marking.start.strand} of layer {marking.start.layer}, {mm(marking.start.sMm)} mm: now its end, by touch or with <kbd>m</kbd>.</p>{leave}</div>;
  return <Whole key={`${marking.stretch.fromMm}-${marking.stretch.toMm}`} runId={runId} stretch={marking.stretch} leave={leave} onKept={onKept} />;
}

function Whole({ runId, stretch, leave, onKept }: { readonly runId: string; readonly stretch: Stretch; readonly leave: ReactNode; readonly onKept: Props["onKept"] }) {
  const [picked, setPicked] = useState(() => firstOf(TAKEN_OFF_REASONS));
  const [said, setSaid] = useState("");
  const submit = async (event: FormEvent): Promise<void> => {
    event.preventDefault();
    const sent = await sendForm<{ readonly resume: Omit<ResumeProposal, "words"> }>(`/api/live/${runId}/rework`, { ...stretch, ...picked });
    if ("problem" in sent) setSaid(`Not written: ${sent.problem}.`);
    else onKept({ ...sent.kept.resume, words: `The stretch taken off stands in the log. Lay it again from strand ${sent.kept.resume.strand} of layer ${sent.kept.resume.layer}, ${mm(sent.kept.resume.sMm)} mm.` });
  };
  return (
    <form className="marking" onSubmit={(event) => { void submit(event); }} aria-label="Stretch taken off">
      <p>Strand {stretch.strand} of layer {stretch.layer}, {mm(stretch.fromMm)}–{mm(stretch.toMm)} mm was taken off.</p>
      <ReasonField reasons={TAKEN_OFF_REASONS} picked={picked} onPick={setPicked} />
      <button type="submit"><b>Write it down</b></button>{leave}
      <p role="status" className="said">{said}</p>
    </form>
  );
}
