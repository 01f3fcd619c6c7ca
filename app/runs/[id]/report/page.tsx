import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { readReport } from "../../../../lib/server/readReport.ts";
import { readRunName } from "../../../../lib/server/pages.ts";
import { Acting } from "../../../components/Acting.tsx";
import { look } from "../../../door.ts";
import type { Download } from "./ReportSheet.tsx";
import { ReportSheet } from "./ReportSheet.tsx";
import { SignForm } from "./SignForm.tsx";

export const dynamic = "force-dynamic";

interface Props { readonly params: Promise<{ readonly id: string }>; readonly searchParams: Promise<{ readonly result?: string | string[] }> }

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const { id } = await params;
  await look(`/runs/${id}/report`);
  const name = await readRunName(id);
  return { title: name === null ? "No such run" : `${name}: report` };
}

/** `query`: "?result=ID" of a result that was asked for, or "". */
function downloadsOf(runId: string, query: string): Download[] {
  const run = `/api/runs/${runId}`, stations = `${run}/stations${query === "" ? "?" : `${query}&`}format=`;
  return [
    { label: "PDF, as on paper", href: `${run}/report/pdf${query}` }, { label: "Stations as CSV", href: `${stations}csv` }, { label: "Stations as Arrow", href: `${stations}arrow` },
    { label: "Findings as CSV", href: `${run}/findings${query}` }, { label: "As-laid surface as PLY", href: `${run}/surface${query}` },
  ];
}

export default async function ReportPage({ params, searchParams }: Props) {
  const { id } = await params, { result } = await searchParams, resultId = typeof result === "string" ? result : null;
  const query = resultId === null ? "" : `?result=${encodeURIComponent(resultId)}`;
  const person = await look(`/runs/${id}/report${query}`);
  const report = await readReport(id, resultId, person, () => null);
  if (report === null) notFound();
  const { resultId: signed, logHead } = report.head, signing = <SignForm runId={id} resultId={signed} head={logHead} />;
  return <Acting person={person}><ReportSheet report={report} downloads={downloadsOf(id, query)} forms={{ signatures: signing }} /></Acting>;
}
