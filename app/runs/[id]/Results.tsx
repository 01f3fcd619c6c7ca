import Link from "next/link";
import type { BandTexts, ResultLine } from "../../../lib/model/recompute.ts";
import { dateWords } from "../../components/TitleBlock.tsx";
import { RecomputeForm } from "./RecomputeForm.tsx";

export interface ResultsProps {
  readonly runId: string;
  /** The run's own first. */
  readonly results: readonly ResultLine[];
  /** The one that is shown. */
  readonly shownId: string;
  /** null: what is kept of the job cannot be read. */
  readonly own: BandTexts | null;
}

const pathOf = (runId: string, { resultId, recompute }: ResultLine, more = ""): string => `/runs/${runId}${more}${recompute === null ? "" : `?result=${resultId}`}`;

/** Said above everything else where what is shown is not the run's own result. */
export function RecomputeNote({ runId, results, shownId }: Omit<ResultsProps, "own">) {
  const shown = results.find(({ resultId }) => resultId === shownId);
  if (shown === undefined || shown.recompute === null) return null;
  return (
    <p className="recompute-note">
      This is a recompute under other bands, by {shown.recompute.computedBy} on {dateWords(shown.computedAt)}: “{shown.recompute.reason}”. The run’s own result stands beside it. <Link href={`/runs/${runId}`}>Back to the run’s own result</Link> <Link href={`/beside?a=${runId}&b=${runId}&rb=${shownId}`}>Both beside each other</Link>
    </p>
  );
}

/** Every result of the run, with the way to each; what can be taken away of the one that is shown; and the form that makes another. */
export function Results({ runId, results, shownId, own }: ResultsProps) {
  const query = results.find(({ resultId }) => resultId === shownId)?.recompute == null ? "" : `?result=${shownId}`, besideQuery = query === "" ? "" : `&ra=${shownId}`;
  return (
    <section className="results" aria-labelledby="results-title">
      <h2 id="results-title">Results · {results.length}</h2>
      <ol>
        {results.map((line) => (
          <li key={line.resultId}>
            <Link href={pathOf(runId, line)} aria-current={line.resultId === shownId ? "page" : undefined}>{line.recompute === null ? "The run’s own" : `Recompute by ${line.recompute.computedBy}`}</Link>
            <span className="result-words">{line.headline}{line.recompute === null ? "" : ` “${line.recompute.reason}”`}</span>
            <span className="by">{dateWords(line.computedAt)} · <Link href={pathOf(runId, line, "/report")}>report</Link></span>
          </li>
        ))}
      </ol>
      <p className="result-ways">
        <Link href={`/beside?a=${runId}${besideQuery}`}>Beside another</Link>
        <a href={`/api/runs/${runId}/stations${query === "" ? "?" : `${query}&`}format=csv`} download>Stations as CSV</a>
        <a href={`/api/runs/${runId}/stations${query === "" ? "?" : `${query}&`}format=arrow`} download>Stations as Arrow</a>
        <a href={`/api/runs/${runId}/findings${query}`} download>Findings as CSV</a>
      </p>
      {own === null ? null : <details className="again"><summary>Measure again under other bands</summary><RecomputeForm runId={runId} own={own} /></details>}
    </section>
  );
}
