/** What is drawn at a station of the target, and how large: from the columns of its strand. */
import { VERDICTS, type Verdict } from "../../../lib/model/result.ts";
import type { SheetStrand } from "../../../lib/model/sheet.ts";

/** Nothing; a thin line; a dashed outline; from `seen` on a body, and after it a body with a mark. */
export const LOOKS = ["blank", "planned", "gap", "seen", "under", "over", "lifted", "displaced"] as const;
export type Look = (typeof LOOKS)[number];
export const PLANNED = LOOKS.indexOf("planned"), GAP = LOOKS.indexOf("gap"), SEEN = LOOKS.indexOf("seen");

const OF_VERDICT: Readonly<Record<Verdict, Look>> = {
  inBand: "seen", watch: "seen", under: "under", over: "over", gap: "gap", lifted: "lifted", displaced: "displaced", unmeasured: "blank", pending: "planned", removed: "planned",
};
const CODES = VERDICTS.map((verdict) => LOOKS.indexOf(OF_VERDICT[verdict]));

/** Index in LOOKS. What was laid and not seen is blank; what has no number is no body. */
export function lookAt(strand: SheetStrand, i: number): number {
  if (strand.laid[i] !== 1) return PLANNED;
  const code = CODES[strand.verdict[i] as number] as number;
  return code >= SEEN && Number.isNaN(strand.areaRatio[i]) && Number.isNaN(strand.heightMm[i]) ? 0 : code;
}

/** Measured where it was, else planned; the offset from the plan, + to the left of travel. */
export function sizeAt(strand: SheetStrand, i: number): { readonly widthMm: number; readonly heightMm: number; readonly offsetMm: number } {
  const measured = (column: Float32Array, planned: number): number => { const value = column[i] as number; return Number.isNaN(value) ? planned : value; };
  return { widthMm: measured(strand.widthMm, strand.plannedWidthMm[i] as number), heightMm: measured(strand.heightMm, strand.plannedHeightMm[i] as number), offsetMm: measured(strand.offsetMm, 0) };
}

const DRAWN = ["laid", "verdict", "widthMm", "heightMm", "offsetMm", "areaRatio"] as const satisfies readonly (keyof SheetStrand)[];

/** First and last station at which two states of a strand are drawn differently; null: none. */
export function changedStations(before: SheetStrand, after: SheetStrand): readonly [number, number] | null {
  let first = -1, last = -1;
  for (let i = 0; i < after.sMm.length; i++) {
    if (DRAWN.every((key) => Object.is(before[key][i], after[key][i]))) continue;
    if (first < 0) first = i;
    last = i;
  }
  return first < 0 ? null : [first, last];
}

export interface SizeCount { readonly bodies: number; readonly asPlanned: number }

/** Strands never change: a new reading makes a new one. */
const counted = new WeakMap<SheetStrand, SizeCount>();

/** Of the bodies that are drawn: how many have their planned width or height because theirs was not seen. */
export function countPlannedSizes(strands: readonly SheetStrand[]): SizeCount {
  let bodies = 0, asPlanned = 0;
  for (const strand of strands) {
    const count = counted.get(strand) ?? countStrand(strand);
    counted.set(strand, count);
    bodies += count.bodies;
    asPlanned += count.asPlanned;
  }
  return { bodies, asPlanned };
}

function countStrand(strand: SheetStrand): SizeCount {
  let bodies = 0, asPlanned = 0;
  for (let i = 0; i < strand.sMm.length; i++) {
    if (lookAt(strand, i) < SEEN) continue;
    bodies++;
    if (Number.isNaN(strand.widthMm[i]) || Number.isNaN(strand.heightMm[i])) asPlanned++;
  }
  return { bodies, asPlanned };
}
