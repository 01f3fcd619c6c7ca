import type { ReactNode } from "react";

export { dateWords, shortHash, stampOf } from "../../lib/model/titleWords.ts";

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
