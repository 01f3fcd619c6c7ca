"use client";
import { DECIDE_KEY, SHEET_KEYS } from "./useSheetKeys.ts";

/** The keys of the sheet, and a way to turn them off. */
export function KeyList({ on, onChange }: { readonly on: boolean; readonly onChange: (on: boolean) => void }) {
  return (
    <details className="key-list">
      <summary>Keys</summary>
      <div>
        <dl>
          {SHEET_KEYS.map(({ key, words }) => <div key={key}><dt><kbd>{key}</kbd></dt><dd>{words}</dd></div>)}
          <div><dt><kbd>{DECIDE_KEY}</kbd></dt><dd>decide about the finding</dd></div>
          <div><dt><kbd>← → ↑ ↓</kbd></dt><dd>station, strand, in the unrolled strands</dd></div>
          <div><dt><kbd>+ − 0</kbd></dt><dd>zoom, there</dd></div>
        </dl>
        <label><input type="checkbox" checked={on} onChange={(event) => onChange(event.target.checked)} /> single keys are on</label>
      </div>
    </details>
  );
}
