"use client";
import { createContext, useContext, useEffect, useState, type ReactNode } from "react";
import type { CheckedRecord, ReportSection } from "../../../../lib/model/report.ts";
import { SectionBlocks } from "../../../components/ReportBlocks.tsx";

const Check = createContext<CheckedRecord | null>(null);

/** The record as it was checked for this page; null: not yet. */
export function useRecordCheck(): CheckedRecord | null {
  return useContext(Check);
}

/** Asks for the check once the page stands, which takes seconds at 100 000 stations; and again whenever the page tells of more of the log (`head`). */
export function RecordCheck({ runId, resultId, head, children }: { readonly runId: string; readonly resultId: string; readonly head: string; readonly children: ReactNode }) {
  const [checked, setChecked] = useState<CheckedRecord | null>(null);
  useEffect(() => {
    const end = new AbortController();
    const ask = async (): Promise<void> => {
      const answered = await fetch(`/api/runs/${runId}/record?result=${encodeURIComponent(resultId)}`, { signal: end.signal });
      if (answered.ok) setChecked(await answered.json() as CheckedRecord);
    };
    ask().catch(() => undefined); // "being checked" stands where the server has gone
    return () => end.abort();
    // asked again whenever the page tells of more of the log
    // eslint-disable-next-line react-hooks/exhaustive-deps
  }, [runId, resultId, head]);
  return <Check value={checked}>{children}</Check>;
}

/** In the title block. */
export function RecordStanding({ before }: { readonly before: string }) {
  return <>{useRecordCheck()?.words ?? before}</>;
}

/** Under the verdict, where the record is not whole. */
export function RecordWarning() {
  const checked = useRecordCheck();
  return <div role="status">{checked === null || checked.isWhole ? null : <p className="advice">The record is {checked.words}. What this report says may not be what was recorded.</p>}</div>;
}

/** The report's section on the record. */
export function RecordBlocks({ before, runId }: { readonly before: ReportSection; readonly runId: string }) {
  return <SectionBlocks section={useRecordCheck()?.section ?? before} runId={runId} />;
}
