import Link from "next/link";
import type { BesideAsk } from "../../lib/model/beside.ts";
import type { BesidePage, RunChoice, SideChoice } from "../../lib/server/beside.ts";
import { dateWords } from "../components/TitleBlock.tsx";

function pathOf(a: BesideAsk | null, b: BesideAsk | null): string {
  const parts = [["a", a?.runId], ["ra", a?.resultId], ["b", b?.runId], ["rb", b?.resultId]].flatMap(([key, value]) => (value == null ? [] : [`${key}=${encodeURIComponent(value)}`]));
  return `/beside?${parts.join("&")}`;
}

function RunField({ side, name, runs, asked }: { readonly side: string; readonly name: string; readonly runs: readonly RunChoice[]; readonly asked: BesideAsk | null }) {
  return (
    <div className="side">
      <label htmlFor={`side-${name}`}>{side}</label>
      <select id={`side-${name}`} name={name} defaultValue={asked?.runId ?? ""} required>
        <option value="">a run</option>
        {runs.map((run) => <option key={run.id} value={run.id}>{run.name} · {dateWords(run.createdAt)}</option>)}
      </select>
    </div>
  );
}

/** Other results of the run on one side, where it has several. */
function ResultWays({ side, choice, pathTo }: { readonly side: string; readonly choice: SideChoice; readonly pathTo: (asked: BesideAsk) => string }) {
  const { asked, results } = choice;
  if (asked === null || results.length < 2) return null;
  return (
    <p className="side-results">
      <span>{side} shows</span>
      {results.map(({ resultId, recompute, computedAt }) => {
        const own = recompute === null, isShown = own ? asked.resultId === null || asked.resultId === resultId : asked.resultId === resultId;
        return <Link key={resultId} href={pathTo({ runId: asked.runId, resultId: own ? null : resultId })} aria-current={isShown ? "true" : undefined}>{own ? "the run’s own result" : `a recompute by ${recompute.computedBy}, ${dateWords(computedAt)}`}</Link>;
      })}
    </p>
  );
}

/** Which two runs, by a form that needs no script; which of their results, by links. */
export function ChooseSides({ page: { runs, a, b } }: { readonly page: BesidePage }) {
  return (
    <section className="choose-sides" aria-label="Which two">
      <form action="/beside" method="get" key={`${a.asked?.runId}/${b.asked?.runId}`}>
        <RunField side="A" name="a" runs={runs} asked={a.asked} />
        <RunField side="B" name="b" runs={runs} asked={b.asked} />
        <button type="submit">Put beside each other</button>
      </form>
      <ResultWays side="A" choice={a} pathTo={(asked) => pathOf(asked, b.asked)} />
      <ResultWays side="B" choice={b} pathTo={(asked) => pathOf(a.asked, asked)} />
    </section>
  );
}
