"use client";
import { PREPARE_FIELDS, type PrepareProblem } from "../../lib/model/prepare.ts";
import { problemAt, problemSentence } from "./prepareProblem.ts";
import type { Draft } from "./usePrepare.ts";

interface Props { readonly draft: Draft; readonly problem: PrepareProblem | null; readonly type: (key: string, text: string) => void }

/** What may differ from the job as it was chosen. What is wrong with one stands under it. */
export function Fields({ draft, problem, type }: Props) {
  const wrong = problem === null ? null : problemAt(problem);
  return (
    <section className="fields" aria-labelledby="fields-title">
      <h2 id="fields-title">What differs</h2>
      <div>
        {PREPARE_FIELDS.map(({ key, label, unit, kind, blank, columns }) => (
          <div key={key} className={wrong === key ? "wrong" : `columns-${columns}`}>
            <label htmlFor={key}>{label}{unit === "" ? "" : `, ${unit}`}</label>
            <input
              id={key} type="text" inputMode={kind === "number" ? "decimal" : "text"} value={draft.fields[key] ?? ""} placeholder={blank ?? ""} autoComplete="off"
              aria-invalid={wrong === key} aria-describedby={wrong === key ? `${key}-problem` : undefined} onChange={(event) => type(key, event.target.value)}
            />
            {wrong === key && problem !== null ? <p id={`${key}-problem`} className="field-problem" role="alert">{problemSentence(problem)}</p> : null}
          </div>
        ))}
      </div>
    </section>
  );
}
