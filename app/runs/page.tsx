import type { Metadata } from "next";
import Link from "next/link";
import type { FindField, FindSheet, FoundLine } from "../../lib/model/findRuns.ts";
import { readFindSheet } from "../../lib/server/findRuns.ts";
import { Acting } from "../components/Acting.tsx";
import { SafetyNote } from "../components/SafetyNote.tsx";
import { TitleBlock, stampOf } from "../components/TitleBlock.tsx";
import { WhoLine } from "../components/WhoLine.tsx";
import { look } from "../door.ts";
import "./find.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Find a run" };

const TEXT_FIELDS: readonly { readonly field: FindField; readonly label: string; readonly hint: string }[] = [
  { field: "text", label: "Name, specimen or id", hint: "any part of it" },
  { field: "from", label: "From, made or brought in", hint: "2026-02-03, or 2026-02-03T09:12:00+01:00" },
  { field: "to", label: "To", hint: "a date counts whole, in UTC" },
  { field: "material", label: "Material", hint: "any part of it" },
  { field: "lot", label: "Lot", hint: "any part of it" },
  { field: "device", label: "Device", hint: "its id, whole" },
  { field: "person", label: "Person", hint: "who acted, the whole name" },
];
const CHOICES = {
  verdict: { label: "Verdict", options: [["", "any"], ["acceptable", "acceptable"], ["notAcceptable", "not acceptable"], ["nothing", "nothing to say"]] },
  signed: { label: "Signed", options: [["", "any"], ["yes", "signed"], ["no", "not signed"]] },
} as const;

function TextField({ sheet, field, label, hint }: { readonly sheet: FindSheet; readonly field: FindField; readonly label: string; readonly hint: string }) {
  const error = sheet.errors[field];
  return (
    <p className="field">
      <label htmlFor={`find-${field}`}>{label}</label>
      <input type="text" id={`find-${field}`} name={field} defaultValue={sheet.form[field]} autoComplete="off" spellCheck={false} aria-invalid={error !== undefined} aria-describedby={`find-${field}-hint${error === undefined ? "" : ` find-${field}-error`}`} />
      <span className="field-hint" id={`find-${field}-hint`}>{hint}</span>
      {error === undefined ? null : <strong className="error" id={`find-${field}-error`}>{error}</strong>}
    </p>
  );
}

function ChoiceField({ sheet, field }: { readonly sheet: FindSheet; readonly field: keyof typeof CHOICES }) {
  const { label, options } = CHOICES[field], error = sheet.errors[field];
  return (
    <p className="field">
      <label htmlFor={`find-${field}`}>{label}</label>
      <select id={`find-${field}`} name={field} defaultValue={error === undefined ? sheet.form[field] : ""}>{options.map(([value, words]) => <option key={value} value={value}>{words}</option>)}</select>
      {error === undefined ? null : <strong className="error">{error}</strong>}
    </p>
  );
}

function Found({ line }: { readonly line: FoundLine }) {
  const stamp = stampOf(line);
  return (
    <li>
      <Link href={`/runs/${line.runId}`} className="run-line found">
        <span className="run-words">
          <span className="run-name">{line.name}{stamp === null ? null : <span className="stamp">{stamp}</span>}</span>
          <span className="run-state">{line.headline}</span>
          <span className="run-facts">{line.facts.join(" · ")}</span>
        </span>
      </Link>
    </li>
  );
}

/** Finds runs: the form is sent as the page's own address, so that it works without scripts and can be kept as a link. */
export default async function FindPage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const person = await look("/runs"), sheet = await readFindSheet(await searchParams), hasErrors = Object.keys(sheet.errors).length > 0;
  return (
    <Acting person={person}><main className="sheet find">
      <header>
        <div className="above"><Link href="/">All runs</Link><Link href="/across">Across runs</Link><WhoLine /></div>
        <h1>{sheet.sentence}</h1>
        <p className="detail">{hasErrors ? "What is wrong stands at the field." : sheet.foundCount === 0 ? "Ask for less, or look again from the register." : "What is asked below counts together. Each line opens its sheet."}</p>
      </header>
      <form method="get" action="/runs" className="find-form" aria-label="Find runs">
        {TEXT_FIELDS.map((each) => <TextField key={each.field} sheet={sheet} {...each} />)}
        <ChoiceField sheet={sheet} field="verdict" /><ChoiceField sheet={sheet} field="signed" />
        <p className="acts"><button type="submit">Find</button><Link href="/runs">Ask for nothing</Link></p>
      </form>
      {sheet.lines.length === 0 ? null : <ol className="runs" aria-label="Runs that were found">{sheet.lines.map((line) => <Found key={line.runId} line={line} />)}</ol>}
      {sheet.nextHref === null ? null : <p className="older"><Link href={sheet.nextHref}>Older ones</Link></p>}
      <section className="storage" aria-labelledby="storage-title">
        <h2 id="storage-title">Room for runs</h2>
        <p>{sheet.storage.sentence}</p>
        <dl className="fact-list">{sheet.storage.facts.map(({ name, value }) => <div key={name}><dt>{name}</dt><dd>{value}</dd></div>)}</dl>
      </section>
      <TitleBlock cells={[{ label: "sheet", value: "find a run", twelfths: 6 }, { label: "found", value: hasErrors ? "–" : sheet.foundCount, twelfths: 2 }, { label: "on this page", value: sheet.lines.length, twelfths: 4 }]} />
      <SafetyNote />
    </main></Acting>
  );
}
