/** The one table of marks as CSS: `--mark-gap` and the like, for the light and the dark sheet. */
import { FINDING_MARKS, SHEET, VERDICT_MARKS } from "../../lib/model/marks.ts";
import type { Mark } from "../../lib/model/marks.ts";

function declarations(side: "light" | "dark"): string {
  const marks: [string, Mark][] = [...Object.entries(FINDING_MARKS), ...Object.entries(VERDICT_MARKS)];
  return [`--sheet: ${SHEET[side]};`, ...new Map(marks.map(([name, mark]) => [name, `--mark-${name}: ${mark[side]};`])).values()].join(" ");
}

export const MARK_CSS = `:root { ${declarations("light")} }
@media (prefers-color-scheme: dark) { :root { ${declarations("dark")} } }
@media print { :root { ${declarations("light")} } }`;
