/** A stretch that a person marks as taken off, on whole stations. */

/** Stations in order; from 0 to the strand's end. */
export interface Marked { readonly fromMm: number; readonly toMm: number }

/** The stretch from the station at or before the one end to the station at or after the other, whichever was marked first; null: it lies off the strand, or is no stretch of numbers. */
export function snapStretch(sMm: ArrayLike<number>, { fromMm, toMm }: Marked): Marked | null {
  const low = Math.min(fromMm, toMm), high = Math.max(fromMm, toMm), last = sMm[sMm.length - 1];
  if (last === undefined || Number.isNaN(low) || Number.isNaN(high) || high < 0 || low > last) return null;
  let from = 0, to = sMm.length - 1;
  while (from + 1 < sMm.length && (sMm[from + 1] as number) <= low) from++;
  while (to > 0 && (sMm[to - 1] as number) >= high) to--;
  return { fromMm: sMm[from] as number, toMm: sMm[to] as number };
}
