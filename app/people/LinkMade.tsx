"use client";
import { useId, useState, useSyncExternalStore } from "react";

const never = (): (() => void) => () => undefined;

/** A link, shown this once, to be handed over. */
export function LinkMade({ path, name }: { readonly path: string; readonly name: string }) {
  const id = useId();
  const [said, setSaid] = useState("");
  const origin = useSyncExternalStore(never, () => window.location.origin, () => ""), url = `${origin}${path}`;
  const copy = (): void => {
    const copied = navigator.clipboard?.writeText(url) ?? Promise.reject(new Error("no clipboard"));
    copied.then(() => setSaid("Copied."), () => setSaid("This browser does not let it be copied from here: mark it and copy it."));
  };
  return (
    <div className="link-made">
      <label htmlFor={id}>The link for {name}, shown this once. It counts once, for 72 hours, for whoever holds it: hand it over to nobody else.</label>
      <input id={id} type="text" readOnly value={url} onFocus={(event) => event.target.select()} />
      <p className="acts-row"><button type="button" onClick={copy}>Copy it</button> <span role="status">{said}</span></p>
    </div>
  );
}
