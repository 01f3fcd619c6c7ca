"use client";
import { useId, useState } from "react";

interface Props {
  readonly label: string;
  readonly value: string;
  readonly onChange: (value: string) => void;
  /** A new one is proposed and kept by the browser's own keeper, where there is one. */
  readonly isNew: boolean;
  /** What is asked of it; "": nothing. */
  readonly hint?: string;
  /** What is wrong with the one that was sent; "": nothing. */
  readonly problem?: string;
}

/** A passphrase, hidden unless its owner wants to see it. Pasting is welcome. */
export function PassphraseField({ label, value, onChange, isNew, hint = "", problem = "" }: Props) {
  const id = useId(), told = [hint === "" ? [] : `${id}-hint`, problem === "" ? [] : `${id}-problem`].flat().join(" ");
  const [isShown, setShown] = useState(false);
  return (
    <div className="passphrase">
      <label htmlFor={id}>{label}</label>
      <input id={id} name={isNew ? "new-passphrase" : "passphrase"} type={isShown ? "text" : "password"} value={value} required autoComplete={isNew ? "new-password" : "current-password"} spellCheck={false} autoCapitalize="none" aria-invalid={problem === "" ? undefined : true} aria-describedby={told === "" ? undefined : told} onChange={(event) => onChange(event.target.value)} />
      <label className="show"><input type="checkbox" checked={isShown} onChange={(event) => setShown(event.target.checked)} /> show it</label>
      {hint === "" ? null : <p id={`${id}-hint`} className="hint-words">{hint}</p>}
      {problem === "" ? null : <p id={`${id}-problem`} className="field-problem">{problem}</p>}
    </div>
  );
}
