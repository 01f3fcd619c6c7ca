import type { SupportKind } from "../model/result.ts";
import { GOOD_COVERAGE } from "./bands.ts";

/**
 * A spanned bead as it hangs. Nothing beneath presses a thread flat, so over a hollow it keeps the proportions in which it was planned: one of
 * less paste is narrower as well as lower. What its crown lies under the height that its own width lets expect, h w' / w, is sag and no
 * missing paste; let down by d a bead of width w' shows d w' less area over the planned base (plane geometry). At most a hollow's own depth,
 * a quarter of the height, counts as sag: a bead deeper than that carries the next layer no more than the hollow does.
 */
export const MOST_SAG_SHARE = 0.25;

/** What was seen of a bead: NaN where it was not. One standard uncertainty each. */
export interface Seen {
  readonly support: SupportKind;
  /** 0..1 of the window that returned light. */
  readonly coverage: number;
  readonly areaMm2: number; readonly uAreaMm2: number;
  readonly heightMm: number; readonly uHeightMm: number;
  readonly widthMm: number; readonly uWidthMm: number;
}

/** Area and height with the bead's own sag added back, mm² and mm. */
export interface Hung { readonly areaMm2: number; readonly uAreaMm2: number; readonly heightMm: number; readonly uHeightMm: number }

/** A bead that is not spanned, or whose crown was not seen, as it is. */
export function asHung(seen: Seen, planned: { readonly widthMm: number; readonly heightMm: number }): Hung {
  const { areaMm2, uAreaMm2, heightMm, uHeightMm } = seen;
  if (seen.support !== "spanned" || heightMm !== heightMm) return { areaMm2, uAreaMm2, heightMm, uHeightMm };
  const most = MOST_SAG_SHARE * planned.heightMm;
  const flanksSeen = seen.widthMm === seen.widthMm;
  const widthMm = flanksSeen ? seen.widthMm : planned.widthMm;
  const { sagMm, uSagMm, byWidthMm2 } = flanksSeen ? sagByWidth(seen, planned, most) : unknownSag(planned.heightMm - heightMm, most);
  return {
    areaMm2: areaMm2 + sagMm * widthMm, uAreaMm2: Math.hypot(uAreaMm2, byWidthMm2, uSagMm * widthMm),
    heightMm: heightMm + sagMm, uHeightMm: Math.hypot(uHeightMm, uSagMm),
  };
}

/** Sag that counts, its own uncertainty, and what the width's uncertainty puts into the area with it. */
interface Sag { readonly sagMm: number; readonly uSagMm: number; readonly byWidthMm2: number }

function sagByWidth(seen: Seen, planned: { readonly widthMm: number; readonly heightMm: number }, most: number): Sag {
  const slope = planned.heightMm / planned.widthMm;
  // over a hollow a flank that returned no light is easily taken for one further out
  const believed = seen.coverage >= GOOD_COVERAGE ? seen.widthMm : Math.min(seen.widthMm, planned.widthMm);
  const sagMm = slope * believed - seen.heightMm;
  if (sagMm <= 0) return { sagMm: 0, uSagMm: 0, byWidthMm2: 0 };
  if (sagMm >= most) return { sagMm: most, uSagMm: 0, byWidthMm2: most * seen.uWidthMm };
  return { sagMm, uSagMm: slope * seen.uWidthMm, byWidthMm2: sagMm * seen.uWidthMm };
}

/** With a flank hidden nobody knows how much of the lowness is sag: anything from none to all (rectangular, JCGM 100 4.3.7). */
function unknownSag(lowMm: number, most: number): Sag {
  const all = Math.min(most, Math.max(0, lowMm));
  return { sagMm: all / 2, uSagMm: all / Math.sqrt(12), byWidthMm2: 0 };
}
