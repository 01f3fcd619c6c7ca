"use client";
import type { MouseEvent } from "react";
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { SheetFinding } from "../../../lib/model/sheet.ts";
import { MarkLetter } from "../../components/MarkPatterns.tsx";

export const findingId = (rank: number): string => `finding-${rank + 1}`;

interface Props {
  readonly findings: readonly SheetFinding[];
  readonly layerCount: number;
  readonly selectedRank: number | null;
  readonly onFinding: (rank: number) => void;
}

/** Worst first; each line leads to its place. */
export function FindingList({ findings, layerCount, selectedRank, onFinding }: Props) {
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
                <span className="where-range">{layerCount > 1 ? `layer ${finding.layer}, ` : ""}{finding.whereWords}, {finding.rangeWords}</span>
                <span className="limit-severity">{[finding.limitWords, finding.severity, finding.severity === "act" ? (finding.proven ? "proven" : "not proven") : ""].filter((part) => part !== "").join(" · ")}</span>
              </a>
            </li>
          );
        })}
      </ol>
      {selectedRank === null ? null : <p className="what-to-do" aria-live="polite">{findings[selectedRank]?.advice}</p>}
    </section>
  );
}
