"use client";
import { WATCH_KEYS } from "./useWatchKeys.ts";

/** The keys of the page, and a way to turn single ones off. */
export function WatchKeys({ on, onChange }: { readonly on: boolean; readonly onChange: (on: boolean) => void }) {
  return (
    <section className="live-part watch-keys" aria-labelledby="keys-title">
      <h2 id="keys-title">Keys</h2>
      <dl>
        {WATCH_KEYS.map(({ key, words }) => <div key={key}><dt><kbd>{key}</kbd></dt><dd>{words}</dd></div>)}
        <div><dt><kbd>← → ↑ ↓</kbd></dt><dd>station, strand, in the unrolled strands</dd></div>
      </dl>
      <label><input type="checkbox" checked={on} onChange={(event) => onChange(event.target.checked)} /> single keys are on; those that pause always are</label>
    </section>
  );
}
