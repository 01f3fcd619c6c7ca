/** What is kept of one station beyond its standing reading: read when somebody looks there. */
import { InputError } from "../base/errors.ts";
import type { StationDetail } from "../model/stationDetail.ts";
import { attemptWords } from "../report/historyWords.ts";
import { readCut, readHistory } from "../store/history.ts";
import { sharedStore } from "./settings.ts";

const KEYS = ["layer", "strand", "attempt", "station"] as const;

/** `query`: resultId, and layer, strand, attempt (the newest), station as whole numbers. InputError `upload.badRequest`, `store.noRun`. */
export function readStationDetail(runId: string, query: URLSearchParams): StationDetail {
  const [layer, strand, attempt, station] = KEYS.map((key) => wholeNumberOf(query, key)) as [number, number, number, number];
  const resultId = query.get("resultId") ?? "";
  const { db } = sharedStore();
  if (db.prepare(`SELECT 1 FROM "Result" WHERE id = ? AND runId = ?`).get(resultId, runId) === undefined) {
    throw new InputError("store.noRun", "a run that is kept and a result of it", JSON.stringify(resultId.slice(0, 60)), {});
  }
  const attempts = Array.from({ length: attempt }, (_, i) => attemptWords(attempt - i, readHistory(db, resultId, layer, strand, attempt - i, station)));
  return { cut: readCut(db, resultId, layer, strand, attempt, station), attempts };
}

/** Laid again so often is not asked for: each attempt is a read of its own. */
const MOST = 1e6;
const MOST_ATTEMPTS = 1000;

/** InputError `upload.badRequest`. */
export function wholeNumberOf(query: URLSearchParams, key: (typeof KEYS)[number]): number {
  const value = Number(query.get(key) ?? Number.NaN);
  const most = key === "attempt" ? MOST_ATTEMPTS : MOST;
  if (!Number.isInteger(value) || value < 0 || value > most) throw new InputError("upload.badRequest", `a whole number from 0 to ${most}`, JSON.stringify(query.get(key)), { key });
  return value;
}
