/** Bringing a folder in keeps every station's readings and section beside the result, in the same transaction. */
import { rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";
import { inspectRun } from "../../lib/run/inspectRun.ts";
import { importRun } from "../../lib/server/importRun.ts";
import { readCut, readHistory } from "../../lib/store/history.ts";
import { readRun } from "../../lib/store/readRuns.ts";
import { tempFolder, tempStore, type TempStore } from "../support/tempStore.ts";

describe("a rehearsal of two strands of 6 mm, 2 to 4 mm of the second laid twice, seed 3, brought in as a folder", () => {
  let temp: TempStore, runId = "";
  const place = tempFolder();
  beforeAll(async () => {
    temp = tempStore();
    const folder = join(place, "run");
    writeRunFolder(simulate({ strands: 2, lengthMm: 6, points: 200, dxMm: 0.04, seed: 3, rework: [{ layer: 1, strand: 2, fromMm: 2, toMm: 4 }] }), folder, "arrow");
    ({ runId } = await importRun(temp.store, { folder, demo: false, actor: "M. Ort", newId: temp.newId, nowIso: () => "2026-02-03T09:12:00.000Z", inspect: (opened) => inspectRun(opened) }));
  });
  afterAll(async () => {
    await temp.remove();
    rmSync(place, { recursive: true, force: true });
  });

  it("every measured station of both attempts has a history whose standing reading is the result's, and a section of a crown as high", async () => {
    const whole = (await readRun(temp.store, runId))!;
    const both = [...whole.stations, ...whole.earlierAttempts].filter((s) => s.measured !== null);
    expect(both.filter((s) => s.strand === 2 && s.sMm >= 2 && s.sMm <= 4).map((s) => s.attempt).sort((a, b) => a - b)).toEqual([1, 1, 1, 1, 1, 2, 2, 2, 2, 2]);
    for (const s of both) {
      const at = [whole.result.id, s.layer, s.strand, s.attempt, Math.round(s.sMm / 0.5)] as const;
      const stands = readHistory(temp.store.db, ...at).readings.filter((r) => r.stood).at(-1)!;
      expect([stands.areaMm2, stands.verdict, stands.support]).toEqual([expect.closeTo(s.measured!.areaMm2, 5), s.verdict, s.measured!.support]);
      const cut = readCut(temp.store.db, ...at)!;
      expect(cut.device).toBe(stands.device);
      expect(cut.tS).toBeLessThanOrEqual(stands.tS);
      expect(cut.crownMm).toEqual(expect.closeTo(s.measured!.heightMm!, 3));
    }
  });

  it("readings are at most 25 a station and section blobs under 1000 bytes", () => {
    const { db } = temp.store;
    expect(db.prepare(`SELECT max(n) AS most FROM (SELECT count(*) AS n FROM "ReadingHistory" GROUP BY layer, strand, attempt, stationIndex)`).pluck().get()).toBeLessThanOrEqual(25);
    expect(db.prepare(`SELECT max(length(drawing)) FROM "StationCut"`).pluck().get()).toBeLessThan(1000);
  });
});
