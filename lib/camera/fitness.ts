/** Whether a frame is fit to be measured: light and sharpness. */
import { median } from "../kernel/statistics.ts";
import { cellOf, thinned, type Labels } from "./labels.ts";
import type { LineReading } from "./line.ts";
import type { Picture } from "./picture.ts";
import { coarser, type View } from "./view.ts";

/** Codes from which a channel counts as clipped, and the most cells of either kind that may be. */
const CLIPPED = 252, MOST_CLIPPED = 0.45;
const MOST_TARGET = 4000;
/** A median code below this tells more noise than colour. */
const DARK = 45;

/** false: too much of paste or target is clipped, or both are nearly black. `picture` in cells twice as large as the labels'. */
export function judgeExposure({ peak }: Picture, fine: View, labels: Labels): boolean {
  const view = coarser(fine), codeAt = (x: number, y: number): number => peak[cellOf(view, (x - 0.5) / 2, (y - 0.5) / 2)] ?? 0;
  const paste = Float64Array.from(labels.pasteX, (x, k) => codeAt(x, labels.pasteY[k] as number)), target = Float64Array.from(thinned(labels.target, MOST_TARGET), (at) => codeAt(at % fine.width, Math.floor(at / fine.width)));
  const clipped = (codes: Float64Array): number => codes.filter((code) => code >= CLIPPED).length / codes.length;
  if (clipped(target) > MOST_CLIPPED || clipped(paste) > 2 * MOST_CLIPPED) return false;
  return Math.max(median(paste), median(target)) >= DARK;
}

/** Median standard deviation of the blur at the beads' edges, mm; 0 where no edge is seen. */
export function softnessMm(lines: readonly LineReading[]): number {
  const soft = Float64Array.from(lines.map(({ softMm }) => softMm).filter((mm) => mm === mm));
  return soft.length < 8 ? 0 : median(soft);
}
