/** What stands in a report's title block and around its body, on a page and on paper alike. */
import type { Report } from "./report.ts";
import { dateWords, shortHash } from "./titleWords.ts";

/** One cell; its width in twelfths of the block. Cells fill their rows from left to right, 12 twelfths a row. */
export interface TitleFact { readonly label: string; readonly value: string; readonly twelfths: 2 | 3 | 4 | 6 | 9 }

/** Stands in place of a table's rows where it has none. */
export const NO_ROWS = "None.";

function joined(parts: readonly (string | null)[]): string {
  return parts.filter((part) => part !== null).join(" · ");
}

function headWords({ logHead, logCount }: Report["head"]): string {
  return logHead === "" ? "–" : `${logHead} · ${logCount} ${logCount === 1 ? "entry" : "entries"}`;
}

/** Four rows. `sheet`: "12 of 40", "1 of 1". */
export function titleFacts({ head, verdict: { acceptable } }: Report, sheet: string): TitleFact[] {
  return [
    { label: "run", value: joined([head.name, head.specimen]), twelfths: 6 },
    { label: "number", value: head.runId, twelfths: 4 },
    { label: "sheet", value: sheet, twelfths: 2 },
    { label: "material", value: joined([head.materialName, head.lot === null ? null : `lot ${head.lot}`]), twelfths: 4 },
    { label: "result", value: head.resultId, twelfths: 4 },
    { label: "verdict", value: acceptable === null ? "none" : acceptable ? "acceptable" : "not acceptable", twelfths: 2 },
    { label: "kind", value: head.stamp ?? "run", twelfths: 2 },
    { label: "brought in", value: dateWords(head.runAt), twelfths: 3 },
    { label: "report made", value: dateWords(head.madeAt), twelfths: 3 },
    { label: "plan", value: shortHash(head.planSha256), twelfths: 2 },
    { label: "record", value: head.recordWords, twelfths: 4 },
    { label: "log’s head", value: headWords(head), twelfths: 9 },
    { label: "signed", value: head.signedWords, twelfths: 3 },
  ];
}

/** Said under the verdict of a recompute; null: the run's own result. */
export function recomputedWords({ recomputed }: Report["head"]): string | null {
  return recomputed === null ? null : `Not the run’s own result: ${recomputed}.`;
}

/** A drawing's scale holds on paper. */
export function scaleOnScreen(scaleWords: string): string {
  return /^[\d.]+\s*:\s*[\d.]+$/.test(scaleWords) ? `${scaleWords} on paper` : scaleWords;
}

/** In place of a picture that is kept no more. */
export const noPictureWords = (file: string): string => `The picture ${file} is not kept any more.`;
