"use client";
/** Which frame of a run is looked at. */
import { useState } from "react";
import { framePath, type SheetFrame } from "../../../../lib/model/frameView.ts";
import type { Sheet } from "../../../../lib/model/sheet.ts";
import type { StationPick } from "../picks.ts";
import type { Station } from "../stationAt.ts";

/** The used frame that was taken nearest to a time, by its place in the list; null: none was used. Of two as near the later one. */
export function nearestInTime(frames: readonly Pick<SheetFrame, "tS" | "used">[], tS: number): number | null {
  let best: number | null = null, leastS = Infinity;
  frames.forEach((frame, i) => {
    const awayS = Math.abs(frame.tS - tS);
    if (frame.used && awayS <= leastS) [best, leastS] = [i, awayS];
  });
  return best;
}

/** The address of a frame, null where there is none, and those of the ones beside it. */
export function askedFrames({ frames, head: { runId }, resultId }: Sheet, index: number): [string | null, string[]] {
  const path = (i: number): string[] => (frames[i] === undefined ? [] : [framePath(runId, resultId, frames[i].file)]);
  return [path(index)[0] ?? null, [...path(index + 1), ...path(index - 1)]];
}

interface Looked { readonly pick: StationPick; /** Of the finding that is chosen. */ readonly rank: number | null; readonly station: Pick<Station, "cameraFrame"> | null }

/** The frame that shows what was chosen last, a finding or a station; else the one that was looked at before. A person may leaf on from there. */
export function useFrameChoice({ frames, frameOfRank }: Sheet, { pick, rank, station }: Looked): readonly [number, (index: number) => void] {
  const of = rank === null ? station?.cameraFrame ?? -1 : frameOfRank[rank] ?? -1, key = `${rank}/${pick.layer}/${pick.strand}/${pick.station}`;
  const [shown, setShown] = useState(() => ({ key, index: of >= 0 ? of : Math.max(0, frames.findLastIndex(({ used }) => used)) }));
  if (shown.key !== key) setShown({ key, index: of >= 0 ? of : shown.index });
  return [shown.index, (index) => setShown({ key, index })];
}
