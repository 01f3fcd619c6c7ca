import Link from "next/link";
import type { Report } from "../../../../lib/model/report.ts";
import { recomputedWords, titleFacts } from "../../../../lib/model/reportTitle.ts";
import type { ReportForms } from "../../../components/ReportBlocks.tsx";
import { ReportContents, ReportSections } from "../../../components/ReportBlocks.tsx";
import { SafetyNote } from "../../../components/SafetyNote.tsx";
import { TitleBlock } from "../../../components/TitleBlock.tsx";
import { WhoLine } from "../../../components/WhoLine.tsx";
import { RecordBlocks, RecordCheck, RecordStanding, RecordWarning } from "./RecordCheck.tsx";

/** Something of the report to take along. */
export interface Download { readonly label: string; readonly href: string }

interface Props {
  readonly report: Report;
  readonly downloads: readonly Download[];
  readonly forms: ReportForms;
}

/** A report to be read: the verdict in words, contents, sections, the title block. The same as on paper; but for the record's check nothing in it needs a script. */
export function ReportSheet({ report, downloads, forms }: Props) {
  const { head, verdict, sections } = report, recomputed = recomputedWords(head), record = sections.find(({ id }) => id === "record");
  const cells = titleFacts(report, "1 of 1").map((cell) => (cell.label === "record" ? { ...cell, value: <RecordStanding before={head.recordWords} /> } : cell));
  return (
    <RecordCheck runId={head.runId} resultId={head.resultId} head={head.logHead}><main className="sheet report">
      <header>
        <div className="above"><Link href={recomputed === null ? `/runs/${head.runId}` : `/runs/${head.runId}?result=${head.resultId}`}>The run’s sheets</Link><Link href="/">All runs</Link><WhoLine />{head.stamp === null ? null : <p className="stamp">{head.stamp}</p>}</div>
        <h1>{verdict.headline}</h1>
        <p className="detail">{verdict.detail}</p>
        {verdict.advice === null ? null : <p className="advice">{verdict.advice}</p>}
        {recomputed === null ? null : <p className="advice recomputed">{recomputed}</p>}
        <RecordWarning />
        {downloads.length === 0 ? null : <nav className="report-downloads" aria-label="To take along">{downloads.map(({ label, href }) => <a key={href} href={href} download>{label}</a>)}</nav>}
      </header>
      <ReportContents sections={sections} />
      <div className="report-body"><ReportSections sections={sections} runId={head.runId} forms={forms} instead={record === undefined ? {} : { record: <RecordBlocks before={record} runId={head.runId} /> }} /></div>
      <TitleBlock cells={cells} />
      <SafetyNote />
    </main></RecordCheck>
  );
}
