/** Looks for runs: one prepared statement over heads, own results and logs. */
import type { FindQuery } from "../model/findRuns.ts";
import { isSensorData } from "../model/log.ts";
import type { Sqlite } from "./connection.ts";

/** The run's own result, which no recompute replaces. */
export const OWN_RESULT_SQL = `(SELECT own."id" FROM "Result" own WHERE own."runId" = "Run"."id" AND own."computedBy" IS NULL ORDER BY own."computedAt", own."id" LIMIT 1)`;

/** 1, 0, or null where nothing can be said: the same as the sentence says (report/sentence.ts). */
const VERDICT_SQL = `CASE WHEN r."id" IS NULL OR r."laidCount" = 0 OR r."measuredCount" = 0 OR r."inBandLengthFraction" IS NULL THEN NULL
  ELSE r."actFindingCount" <= r."maxActFindings" AND CAST(r."measuredCount" AS REAL) / r."laidCount" >= r."minMeasuredFraction" AND r."inBandLengthFraction" >= r."minInBandFraction" END`;

/** What stands in a job of any shape; text that is no JSON holds no device. */
export const DEVICES_SQL = `json_each(CASE WHEN json_valid("Run"."jobText") THEN "Run"."jobText" ELSE '{}' END, '$.devices')`;

interface Condition { readonly sql: string; readonly values: readonly (string | number)[] }

/** The text anywhere inside, with its own % and _ meant as they stand. */
const holding = (text: string): string => `%${text.replace(/[\\%_]/g, "\\$&")}%`;
const like = (column: string): string => `${column} LIKE ? ESCAPE '\\'`;

function conditionsOf(query: FindQuery): Condition[] {
  const all: (Condition | null)[] = [
    query.text === null ? null : { sql: `(${like(`"Run"."name"`)} OR ${like(`"Run"."specimen"`)} OR ${like(`"Run"."id"`)})`, values: [holding(query.text), holding(query.text), holding(query.text)] },
    query.fromAt === null ? null : { sql: `"Run"."createdAt" >= ?`, values: [query.fromAt] },
    query.toAt === null ? null : { sql: `"Run"."createdAt" <= ?`, values: [query.toAt] },
    query.material === null ? null : { sql: like(`"Run"."materialName"`), values: [holding(query.material)] },
    query.lot === null ? null : { sql: like(`"Run"."lot"`), values: [holding(query.lot)] },
    query.device === null ? null : { sql: `EXISTS (SELECT 1 FROM ${DEVICES_SQL} device WHERE json_extract(device."value", '$.id') = ? COLLATE NOCASE)`, values: [query.device] },
    query.person === null ? null : { sql: `"Run"."id" IN (SELECT "runId" FROM "LogEntry" WHERE "actor" = ? COLLATE NOCASE)`, values: [query.person] },
    query.verdict === null ? null : { sql: `(${VERDICT_SQL}) IS ${query.verdict === "nothing" ? "NULL" : query.verdict === "acceptable" ? "1" : "0"}`, values: [] },
    query.isSigned === null ? null : { sql: `"Run"."id" ${query.isSigned ? "IN" : "NOT IN"} (SELECT "runId" FROM "LogEntry" WHERE "kind" = 'run.signed')`, values: [] },
  ];
  return all.filter((each) => each !== null);
}

export interface FoundRuns {
  /** Of the page, newest first. */
  readonly runIds: readonly string[];
  /** Of all pages. */
  readonly count: number;
  readonly hasMore: boolean;
}

/** `count` runs after the one with id `after` (null, or an id that is not here: from the newest). */
export function findRuns(db: Sqlite, query: FindQuery, { count, after }: { readonly count: number; readonly after: string | null }): FoundRuns {
  const conditions = conditionsOf(query), values = conditions.flatMap((each) => each.values);
  const from = `FROM "Run" LEFT JOIN "Result" r ON r."id" = ${OWN_RESULT_SQL}`, where = conditions.length === 0 ? "1" : conditions.map(({ sql }) => sql).join(" AND ");
  const all = db.prepare<(string | number)[], { n: number }>(`SELECT count(*) n ${from} WHERE ${where}`).get(...values)?.n ?? 0;
  const last = after === null ? undefined : db.prepare<[string], { createdAt: string; id: string }>(`SELECT "createdAt", "id" FROM "Run" WHERE "id" = ?`).get(after);
  const beyond = last === undefined ? "1" : `("Run"."createdAt", "Run"."id") < (?, ?)`;
  const found = db.prepare<(string | number)[], { id: string }>(`SELECT "Run"."id" id ${from} WHERE ${where} AND ${beyond} ORDER BY "Run"."createdAt" DESC, "Run"."id" DESC LIMIT ?`)
    .all(...values, ...(last === undefined ? [] : [last.createdAt, last.id]), count + 1);
  return { runIds: found.slice(0, count).map(({ id }) => id), count: all, hasMore: found.length > count };
}

export interface StorageFacts {
  readonly runCount: number;
  /** Files of runs that are kept, each content once, bytes. */
  readonly rawBytes: number;
  /** Of them what came with runs that were made or brought in at `since` or later. */
  readonly addedBytes: number;
  /** Of them the recorded streams of runs that are over: what they hold can be exported and dropped. */
  readonly droppableBytes: number;
  readonly oldestAt: string | null;
}

/** States of runs that are not over: their files are being written. */
const OPEN_STATES = `('prepared', 'live', 'paused', 'onHold', 'ending')`;

/** `since`: ISO 8601, UTC. What was dropped already is not counted. */
export function storageFacts(db: Sqlite, since: string): StorageFacts {
  db.function("isSensorData", { deterministic: true }, (name) => Number(isSensorData(String(name))));
  const dropped = `SELECT hash."value" FROM "LogEntry", json_each("LogEntry"."payloadJson", '$.sha256') hash WHERE "LogEntry"."kind" = 'raw.dropped'`;
  const row = db.prepare<[string], { rawBytes: number; addedBytes: number; droppableBytes: number }>(`
    WITH kept AS (
      SELECT f."sha256", max(f."size") size, min("Run"."createdAt") at,
        min("Run"."state" NOT IN ${OPEN_STATES} AND isSensorData(f."name")) isStream
      FROM "RawFile" f JOIN "Run" ON "Run"."id" = f."runId" WHERE f."sha256" NOT IN (${dropped}) GROUP BY f."sha256")
    SELECT coalesce(sum(size), 0) rawBytes, coalesce(sum(CASE WHEN at >= ? THEN size END), 0) addedBytes, coalesce(sum(CASE WHEN isStream THEN size END), 0) droppableBytes FROM kept`).get(since);
  const runs = db.prepare<[], { runCount: number; oldestAt: string | null }>(`SELECT count(*) runCount, min("createdAt") oldestAt FROM "Run"`).get();
  return { runCount: runs?.runCount ?? 0, oldestAt: runs?.oldestAt ?? null, rawBytes: row?.rawBytes ?? 0, addedBytes: row?.addedBytes ?? 0, droppableBytes: row?.droppableBytes ?? 0 };
}
