import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { dropState } from "../../../lib/server/dropRaw.ts";
import { dispositionsOf, notesOf } from "../../../lib/server/dispositions.ts";
import { readLiveSheet } from "../../../lib/server/liveSheet.ts";
import { readRecordWords, readRunName, readSheet } from "../../../lib/server/pages.ts";
import { readBandTexts, readResultLines } from "../../../lib/server/recompute/results.ts";
import { readBeforeSheet } from "../../../lib/server/preflight.ts";
import { signedOf } from "../../../lib/server/signatures.ts";
import { readScanLines } from "../../../lib/server/scans.ts";
import { Acting } from "../../components/Acting.tsx";
import { look } from "../../door.ts";
import { DropForm } from "./DropForm.tsx";
import { Later } from "./Later.tsx";
import { LiveSheet } from "./live/LiveSheet.tsx";
import { Preflight } from "./Preflight.tsx";
import { RecomputeNote, Results } from "./Results.tsx";
import { ReviewSheet } from "./ReviewSheet.tsx";
import { SupportFound } from "./SupportFound.tsx";

export const dynamic = "force-dynamic";

interface Props { readonly params: Promise<{ readonly id: string }>; readonly searchParams: Promise<Record<string, string | string[] | undefined>> }

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const { id } = await params;
  await look(`/runs/${id}`);
  return { title: await readRunName(id) ?? "No such run" };
}

/** `?result=ID`: a recompute in place of the run's own result. */
export default async function RunPage({ params, searchParams }: Props) {
  const { id } = await params, { result } = await searchParams, resultId = typeof result === "string" ? result : null;
  const person = await look(`/runs/${id}${resultId === null ? "" : `?result=${encodeURIComponent(resultId)}`}`);
  const sheet = await readSheet(id, resultId);
  if (sheet === null) {
    if (resultId !== null) notFound();
    const live = await readLiveSheet(id);
    if (live === null) notFound();
    return <Acting person={person}><LiveSheet sheet={live} /></Acting>;
  }
  const before = readBeforeSheet(sheet.resultId), shown = { runId: id, results: await readResultLines(id), shownId: sheet.resultId };
  return (
    <Acting person={person}>
      <ReviewSheet key={sheet.resultId} sheet={sheet} note={<RecomputeNote {...shown} />} results={<Results {...shown} own={readBandTexts(id)} />} record={await readRecordWords(id)} dispositions={dispositionsOf(id)} notes={notesOf(id)} signed={signedOf(id, sheet.resultId)} later={<Later runId={id} scans={readScanLines(id)} />} after={<DropForm runId={id} {...dropState(id)} />}
        before={before === null ? null : <><Preflight preflight={before.preflight} />{before.support === null ? null : <SupportFound found={before.support} />}</>} />
    </Acting>
  );
}
