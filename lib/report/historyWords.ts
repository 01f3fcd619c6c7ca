/** The readings of a station that were kept, in words. */
import { VERDICT_MARKS } from "../model/marks.ts";
import type { HistoryReading, StationHistory } from "../model/history.ts";
import type { AttemptWords, ReadingWords } from "../model/stationDetail.ts";
import { withU } from "./valueWords.ts";
import { counted } from "./words.ts";

function stateOf(reading: HistoryReading, stands: boolean): string {
  return stands ? "stands" : reading.stood ? "stood until the next" : reading.good ? "good, never stood" : "not good";
}

function readWords({ device, ageS, tS }: HistoryReading): string {
  return `${ageS === null ? `at ${tS.toFixed(1)} s` : `${ageS.toFixed(1)} s after laying`}, ${device}`;
}

function readingWords(reading: HistoryReading, stands: boolean): ReadingWords {
  const uRatio = reading.areaMm2 === 0 ? null : Math.abs(reading.uAreaMm2 / reading.areaMm2 * reading.areaRatio);
  return {
    ordinal: reading.ordinal, state: stateOf(reading, stands), read: readWords(reading), width: withU(reading.widthMm, reading.uWidthMm), height: withU(reading.heightMm, reading.uHeightMm),
    area: withU(reading.areaMm2, reading.uAreaMm2), offset: withU(reading.offsetMm, reading.uOffsetMm), ratio: withU(reading.areaRatio, uRatio),
    verdict: `${VERDICT_MARKS[reading.verdict].label.toLowerCase()}${reading.proven ? ", proven" : ""}`,
  };
}

function countWords({ count, readings }: StationHistory): string {
  const words = counted(count, "reading");
  const dropped = count - readings.length;
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}${dropped > 0 ? `; ${counted(dropped, "older one")} ${dropped === 1 ? "is" : "are"} not kept one by one` : ""}.`;
}

/** One attempt: the last reading that stood is the one that stands. */
export function attemptWords(attempt: number, history: StationHistory): AttemptWords {
  const last = history.readings.findLast((reading) => reading.stood);
  return { attempt, words: countWords(history), readings: history.readings.map((reading) => readingWords(reading, reading === last)) };
}
