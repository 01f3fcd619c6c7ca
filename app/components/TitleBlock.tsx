import type { ReactNode } from "react";

/** One cell of a title block; its width in twelfths of the block. */
export interface TitleCell { readonly label: string; readonly value: ReactNode; readonly twelfths: 2 | 3 | 4 | 6 | 9 }

/** Closes every sheet at the same place (in the sense of ISO 7200). `label` tells several on one page apart. */
export function TitleBlock({ cells, label = "Title block" }: { readonly cells: readonly TitleCell[]; readonly label?: string }) {
  return (
    <section className="title-block" aria-label={label}>
      <dl>
        {cells.map((cell) => (
          <div key={cell.label} className={`twelfths-${cell.twelfths}`}><dt>{cell.label}</dt><dd>{cell.value}</dd></div>
        ))}
      </dl>
    </section>
  );
}

/** "REHEARSAL", "DEMO", both, or null for a run of a real cell. */
export function stampOf({ rehearsal, demo }: { readonly rehearsal: boolean; readonly demo: boolean }): string | null {
  const words = [...(demo ? ["DEMO"] : []), ...(rehearsal ? ["REHEARSAL"] : [])];
  return words.length === 0 ? null : words.join(" · ");
}

/** "2026-02-03 09:12 UTC" of an ISO text in UTC. */
export function dateWords(iso: string): string {
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} UTC`;
}

/** "3f9c12…e1": enough of a hash to compare by eye. */
export function shortHash(hex: string): string {
  return `${hex.slice(0, 8)}…${hex.slice(-4)}`;
}
