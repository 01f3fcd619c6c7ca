"use client";
import Link from "next/link";
import { useRef, type DragEvent } from "react";
import type { CalibrationSheet } from "../../lib/model/calibration.ts";
import { ReportContents, ReportSections } from "../components/ReportBlocks.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { fromDrop } from "../import/chosenFiles.ts";
import { problemSentence } from "../prepare/prepareProblem.ts";
import { JobBlocks } from "./JobBlocks.tsx";
import { type BoardTexts, type Solving, useCalibration } from "./useCalibration.ts";

function headWords(solving: Solving, pictureCount: number): { readonly headline: string; readonly detail: string } {
  switch (solving.state) {
    case "asking": return { headline: "Looking for boards.", detail: `${pictureCount} pictures are being looked at; a large one takes a second or two.` };
    case "problem": return { headline: "No calibration came of it.", detail: problemSentence(solving.problem) };
    case "told": return solving.sheet;
    case "none": return pictureCount === 0
      ? { headline: "Calibrate a camera.", detail: "Hand in pictures of one checkerboard or grid of dots, with board.json or the fields below, and poses.csv where the arm’s poses are known. Eight pictures or more, tilted to all sides, out to the picture’s edges." }
      : { headline: "Ready to be solved.", detail: "Nothing is kept: the numbers are yours to copy into a job." };
  }
}

const FIELDS: readonly { readonly key: Exclude<keyof BoardTexts, "pattern">; readonly label: string }[] = [
  { key: "columns", label: "Columns" }, { key: "rows", label: "Rows" }, { key: "pitchMm", label: "Pitch, mm" }, { key: "camera", label: "Camera’s id" },
];

/** Pictures of a board in, a judged calibration out. */
export function CalibrationPage() {
  const { files, texts, solving, solve, choose, type } = useCalibration(), input = useRef<HTMLInputElement>(null);
  const sheet: CalibrationSheet | null = solving.state === "told" ? solving.sheet : null, pictureCount = files.filter(({ path }) => /\.(png|jpe?g)$/i.test(path)).length, { headline, detail } = headWords(solving, pictureCount === 0 ? files.length : pictureCount);
  const drop = (event: DragEvent): void => {
    event.preventDefault();
    void fromDrop(event.dataTransfer).then(({ files: dropped }) => choose(dropped));
  };
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions -- dropping is one more way; the button does the same
    <main className="sheet report calibration" onDragOver={(event) => event.preventDefault()} onDrop={drop}>
      <header>
        <div className="above"><Link href="/">All runs</Link><Link href="/prepare">Prepare a run</Link><WhoLine /></div>
        <h1 aria-live="polite">{headline}</h1>
        <p className="detail">{detail}</p>
      </header>
      <div className="calibration-side">
        <form aria-label="Pictures of a board" onSubmit={(event) => { event.preventDefault(); void solve(); }}>
          <p className="acts"><button type="button" onClick={() => input.current?.click()}>{files.length === 0 ? "Choose pictures" : "Choose others"}</button><span>or drop them, or a folder, anywhere on this sheet</span></p>
          <input
            ref={input} type="file" hidden multiple accept=".png,.jpg,.jpeg,.json,.csv" aria-label="Pictures of a board"
            onChange={(event) => {
              choose([...event.currentTarget.files ?? []].map((file) => ({ path: file.name, file })));
              event.currentTarget.value = ""; // so that choosing the same ones again is a choice, too
            }}
          />
          <p className="chosen-count">{files.length === 0 ? "Nothing is chosen." : `${pictureCount} pictures${files.length > pictureCount ? `, ${files.filter(({ path }) => /\.(json|csv)$/i.test(path)).map(({ path }) => path.split("/").at(-1)).join(", ")}` : ""}`}</p>
          <fieldset>
            <legend>The board, where board.json does not say it</legend>
            <label htmlFor="board-pattern">Pattern</label>
            <select id="board-pattern" value={texts.pattern} onChange={(event) => type("pattern", event.target.value)}>
              <option value="">as board.json says</option><option value="checkerboard">checkerboard</option><option value="dots">dots</option>
            </select>
            {FIELDS.map(({ key, label }) => <div key={key}><label htmlFor={`board-${key}`}>{label}</label><input id={`board-${key}`} value={texts[key]} onChange={(event) => type(key, event.target.value)} /></div>)}
            <p className="none">Columns and rows count inner corners, or dots.</p>
          </fieldset>
          <button type="submit" className="solve" disabled={files.length === 0 || solving.state === "asking"}>Solve</button>
        </form>
        {sheet === null ? null : <ReportContents sections={[...sheet.sections, { id: "blocks", title: "For the job", blocks: [] }]} />}
      </div>
      <div className="report-body">
        {sheet === null ? <p className="none">The boards found, their errors and the judgement will stand here.</p> : <><ReportSections sections={sheet.sections} runId="" forms={{}} /><JobBlocks text={sheet.blocksText} /></>}
      </div>
      <TitleBlock cells={[
        { label: "sheet", value: "calibration of a camera", twelfths: 4 }, { label: "camera", value: sheet?.camera ?? "–", twelfths: 4 }, { label: "verdict", value: sheet?.verdict ?? "–", twelfths: 4 },
        { label: "pictures used", value: sheet === null ? "–" : String(sheet.pictureCount), twelfths: 3 }, { label: "error, rms", value: sheet?.rmsWords ?? "–", twelfths: 3 }, { label: "inputs", value: sheet === null ? "–" : `${sheet.at.slice(0, 23)}…`, twelfths: 6 },
      ]} />
      <SafetyNote />
    </main>
  );
}
