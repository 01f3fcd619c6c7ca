/** What can be taken away of a result: stations as CSV or Arrow, findings as CSV. Made while it is sent: a long result is never in memory as a whole. */
import { InputError } from "../base/errors.ts";
import type { StationResult } from "../model/result.ts";
import { findingsCsv } from "../report/findingsCsv.ts";
import { stationsArrow } from "../report/stationsArrow.ts";
import { stationLines, STATIONS_HEADING } from "../report/stationsCsv.ts";
import { listResults, type ResultHead } from "../store/readRuns.ts";
import { readStrands } from "../store/readStations.ts";
import { dispositionsOf } from "./dispositions.ts";
import { sharedStore } from "./settings.ts";

const CONTRACT = "aslaid/1";
export const STATION_FORMATS = ["csv", "arrow"] as const;

/** The result that `?result=` names, else the run's own. InputError store.noRun. */
async function resultOf(runId: string, query: URLSearchParams): Promise<ResultHead> {
  const asked = query.get("result"), found = (await listResults(sharedStore().prisma, runId)).find(({ id, recompute }) => (asked === null ? recompute === null : id === asked));
  if (found === undefined) throw new InputError("store.noRun", "a run that is kept and a result of it", JSON.stringify((asked ?? runId).slice(0, 60)), {});
  return found;
}

/** A file to keep, sent as it is made: the next piece once the one before is taken. */
function fileResponse(pieces: Iterator<string | Uint8Array>, type: string, name: string): Response {
  const encoder = new TextEncoder();
  const body = new ReadableStream<Uint8Array>({
    pull: (controller) => {
      const { done, value } = pieces.next();
      if (done === true) controller.close();
      else controller.enqueue(typeof value === "string" ? encoder.encode(value) : value);
    },
    cancel: () => { pieces.return?.(); },
  }, { highWaterMark: 1 });
  return new Response(body, { headers: { "Content-Type": type, "Content-Disposition": `attachment; filename="${name}"`, "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store" } });
}

function* csvPieces(strands: Iterable<readonly StationResult[]>): Generator<string> {
  yield STATIONS_HEADING;
  for (const stations of strands) yield stationLines(stations);
}

/** `?format=csv` (what `inspect --csv` writes) or `arrow`. InputError upload.badRequest, store.noRun. */
export async function stationsFile(runId: string, query: URLSearchParams): Promise<Response> {
  const format = STATION_FORMATS.find((each) => each === (query.get("format") ?? "csv"));
  if (format === undefined) throw new InputError("upload.badRequest", `one of ${STATION_FORMATS.join(", ")}`, JSON.stringify(query.get("format")?.slice(0, 40)), { key: "format" });
  const { id } = await resultOf(runId, query), strands = readStrands(sharedStore().db, id);
  return format === "csv"
    ? fileResponse(csvPieces(strands), "text/csv; charset=utf-8", `stations-${id}.csv`)
    : fileResponse(stationsArrow(strands, { runId, resultId: id, contract: CONTRACT }), "application/vnd.apache.arrow.stream", `stations-${id}.arrow`);
}

/** InputError store.noRun. */
export async function findingsFile(runId: string, query: URLSearchParams): Promise<Response> {
  const { id, findings } = await resultOf(runId, query);
  return fileResponse([findingsCsv(id, findings, dispositionsOf(runId))][Symbol.iterator](), "text/csv; charset=utf-8", `findings-${id}.csv`);
}
