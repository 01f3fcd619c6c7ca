import type { ScanLine } from "../../../lib/model/scan.ts";
import { ScanForm } from "./ScanForm.tsx";

/** The measured surface as a file, what scans of the set specimen showed, and the form that adds one. */
export function Later({ runId, scans }: { readonly runId: string; readonly scans: readonly ScanLine[] }) {
  return (
    <section className="later" aria-labelledby="later-title">
      <h2 id="later-title">Surface, and after setting</h2>
      <p><a href={`/api/runs/${runId}/surface`} download={`asLaid-${runId}.ply`}>The measured top surface as a PLY file</a></p>
      {scans.length === 0 ? <p className="none">No scan after setting was added.</p> : (
        <ol>
          {scans.map(({ n, setAt, addedBy, note, sentence }) => (
            <li key={n}>
              <p>{sentence}</p>
              <p className="by">Scan {n}: material set at {setAt}; added by {addedBy}.{note === "" ? "" : ` Note: ${note}`}</p>
            </li>
          ))}
        </ol>
      )}
      <ScanForm runId={runId} />
    </section>
  );
}
