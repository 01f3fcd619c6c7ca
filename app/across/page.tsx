import type { Metadata } from "next";
import Link from "next/link";
import type { AcrossField, AcrossSheet } from "../../lib/model/across.ts";
import { readAcrossSheet } from "../../lib/server/across.ts";
import { Acting } from "../components/Acting.tsx";
import { DrawingSvg } from "../components/DrawingSvg.tsx";
import { NumberTable } from "../components/NumberTable.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock, dateWords } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { look } from "../door.ts";
import "../runs/find.css";
import "./across.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Across runs" };

type Options = readonly (readonly [value: string, words: string])[];
const METRICS: Options = [["areaRatio", "area ratio"], ["inBand", "in-band length"]];
const CHARTS: Options = [["individuals", "individuals and moving range"], ["ewma", "EWMA"], ["cusum", "CUSUM"]];
const SOURCES: Options = [["", "all runs"], ["real", "prints of real cells"], ["rehearsal", "rehearsals and demonstrations"]];
const NUMBERS: readonly { readonly field: AcrossField; readonly label: string; readonly hint: string }[] = [
  { field: "centre", label: "Centre line or target", hint: "empty: the mean of the runs" },
  { field: "sd", label: "Standard deviation of a run", hint: "empty: mean moving range over d2" },
  { field: "lambda", label: "EWMA: weight λ", hint: "empty: 0.2" },
  { field: "width", label: "EWMA: limits, in standard deviations", hint: "empty: 3" },
  { field: "slack", label: "CUSUM: slack k, in the metric’s unit", hint: "empty: half a standard deviation" },
  { field: "decision", label: "CUSUM: decision limit h, likewise", hint: "empty: five standard deviations" },
];

function Choice({ sheet, field, label, options }: { readonly sheet: AcrossSheet; readonly field: AcrossField; readonly label: string; readonly options: Options }) {
  const error = sheet.errors[field], asked = sheet.form[field], known = options.some(([value]) => value === asked) || error !== undefined ? options : [...options, [asked, asked] as const];
  return (
    <p className="field">
      <label htmlFor={`across-${field}`}>{label}</label>
      <select id={`across-${field}`} name={field} defaultValue={error === undefined ? asked : ""}>{known.map(([value, words]) => <option key={value} value={value}>{words}</option>)}</select>
      {error === undefined ? null : <strong className="error">{error}</strong>}
    </p>
  );
}

function NumberField({ sheet, field, label, hint }: { readonly sheet: AcrossSheet; readonly field: AcrossField; readonly label: string; readonly hint: string }) {
  const error = sheet.errors[field];
  return (
    <p className="field">
      <label htmlFor={`across-${field}`}>{label}</label>
      <input type="text" inputMode="decimal" id={`across-${field}`} name={field} defaultValue={sheet.form[field]} autoComplete="off" aria-invalid={error !== undefined} aria-describedby={`across-${field}-hint${error === undefined ? "" : ` across-${field}-error`}`} />
      <span className="field-hint" id={`across-${field}-hint`}>{hint}</span>
      {error === undefined ? null : <strong className="error" id={`across-${field}-error`}>{error}</strong>}
    </p>
  );
}

function AskForm({ sheet }: { readonly sheet: AcrossSheet }) {
  const { lots, nozzlesMm, cells } = sheet.choices, any = ["", "all"] as const, areStated = NUMBERS.some(({ field }) => sheet.form[field] !== "");
  return (
    <form method="get" action="/across" className="find-form" aria-label="What is charted">
      <Choice sheet={sheet} field="metric" label="Of each run" options={METRICS.map(([value, words], i) => [i === 0 ? "" : value, words])} />
      <Choice sheet={sheet} field="chart" label="Chart" options={CHARTS.map(([value, words], i) => [i === 0 ? "" : value, words])} />
      <Choice sheet={sheet} field="lot" label="Lot" options={[any, ...lots.map((lot) => [lot, lot] as const)]} />
      <Choice sheet={sheet} field="nozzle" label="Nozzle, inner diameter" options={[any, ...nozzlesMm.map((mm) => [String(mm), `${mm} mm`] as const)]} />
      <Choice sheet={sheet} field="cell" label="Cell, by its devices" options={[any, ...cells.map((cell) => [cell, cell] as const)]} />
      <Choice sheet={sheet} field="source" label="Printed by" options={SOURCES} />
      <details className="numbers" open={areStated}><summary>Limits of one’s own</summary><div>{NUMBERS.map((each) => <NumberField key={each.field} sheet={sheet} {...each} />)}</div></details>
      <p className="acts"><button type="submit">Chart</button><Link href="/across">As at first</Link></p>
    </form>
  );
}

