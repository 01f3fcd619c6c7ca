/** How wide a table's columns are. */
import type { ReportTable } from "../../model/report.ts";
import type { Faces } from "./faces.ts";
import { cleanText } from "./faces.ts";
import type { LineStyle } from "./wrap.ts";

/** Between columns, pt. */
export const GAP = 10;
/** Sizes that are tried for a table, the largest that fits is taken; pt. */
const SIZES = [8.5, 7.5] as const;
const SMALLEST = 6.5;
/** A table that needs less than this share of the width is not drawn out to it. */
const DRAWN_OUT_FROM = 0.6;
/** A cell wider than this share of the width is broken rather than made room for. */
const WIDEST_SHARE = 0.5;

/** `size` and `leading` of its text; `widths` without the gaps. */
export interface Columns { readonly size: number; readonly leading: number; readonly widths: readonly number[] }

interface Needs { readonly whole: number; readonly word: number }

/** Widest line and widest word of each column at size 1. */
function needsOf(faces: Faces, { columns, rows }: ReportTable): Needs[] {
  return columns.map(({ title }, i) => {
    const cells = [{ text: title, weight: "bold" as const }, ...rows.map((row) => ({ text: row[i] ?? "", weight: "regular" as const }))];
    let whole = 0, word = 0;
    for (const { text, weight } of cells) {
      for (const line of cleanText(text).split("\n")) whole = Math.max(whole, weight === "bold" ? 0 : faces.width(line, weight, 1));
      for (const piece of cleanText(text).split(/\s+/)) word = Math.max(word, faces.width(piece, weight, 1));
    }
    return { whole: Math.max(whole, word), word };
  });
}

const sum = (numbers: readonly number[]): number => numbers.reduce((total, each) => total + each, 0);

/** Widths in which every word stands on one line, at the largest size where that can be; else words are broken. */
export function fitColumns(faces: Faces, table: ReportTable, width: number): Columns {
  const needs = needsOf(faces, table), room = width - GAP * (table.columns.length - 1);
  const size = SIZES.find((each) => sum(needs.map(({ word }) => Math.min(word * each, room * WIDEST_SHARE))) <= room) ?? SMALLEST;
  const least = needs.map(({ word }) => Math.min(word * size, room * WIDEST_SHARE)), whole = needs.map((each) => each.whole * size);
  return { size, leading: size * 1.3, widths: share(least, whole, room) };
}

function share(least: readonly number[], whole: readonly number[], room: number): number[] {
  const leastSum = sum(least), wholeSum = sum(whole);
  if (leastSum > room) return least.map((each) => each * room / leastSum);
  if (wholeSum > room) {
    const more = whole.map((each, i) => Math.max(0, Math.min(each, room * WIDEST_SHARE) - (least[i] as number))), moreSum = Math.max(sum(more), Number.MIN_VALUE);
    return least.map((each, i) => each + (more[i] as number) * (room - leastSum) / moreSum);
  }
  const spare = (wholeSum < room * DRAWN_OUT_FROM ? Math.min(room - wholeSum, 24 * whole.length) : room - wholeSum) / Math.max(1, whole.length);
  return whole.map((each) => each + spare);
}

/** The styles of its head and of its cells. */
export function cellStyles({ size, leading }: Columns): { readonly head: LineStyle; readonly cell: LineStyle } {
  return { head: { size, leading, weight: "bold" }, cell: { size, leading, weight: "regular" } };
}
