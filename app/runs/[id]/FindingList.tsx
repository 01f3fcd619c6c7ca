"use client";
import type { MouseEvent } from "react";
import type { FindingDisposition } from "../../../lib/model/disposition.ts";
import { DISPOSITION_LABELS, DISPOSITION_REASONS } from "../../../lib/model/disposition.ts";
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { Sheet, SheetFinding } from "../../../lib/model/sheet.ts";
import { MarkLetter } from "../../components/MarkPatterns.tsx";
import { dateWords } from "../../components/TitleBlock.tsx";
import { DispositionForm } from "./DispositionForm.tsx";
import { findingId } from "./useChosen.ts";

interface Props {
  readonly sheet: Sheet;
  readonly selectedRank: number | null;
  readonly dispositions: readonly FindingDisposition[];
  readonly onFinding: (rank: number) => void;
  readonly onDisposed: (kept: FindingDisposition) => void;
}

/** Of several for one finding the last counts. */
function dispositionOf(finding: SheetFinding, resultId: string, dispositions: readonly FindingDisposition[]): FindingDisposition | undefined {
  return dispositions.findLast((each) => each.resultId === resultId && each.findingIndex === finding.findingIndex);
}

function severityWords(finding: SheetFinding, disposition: FindingDisposition | undefined): string {
  const proof = finding.severity === "act" ? (finding.proven ? "proven" : "not proven") : "";
  return [finding.limitWords, finding.severity, proof, disposition === undefined ? "open" : DISPOSITION_LABELS[disposition.disposition]].filter((part) => part !== "").join(" · ");
}

/** Worst first; each line leads to its place. */
export function FindingList({ sheet, selectedRank, dispositions, onFinding, onDisposed }: Props) {
  const { findings, resultId } = sheet;
  const selected = selectedRank === null ? undefined : findings[selectedRank];
  return (
    <section className="findings" aria-labelledby="findings-title">
      <h2 id="findings-title">Findings, worst first{findings.length > 0 ? ` · ${findings.length}` : ""} <span className="keys">next <kbd>n</kbd> previous <kbd>p</kbd></span></h2>
      {findings.length === 0 ? <p className="none">There are none.</p> : null}
      <ol>
        {findings.map((finding) => {
          const choose = (event: MouseEvent): void => {
            event.preventDefault();
            onFinding(finding.rank);
          };
          return (
            <li key={finding.rank}>
              <a href={`#${findingId(finding.rank)}`} id={findingId(finding.rank)} aria-current={finding.rank === selectedRank ? "true" : undefined} onClick={choose}>
                <MarkLetter kind={finding.kind} severity={finding.severity} />
                <span className="kind">{FINDING_MARKS[finding.kind].label}</span>
                <span className="value">{finding.valueWords}</span>
                <span className="where-range">{sheet.layers.length > 1 ? `layer ${finding.layer}, ` : ""}{finding.whereWords}, {finding.rangeWords}</span>
                <span className="limit-severity">{severityWords(finding, dispositionOf(finding, resultId, dispositions))}</span>
              </a>
            </li>
          );
        })}
      </ol>
      {selected === undefined ? null : (
        <>
          <p className="what-to-do" aria-live="polite">{selected.advice}</p>
          <Decided disposition={dispositionOf(selected, resultId, dispositions)} />
          <details className="decide" id="decide">
            <summary>Decide about it <kbd>d</kbd></summary>
            <DispositionForm key={selected.findingIndex} runId={sheet.head.runId} resultId={resultId} findingIndex={selected.findingIndex} onKept={onDisposed} />
          </details>
        </>
      )}
    </section>
  );
}

/** What was decided about the chosen finding, and by whom. */
function Decided({ disposition }: { readonly disposition: FindingDisposition | undefined }) {
  if (disposition === undefined) return null;
  const reason = DISPOSITION_REASONS[disposition.disposition].find(({ code }) => code === disposition.reason)?.label ?? disposition.reason;
  return (
    <p className="decided">
      {DISPOSITION_LABELS[disposition.disposition]}: {reason}{disposition.note === "" ? "" : `; “${disposition.note}”`} <span className="by">{disposition.actor}, {dateWords(disposition.at)}</span>
    </p>
  );
}
