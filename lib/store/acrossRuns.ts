/** What charts across runs are made of: of each run its own result, as it was made. */
import type { FindingKind } from "../model/result.ts";
import type { Sqlite } from "./connection.ts";
import { DEVICES_SQL, OWN_RESULT_SQL } from "./findRuns.ts";

/** By what runs are told apart. */
export interface RunGroup {
  readonly runId: string;
  readonly lot: string | null;
  /** Inner diameter; null: the job says none. */
  readonly nozzleMm: number | null;
  /** Ids of profilers and arms in order, joined by " + "; null: none. */
  readonly cell: string | null;
  /** 1: a rehearsal or a demonstration; 0: a print of a real cell. */
  readonly isRehearsal: number;
}

/** Every run that has a result, newest first. */
export function runGroups(db: Sqlite): RunGroup[] {
  return db.prepare<[], RunGroup>(`
    SELECT "id" runId, "lot" lot, json_extract(CASE WHEN json_valid("jobText") THEN "jobText" ELSE '{}' END, '$.nozzle.innerDiameterMm') nozzleMm,
      (SELECT group_concat(id, ' + ') FROM (SELECT json_extract(device."value", '$.id') id FROM ${DEVICES_SQL} device WHERE json_extract(device."value", '$.kind') IN ('profiler', 'arm') ORDER BY id)) cell,
      "rehearsal" OR "demo" isRehearsal
    FROM "Run" WHERE EXISTS (SELECT 1 FROM "Result" WHERE "runId" = "Run"."id") ORDER BY "createdAt" DESC, "id" DESC`).all();
}

export interface RunValues {
  readonly runId: string;
  readonly name: string;
  /** ISO 8601, UTC. */
  readonly runAt: string;
  /** 0..1; null: nothing was laid. */
  readonly inBandFraction: number | null;
  /** Mean of strand means; null: no strand was measured, or no means were kept. */
  readonly areaRatio: number | null;
  /** Strand means that were kept with the result; 0: it is from before they were. */
  readonly meanCount: number;
  /** 1: a rehearsal or a demonstration. */
  readonly isRehearsal: number;
}

/** Of the runs named, oldest first. */
export function runValues(db: Sqlite, runIds: readonly string[]): RunValues[] {
  return db.prepare<[string], RunValues>(`
    SELECT "Run"."id" runId, "Run"."name" name, "Run"."createdAt" runAt, r."inBandLengthFraction" inBandFraction, avg(m."areaRatio") areaRatio, count(m."strand") meanCount, "Run"."rehearsal" OR "Run"."demo" isRehearsal
    FROM "Run" JOIN "Result" r ON r."id" = ${OWN_RESULT_SQL} LEFT JOIN "StrandMean" m ON m."resultId" = r."id"
    WHERE "Run"."id" IN (SELECT "value" FROM json_each(?)) GROUP BY "Run"."id" ORDER BY "Run"."createdAt", "Run"."id"`).all(JSON.stringify(runIds));
}

export interface FindingPlace {
  readonly kind: FindingKind;
  readonly layer: number;
  /** Tenth of its strand's length in which its middle lies, 0..9; null: off the path, or without a place along it. */
  readonly tenth: number | null;
  readonly runId: string;
}

/** Where findings of the runs' own results lie. */
export function findingPlaces(db: Sqlite, runIds: readonly string[]): FindingPlace[] {
  return db.prepare<[string], FindingPlace>(`
    SELECT f."kind" kind, f."layer" layer, "Run"."id" runId, max(0, min(9, CAST(10 * (f."fromMm" + f."toMm") / 2 / nullif(s."lengthMm", 0) AS INTEGER))) tenth
    FROM "Run" JOIN "Finding" f ON f."resultId" = ${OWN_RESULT_SQL} LEFT JOIN "Strand" s ON s."runId" = "Run"."id" AND s."layer" = f."layer" AND s."strand" = f."strand"
    WHERE "Run"."id" IN (SELECT "value" FROM json_each(?))`).all(JSON.stringify(runIds));
}
