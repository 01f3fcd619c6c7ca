import type { ReactNode } from "react";
import type { ReportBlock, ReportSection, ReportTable, SectionId } from "../../lib/model/report.ts";
import { NO_ROWS } from "../../lib/model/reportTitle.ts";
import { DrawingSvg } from "./DrawingSvg.tsx";
import "./report.css";

/** What people do to a report, by the section after which it stands. */
export type ReportForms = Readonly<Partial<Record<SectionId, ReactNode>>>;

/** A word that is longer may be broken; others stay whole, and the table scrolls. */
const LONG_WORD = /\S{33}/;

/** As long as it is; one that is too wide scrolls within itself. The first column names its row. */
function Table({ table: { caption, columns, rows }, id }: { readonly table: ReportTable; readonly id: string }) {
  const side = (column: number, text = ""): string | undefined => (LONG_WORD.test(text) ? "long" : columns[column]?.isNumber === true ? "number" : undefined);
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- it scrolls, so the keyboard has to reach it
    <div className="table-room" role="region" aria-labelledby={id} tabIndex={0}>
      <table>
        <caption id={id}>{caption}</caption>
        <thead><tr>{columns.map(({ title }, i) => (title === "" ? <td key={i}>{title}</td> : <th key={i} scope="col" className={side(i)}>{title}</th>))}</tr></thead>
        <tbody>
          {rows.length === 0 ? <tr><td colSpan={Math.max(1, columns.length)} className="none">{NO_ROWS}</td></tr> : null}
          {rows.map((row, r) => (
            <tr key={r}>{columns.map((_, i) => (i === 0 ? <th key={i} scope="row" className={side(i, row[i])}>{row[i]}</th> : <td key={i} className={side(i, row[i])}>{row[i]}</td>))}</tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function Block({ block, id, runId }: { readonly block: ReportBlock; readonly id: string; readonly runId: string }) {
  switch (block.kind) {
    case "words": return <p className="said">{block.text}</p>;
    case "caution": return <p className="said caution">{block.text}</p>;
    case "heading": return <h3>{block.text}</h3>;
    case "facts": return <dl className="facts">{block.facts.map((fact, i) => <div key={i}><dt>{fact.name}</dt><dd>{fact.value}</dd></div>)}</dl>;
    case "table": return <Table table={block.table} id={id} />;
    case "drawing": return <DrawingSvg drawing={block.drawing} runId={runId} />;
  }
}

export function SectionBlocks({ section: { id, blocks }, runId }: { readonly section: ReportSection; readonly runId: string }) {
  return <>{blocks.map((block, i) => <Block key={i} block={block} id={`${id}-${i}`} runId={runId} />)}</>;
}

/** A report's sections in their order, `instead` of their blocks where it has something, forms after the sections that they belong to; those of a section that the report has not stand at the end. */
export function ReportSections({ sections, runId, forms, instead = {} }: { readonly sections: readonly ReportSection[]; readonly runId: string; readonly forms: ReportForms; readonly instead?: ReportForms }) {
  const here = new Set(sections.map(({ id }) => id));
  return (
    <>
      {sections.map((section) => [section, section.id as SectionId] as const).map(([section, id]) => (
        <section key={id} id={id} aria-labelledby={`${id}-title`}>
          <h2 id={`${id}-title`}>{section.title}</h2>
          {instead[id] ?? <SectionBlocks section={section} runId={runId} />}
          {forms[id] === undefined ? null : <div className="report-form">{forms[id]}</div>}
        </section>
      ))}
      {Object.entries(forms).map(([id, form]) => (here.has(id) ? null : <div key={id} className="report-form">{form}</div>))}
    </>
  );
}

/** Leads to each section. */
export function ReportContents({ sections }: { readonly sections: readonly ReportSection[] }) {
  return (
    <nav className="report-contents" aria-label="Contents">
      <ol>{sections.map(({ id, title }) => <li key={id}><a href={`#${id}`}>{title}</a></li>)}</ol>
    </nav>
  );
}
