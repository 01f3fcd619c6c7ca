"use client";
import { useEffect, useRef, useState } from "react";

/** The second touch has to come within this, ms. */
const WITHIN_MS = 10_000;

interface Props { readonly mayAsk: boolean; readonly noteId: string; readonly onAbort: () => void }

/** Two deliberate touches in two places; the first one leads to "no", so that a key that is pressed twice asks for nothing. */
export function AbortAsk({ mayAsk, noteId, onAbort }: Props) {
  const [isAsked, setAsked] = useState(false);
  const no = useRef<HTMLButtonElement>(null), first = useRef<HTMLButtonElement>(null), wasAsked = useRef(false);
  useEffect(() => {
    if (isAsked) no.current?.focus();
    else if (wasAsked.current) first.current?.focus();
    wasAsked.current = isAsked;
    if (!isAsked) return undefined;
    const over = setTimeout(() => setAsked(false), WITHIN_MS);
    return () => clearTimeout(over);
  }, [isAsked]);
  return (
    <div className="abort-ask">
      <button ref={first} type="button" className="abort" disabled={!mayAsk || isAsked} aria-describedby={noteId} onClick={() => setAsked(true)}><b>Abort …</b></button>
      {isAsked ? (
        <div className="abort-asked" role="group" aria-label="Abort the print?">
          <button ref={no} type="button" onClick={() => setAsked(false)}><b>No, go on</b></button>
          <button type="button" className="abort" aria-describedby={noteId} onClick={() => { setAsked(false); onAbort(); }}><b>Yes, abort</b></button>
        </div>
      ) : null}
    </div>
  );
}
