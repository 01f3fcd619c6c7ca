import type { CommandLine } from "../../../../lib/model/liveSheet.ts";

/** What the cell was asked for and what it answered, newest first. */
export function Commands({ commands }: { readonly commands: readonly CommandLine[] }) {
  if (commands.length === 0) return null;
  return (
    <section className="live-part commands" aria-labelledby="commands-title">
      <h2 id="commands-title">Asked of the cell, newest first</h2>
      <ol>
        {commands.map(({ n, what, by, askedAt, outcome, isOpen }) => (
          <li key={n}><span className="number">{n}</span><span className="what">{what}</span><span className={isOpen ? "outcome open" : "outcome"}>{outcome}</span><span className="by">{by}, {askedAt.slice(11, 19)} UTC</span></li>
        ))}
      </ol>
    </section>
  );
}
