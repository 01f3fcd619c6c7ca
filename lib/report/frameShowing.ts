/** Which frame shows where a finding lies. */
import type { FrameResult } from "../model/frame.ts";
import type { Finding } from "../model/result.ts";

/** Index in `frames` (in order of time) of the one that the finding names, or of the newest used one that shows its place and does not hide it; null: none. `at`: its station, for a body the nearest. */
export function frameShowing(frames: readonly FrameResult[], finding: Finding, at: { readonly layer: number; readonly strand: number; readonly sMm: number }): number | null {
  const named = "file" in finding ? frames.findIndex(({ file }) => file === finding.file) : -1;
  const found = named >= 0 ? named : frames.findLastIndex((frame) => frame.used && frame.stretches.some((stretch) =>
    stretch.state !== "hidden" && stretch.layer === at.layer && stretch.strand === at.strand && stretch.fromMm <= at.sMm + 1e-6 && stretch.toMm >= at.sMm - 1e-6));
  return found < 0 ? null : found;
}

/** The layer that was being laid when a frame was taken: the highest that its own stretches name, else those of the nearest frame that has some; 1 where none has. */
export function layerOfFrame(frames: readonly FrameResult[], index: number): number {
  const of = (i: number): number => (frames[i]?.stretches ?? []).reduce((most, { layer }) => Math.max(most, layer), 0);
  for (let away = 0; away < frames.length; away++) {
    const layer = Math.max(of(index - away), of(index + away));
    if (layer > 0) return layer;
  }
  return 1;
}