function Rows({ sheet }: { readonly sheet: AcrossSheet }) {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- it scrolls, so the keyboard has to reach it
    <div className="number-table" tabIndex={0} role="region" aria-label="Runs of the chart">
      <table>
        <caption>Runs of the chart, newest first</caption>
        <thead><tr><th scope="col" className="number">n</th><th scope="col">run</th><th scope="col">date</th>{sheet.columns.map((title) => <th key={title} scope="col" className="number">{title}</th>)}<th scope="col">said</th></tr></thead>
        <tbody>{sheet.rows.map((row) => (
          <tr key={row.runId}><td className="number">{row.n}</td><th scope="row"><Link href={`/runs/${row.runId}`}>{row.name}</Link></th><td className="date">{dateWords(row.runAt)}</td>{row.cells.map((cell, i) => <td key={i} className="number">{cell}</td>)}<td className="said">{row.said}</td></tr>
        ))}</tbody>
      </table>
    </div>
  );
}

/** Charts across runs: each run is one value, by its own result. */
export default async function AcrossPage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const person = await look("/across"), sheet = readAcrossSheet(await searchParams), { recurrence } = sheet;
  return (
    <Acting person={person}><main className="sheet across">
      <header>
        <div className="above"><Link href="/">All runs</Link><Link href="/runs">Find a run</Link><WhoLine /></div>
        <h1>{sheet.sentence}</h1>
        {sheet.cautions.map((caution) => <p key={caution} className="detail">{caution}</p>)}
      </header>
      <AskForm sheet={sheet} />
      {sheet.drawing === null ? null : (
        <section className="charted" aria-labelledby="chart-title">
          <h2 id="chart-title">Run by run</h2>
          <DrawingSvg drawing={sheet.drawing} />
          {sheet.rules.length === 0 ? null : <ul className="rule-lines">{sheet.rules.map((line) => <li key={line}>{line}</li>)}</ul>}
          <dl className="fact-list">{sheet.facts.map(({ name, value }) => <div key={name}><dt>{name}</dt><dd>{value}</dd></div>)}</dl>
        </section>
      )}
      {recurrence.sentence === "" ? null : (
        <section className="charted" aria-labelledby="recurrence-title">
          <h2 id="recurrence-title">What comes again</h2>
          <p className="said-first">{recurrence.sentence}</p>
          {recurrence.drawing === null ? null : <DrawingSvg drawing={recurrence.drawing} />}
          {recurrence.table === null ? null : <NumberTable table={recurrence.table} />}
        </section>
      )}
      <section className="charted" aria-labelledby="numbers-title">
        <h2 id="numbers-title">Numbers</h2>
        {sheet.rows.length === 0 ? null : <Rows sheet={sheet} />}
        <details><summary>Constants that limits rest on</summary><NumberTable table={sheet.constants} /></details>
      </section>
      <TitleBlock cells={[{ label: "sheet", value: "across runs", twelfths: 6 }, { label: "runs charted", value: sheet.rows.length, twelfths: 2 }, { label: "newest", value: sheet.rows[0] === undefined ? "–" : dateWords(sheet.rows[0].runAt), twelfths: 4 }]} />
      <SafetyNote />
    </main></Acting>
  );
}
