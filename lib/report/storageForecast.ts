/** What the files of runs take, how fast that grows, and for how long there is room. */
import { sizeWords } from "../base/sizeWords.ts";
import type { StorageWords } from "../model/findRuns.ts";
import { counted, wholeNumber } from "./words.ts";

/** How far back growth is looked at. */
export const GROWTH_DAYS = 90;
const DAY_MS = 86_400_000;
/** Farther ahead than that no date is worth saying. */
const MOST_DAYS = 3650;

export interface StorageNeed {
  readonly runCount: number;
  readonly rawBytes: number;
  /** Of the last GROWTH_DAYS. */
  readonly addedBytes: number;
  readonly droppableBytes: number;
  /** ISO 8601, UTC; null: no run is kept. */
  readonly oldestAt: string | null;
  readonly freeBytes: number;
  readonly nowMs: number;
}

/** Days that the growth counts for: 90, or since the oldest run where that is less; at least one. */
function growthDays({ oldestAt, nowMs }: StorageNeed): number {
  return oldestAt === null ? GROWTH_DAYS : Math.min(GROWTH_DAYS, Math.max(1, (nowMs - Date.parse(oldestAt)) / DAY_MS));
}

/** Days until the disk is full at the rate of late; null: nothing was added. */
export function daysLeft(need: StorageNeed): number | null {
  return need.addedBytes > 0 ? need.freeBytes / (need.addedBytes / growthDays(need)) : null;
}

/** "The files of 12 runs take 3.8 GB; the last 90 days added 2.1 GB. At that rate the disk is full in 412 days, on 2027-03-22." */
export function storageWords(need: StorageNeed): StorageWords {
  const { runCount, rawBytes, addedBytes, droppableBytes, freeBytes, nowMs } = need, days = Math.floor(growthDays(need)), left = daysLeft(need);
  const since = days < GROWTH_DAYS ? `since the first run, ${counted(days, "day")} ago, ${sizeWords(addedBytes)} were added` : `the last ${GROWTH_DAYS} days added ${sizeWords(addedBytes)}`;
  const full = left === null ? "Nothing was added, so no day is forecast on which the disk is full."
    : left > MOST_DAYS ? "At that rate the disk is not full within ten years."
    : `At that rate the disk is full in ${left < 1 ? "less than a day" : counted(Math.floor(left), "day")}, on ${new Date(nowMs + left * DAY_MS).toISOString().slice(0, 10)}.`;
  const drop = droppableBytes > 0 ? ` To export the runs that are over and to drop their recorded streams would free ${sizeWords(droppableBytes)}.` : "";
  return {
    sentence: runCount === 0 ? `No run is kept; ${sizeWords(freeBytes)} are free on the disk.` : `The files of ${counted(runCount, "run")} take ${sizeWords(rawBytes)}; ${since}. ${full}${drop}`,
    facts: [
      { name: "files of runs", value: sizeWords(rawBytes) }, { name: days < GROWTH_DAYS ? "added since the first run" : `added in ${GROWTH_DAYS} days`, value: sizeWords(addedBytes) }, { name: "free on the disk", value: sizeWords(freeBytes) },
      { name: "full at that rate", value: left === null ? "–" : left > MOST_DAYS ? "not within ten years" : `in ${wholeNumber(Math.floor(left))} d` }, { name: "export and drop would free", value: sizeWords(droppableBytes) },
    ],
  };
}
