/** The picture of a live run on the page: what the page came with, and what its events have changed since. */
import { withReadings } from "../../../../lib/model/liveColumns.ts";
import type { LiveReading } from "../../../../lib/model/liveEvent.ts";
import type { LiveSheet, LiveWords } from "../../../../lib/model/liveSheet.ts";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";

export interface LiveState {
  /** The sheet that this began with: another one begins anew. */
  readonly sheet: LiveSheet;
  readonly words: LiveWords;
  readonly layers: readonly SheetLayer[];
  /** Greatest stamp of a profile that completed a reading of the picture, s; null: none has come since the page was made. */
  readonly byS: number | null;
}

export function began(sheet: LiveSheet): LiveState {
  return { sheet, words: sheet.words, layers: sheet.layers, byS: null };
}

export function withNewReadings(state: LiveState, readings: readonly LiveReading[]): LiveState {
  const byS = readings.reduce((greatest, reading) => Math.max(greatest, reading.byS), state.byS ?? -Infinity);
  return { ...state, layers: withReadings(state.layers, readings), byS: byS === -Infinity ? null : byS };
}

interface EventNumber { readonly epoch: string; readonly n: number }

function numberOf(id: string): EventNumber | null {
  const match = /^([0-9a-z]+)-(\d+)$/.exec(id);
  return match === null ? null : { epoch: match[1] as string, n: Number(match[2]) };
}

/** Whether event `next` follows event `last` with none between them. */
export function follows(last: string, next: string): boolean {
  const a = numberOf(last), b = numberOf(next);
  return a !== null && b !== null && a.epoch === b.epoch && b.n === a.n + 1;
}
