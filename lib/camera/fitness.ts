/** Whether a frame is fit to be measured: light and sharpness. */
import { medianOf } from "../kernel/twoClasses.ts";
import { cellOf, type Labels } from "./labels.ts";
import type { LineReading } from "./line.ts";
import type { Picture } from "./picture.ts";
import type { View } from "./view.ts";

/** Codes from which a channel counts as clipped, and the most cells of either kind that may be. */
const CLIPPED = 252, MOST_CLIPPED = 0.45;
/** A median code below this tells more noise than colour. */
const DARK = 45;

/** false: too much of paste or target is clipped, or both are nearly black. */
export function judgeExposure({ peak }: Picture, view: View, labels: Labels): boolean {
  const paste = Float64Array.from(labels.pasteX, (x, k) => peak[cellOf(view, x, labels.pasteY[k] as number)] as number), target = Float64Array.from(labels.target, (at) => peak[at] as number);
  const clipped = (codes: Float64Array): number => codes.filter((code) => code >= CLIPPED).length / codes.length;
  if (clipped(target) > MOST_CLIPPED || clipped(paste) > 2 * MOST_CLIPPED) return false;
  return Math.max(medianOf(paste), medianOf(target)) >= DARK;
}

/** Median standard deviation of the blur at the beads' edges, mm; 0 where no edge is seen. */
export function softnessMm(lines: readonly LineReading[]): number {
  const soft = Float64Array.from(lines.map(({ softMm }) => softMm).filter((mm) => mm === mm));
  return soft.length < 8 ? 0 : medianOf(soft);
}
