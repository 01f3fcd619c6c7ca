"use client";
import { FINDING_MARKS } from "../../../../lib/model/marks.ts";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import { MarkLetter } from "../../../components/MarkPatterns.tsx";

/** Findings as they stand now, worst first; each leads to its place. */
export function LiveFindings({ words: { findings, moreFindings }, layerCount, onFinding }: { readonly words: LiveWords; readonly layerCount: number; readonly onFinding: (rank: number) => void }) {
  return (
    <section className="findings" aria-labelledby="findings-title">
      <h2 id="findings-title">Findings as they stand, worst first{findings.length > 0 ? ` · ${findings.length + moreFindings}` : ""}</h2>
      {findings.length === 0 ? <p className="none">There are none so far.</p> : null}
      <ol>
        {findings.map(({ rank, kind, severity, proven, layer, whereWords, rangeWords, valueWords, limitWords }) => (
          <li key={rank}>
            <button type="button" className="finding" onClick={() => onFinding(rank)}>
              <MarkLetter kind={kind} severity={severity} />
              <span className="kind">{FINDING_MARKS[kind].label}</span>
              <span className="value">{valueWords}</span>
              <span className="where-range">{layerCount > 1 ? `layer ${layer}, ` : ""}{whereWords}, {rangeWords}</span>
              <span className="limit-severity">{[limitWords, severity, severity === "act" ? (proven ? "proven" : "not proven") : ""].filter((part) => part !== "").join(" · ")}</span>
            </button>
          </li>
        ))}
      </ol>
      {moreFindings === 0 ? null : <p className="none">{moreFindings} more are not shown while the print goes on.</p>}
    </section>
  );
}
