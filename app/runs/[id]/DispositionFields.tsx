"use client";
import { DISPOSITIONS, DISPOSITION_LABELS, DISPOSITION_REASONS, type Disposition } from "../../../lib/model/disposition.ts";
import { firstOf, type PickedReason } from "../../../lib/model/reason.ts";
import { ReasonField } from "./ReasonField.tsx";

export interface Decided extends PickedReason { readonly disposition: Disposition }

/** What a form opens with. */
export const UNDECIDED: Decided = { disposition: "acceptedAsIs", ...firstOf(DISPOSITION_REASONS.acceptedAsIs) };

/** What becomes of a finding: a disposition, one of its reasons, a note. `id`: of the first field, for whoever leads there. */
export function DispositionFields({ id, decided, onDecide }: { readonly id?: string; readonly decided: Decided; readonly onDecide: (decided: Decided) => void }) {
  const pick = (disposition: Disposition): void => onDecide({ disposition, reason: firstOf(DISPOSITION_REASONS[disposition]).reason, note: decided.note });
  return (
    <>
      <label>Disposition <select id={id} value={decided.disposition} onChange={({ target }) => pick(target.value as Disposition)}>{DISPOSITIONS.map((each) => <option key={each} value={each}>{DISPOSITION_LABELS[each]}</option>)}</select></label>
      <ReasonField reasons={DISPOSITION_REASONS[decided.disposition]} picked={decided} onPick={(picked) => onDecide({ ...decided, ...picked })} mayNote />
    </>
  );
}
