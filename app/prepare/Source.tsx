"use client";
import { useRef, useState } from "react";
import type { PrepareProblem, PrepareTemplate } from "../../lib/model/prepare.ts";
import { dateWords } from "../components/TitleBlock.tsx";
import type { ChosenFile } from "../import/chosenFiles.ts";
import { problemAt, problemSentence } from "./prepareProblem.ts";
import { send, type Draft } from "./usePrepare.ts";

interface Props {
  readonly runs: readonly { readonly id: string; readonly name: string; readonly createdAt: string }[];
  readonly draft: Draft;
  readonly problem: PrepareProblem | null;
  readonly choose: (files: readonly ChosenFile[]) => Promise<void>;
  readonly startFrom: (template: PrepareTemplate) => void;
}

/** Job and plan: chosen, dropped, or those of an earlier run. */
export function Source({ runs, draft, problem, choose, startFrom }: Props) {
  const input = useRef<HTMLInputElement>(null);
  const [from, setFrom] = useState("");
  const [said, setSaid] = useState("");
  const atFiles = draft.odd !== "" ? draft.odd : said !== "" ? said : problem !== null && problemAt(problem) === "files" ? problemSentence(problem) : "";
  const begin = async (): Promise<void> => {
    const sent = await send<PrepareTemplate>(`/api/prepare/template/${from}`, null);
    setSaid("given" in sent ? "" : problemSentence(sent.problem));
    if ("given" in sent) startFrom(sent.given);
  };
  return (
    <section className="source" aria-labelledby="source-title">
      <h2 id="source-title">Job and plan</h2>
      <p className="acts">
        <button type="button" onClick={() => input.current?.click()}>{draft.jobText === "" && draft.planText === "" ? "Choose job and plan" : "Choose others"}</button>
        <span>or drop them anywhere on this sheet</span>
      </p>
      <input
        ref={input} type="file" hidden multiple accept=".json,.csv,.gcode" aria-label="Job and plan"
        onChange={(event) => {
          const files = [...event.currentTarget.files ?? []].map((file) => ({ path: file.name, file }));
          event.currentTarget.value = ""; // so that choosing the same ones again is a choice, too
          setSaid("");
          void choose(files);
        }}
      />
      {runs.length === 0 ? null : (
        <p className="acts">
          <label htmlFor="as-run">or begin as run</label>
          <select id="as-run" value={from} onChange={(event) => setFrom(event.target.value)}>
            <option value="">none</option>
            {runs.map(({ id, name, createdAt }) => <option key={id} value={id}>{name} · {dateWords(createdAt)}</option>)}
          </select>
          <button type="button" disabled={from === ""} onClick={() => { void begin(); }}>Begin as it</button>
        </p>
      )}
      <dl className="chosen">
        <div><dt>job</dt><dd>{draft.jobText === "" ? "not chosen" : draft.origin === "" ? "chosen" : draft.origin}</dd></div>
        <div><dt>plan</dt><dd>{draft.planText === "" ? "not chosen" : draft.planName}</dd></div>
      </dl>
      {atFiles === "" ? null : <p className="field-problem" role="alert">{atFiles}</p>}
    </section>
  );
}
