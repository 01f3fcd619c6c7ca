import type { CommandLine } from "../../../../lib/model/liveSheet.ts";
import { agoWords } from "./watchWords.ts";

/** "asked 09:14:12 UTC by screen · fetched after 0.1 s · done after 2.3 s". */
function lifeWords({ by, askedAt, sentAfterS, answeredAfterS }: CommandLine): string {
  return [`asked ${askedAt.slice(11, 19)} UTC by ${by}`, sentAfterS === null ? "not fetched yet" : `fetched after ${agoWords(sentAfterS)}`, answeredAfterS === null ? null : `answered after ${agoWords(answeredAfterS)}`].filter((part) => part !== null).join(" · ");
}

/** What the cell was asked for and what it answered, newest first, with the life of each. */
export function Commands({ commands }: { readonly commands: readonly CommandLine[] }) {
  return (
    <section className="live-part commands" aria-labelledby="commands-title">
      <h2 id="commands-title">Asked of the cell, newest first</h2>
      {commands.length === 0 ? <p className="none">Nothing so far.</p> : (
        <ol>
          {commands.map((line) => (
            <li key={line.n}><span className="number">{line.n}</span><span className="what">{line.what}</span><span className={line.isOpen ? "outcome open" : "outcome"}>{line.outcome}</span><span className="by">{lifeWords(line)}</span></li>
          ))}
        </ol>
      )}
    </section>
  );
}
