import Link from "next/link";
import type { OpenRunLine } from "../lib/model/liveSheet.ts";
import type { RunLine } from "../lib/model/sheet.ts";
import { readOpenRuns } from "../lib/server/liveSheet.ts";
import { readRunPage } from "../lib/server/pages.ts";
import { Acting } from "./components/Acting.tsx";
import { SafetyNote } from "./components/SafetyNote.tsx";
import { Thumbnail } from "./components/Thumbnail.tsx";
import { TitleBlock, dateWords, stampOf } from "./components/TitleBlock.tsx";
import { WhoLine } from "./components/WhoLine.tsx";
import { look } from "./door.ts";
import { PauseBar } from "./runs/[id]/live/PauseBar.tsx";

export const dynamic = "force-dynamic";

function Run({ line }: { readonly line: RunLine }) {
  const { head, headline, thumbnail } = line;
  const stamp = stampOf(head);
  return (
    <li>
      <Link href={`/runs/${head.runId}`} className="run-line">
        <Thumbnail strands={thumbnail} />
        <span className="run-words">
          <span className="run-name">{head.name}{stamp === null ? null : <span className="stamp">{stamp}</span>}</span>
          <span className="run-state">{headline}</span>
          <span className="run-facts">
            {[head.specimen, head.lot === null ? null : `lot ${head.lot}`, ...line.sizeWords, dateWords(head.createdAt)].filter((fact) => fact !== null).join(" · ")}
          </span>
        </span>
      </Link>
    </li>
  );
}

const STATE_WORDS: Readonly<Record<string, string>> = { prepared: "PREPARED", live: "LIVE", paused: "PAUSED", onHold: "ON HOLD", ending: "ENDING", finished: "OVER", aborted: "ABORTED" };

/** A run that has no sheet of results yet: its state, its sentence, since when. */
function OpenRun({ line: { head, state, since, headline, pauseAt, mayAsk } }: { readonly line: OpenRunLine }) {
  const stamp = stampOf(head);
  return (
    <li>
      <Link href={`/runs/${head.runId}`} className="run-line open">
        <span className="run-life">{STATE_WORDS[state] ?? state}</span>
        <span className="run-words">
          <span className="run-name">{head.name}{stamp === null ? null : <span className="stamp">{stamp}</span>}</span>
          <span className="run-state">{headline}</span>
          <span className="run-facts">{[head.specimen, head.lot === null ? null : `lot ${head.lot}`, `since ${dateWords(since)}`].filter((fact) => fact !== null).join(" · ")}</span>
        </span>
      </Link>
      {mayAsk ? <PauseBar runId={head.runId} pauseAt={pauseAt} mayAsk isSlim /> : null}
    </li>
  );
}

export default async function RegisterPage({ searchParams }: { readonly searchParams: Promise<Record<string, string | string[] | undefined>> }) {
  const { after } = await searchParams, person = await look("/");
  const { headline, lines, runCount, olderAfter } = await readRunPage(typeof after === "string" ? after : null);
  const newest = lines[0], { sentence, open, unmeasured } = typeof after === "string" ? { sentence: "", open: [], unmeasured: [] } : readOpenRuns();
  return (
    <Acting person={person}><main className="sheet register">
      <header>
        <div className="above"><Link href="/prepare">Prepare a run</Link><Link href="/import">Bring a run in</Link><Link href="/runs">Find a run</Link><Link href="/across">Across runs</Link><Link href="/api">The wire</Link><WhoLine /></div>
        <h1>{sentence === "" ? headline : `${sentence} ${headline}`}</h1>
        <p className="detail">
          {newest === undefined && runCount > 0 ? "There are no older ones." : newest === undefined
            ? <><Link href="/import">Bring a recorded one in</Link>, or run <code>npm run --silent import -- FOLDER</code></>
            : "Newest first. Each line opens its sheet: what was planned against what really lies there."}
        </p>
      </header>
      {open.length === 0 ? null : <ol className="runs open" aria-label="Runs that are not over">{open.map((line) => <OpenRun key={line.head.runId} line={line} />)}</ol>}
      <ol className="runs">{lines.map((line) => <Run key={line.head.runId} line={line} />)}</ol>
      {unmeasured.length === 0 ? null : <ol className="runs open" aria-label="Runs that are over and could not be measured">{unmeasured.map((line) => <OpenRun key={line.head.runId} line={line} />)}</ol>}
      {runCount < 2 ? null : <p className="older"><Link href="/beside">Two runs beside each other</Link></p>}
      {olderAfter === null ? null : <p className="older"><Link href={`/?after=${olderAfter}`}>Older runs</Link></p>}
      <TitleBlock cells={[
        { label: "sheet", value: "register of runs", twelfths: 6 },
        { label: "runs", value: runCount, twelfths: 2 },
        { label: "newest", value: newest === undefined ? "–" : dateWords(newest.head.createdAt), twelfths: 4 },
      ]} />
      <SafetyNote />
    </main></Acting>
  );
}
