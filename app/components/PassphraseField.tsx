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
}

/** A passphrase, hidden unless its owner wants to see it. Pasting is welcome. */
export function PassphraseField({ label, value, onChange, isNew, hint = "" }: Props) {
  const id = useId();
  const [isShown, setShown] = useState(false);
  return (
    <div className="passphrase">
      <label htmlFor={id}>{label}</label>
      <input id={id} name={isNew ? "new-passphrase" : "passphrase"} type={isShown ? "text" : "password"} value={value} required autoComplete={isNew ? "new-password" : "current-password"} spellCheck={false} autoCapitalize="none" aria-describedby={hint === "" ? undefined : `${id}-hint`} onChange={(event) => onChange(event.target.value)} />
      <label className="show"><input type="checkbox" checked={isShown} onChange={(event) => setShown(event.target.checked)} /> show it</label>
      {hint === "" ? null : <p id={`${id}-hint`} className="hint-words">{hint}</p>}
    </div>
  );
}
