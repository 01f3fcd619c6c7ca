/** A run measured again under other bands: what changes, what does not, what is refused, and that its record covers it. */
import { cpSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { InspectResult, StationResult, StretchFinding } from "../../lib/model/result.ts";
import { inspectRun } from "../../lib/run/inspectRun.ts";
import { disposeFinding, dispositionsOf } from "../../lib/server/dispositions.ts";
import { recordEntry, recordOf } from "../../lib/server/record.ts";
import { recomputeRun, type Recomputing } from "../../lib/server/recompute/recomputeRun.ts";
import { readResultLines } from "../../lib/server/recompute/results.ts";
import { closeSharedStore, newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { readKept, readSheet } from "../../lib/server/pages.ts";
import { reportOf } from "../../lib/server/report.ts";
import { bodyOfKept } from "../../lib/server/reportBody.ts";
import { readEntries } from "../../lib/store/logTable.ts";
import { readRun, type WholeRun } from "../../lib/store/readRuns.ts";
import { readReportBody } from "../../lib/store/reportBodies.ts";
import { readStrandMeans } from "../../lib/store/strandMeans.ts";
import { rawNames } from "../support/rawFolder.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), folder = join(data.place, "run"), dataFolder = join(data.place, "data");
let runId = "";
beforeAll(async () => {
  await command("rehearse", "--out", folder, "--seed", "23", "--strands", "2", "--length", "12", "--points", "210", "--dx", "0.04", "--fault", "under@1/2/3-10=0.86");
  runId = (await command("import", folder)).out.trim();
});
afterAll(() => data.restore());

const again = (bands: unknown, more: Partial<Recomputing> = {}): Promise<string> =>
  recomputeRun(sharedStore(), { runId, bands, bandsFile: "bands.json", reason: "another look", actor: "Zoë Öz", newId, nowIso, inspect: (opened) => inspectRun(opened), ...more });
const codeOf = async (work: () => Promise<unknown>): Promise<string> => {
  try {
    await work();
  } catch (error) {
    return error instanceof InputError ? `${error.code} ${error.place.key ?? ""}`.trim() : String(error);
  }
  return "no error";
};
const stationsOf = async (resultId: string | null): Promise<readonly StationResult[]> => (await readRun(sharedStore(), runId, resultId))?.stations ?? [];
const findingsOf = async (resultId: string | null): Promise<readonly StretchFinding[]> => ((await readRun(sharedStore(), runId, resultId))?.result.findings ?? []) as StretchFinding[];

/** Where a metric along a strand crosses a limit, linear between stations. */
function crossings(stations: readonly StationResult[], limit: number): number[] {
  return stations.slice(1).flatMap((at, i) => {
    const before = stations[i]!, [low, high] = [before.areaRatio as number, at.areaRatio as number];
    return (low < limit) === (high < limit) ? [] : [before.sMm + (limit - low) / (high - low) * (at.sMm - before.sMm)];
  });
}

describe("the same data under other bands", () => {
  const narrow = { tolerance: { areaRatio: { watch: [0.95, 1.05], act: [0.93, 1.08] } } }, wide = { tolerance: { areaRatio: { watch: [0.75, 1.25], act: [0.6, 1.4] } } };
  let narrowId = "", wideId = "";
  beforeAll(async () => {
    narrowId = await again(narrow);
    wideId = await again(wide, { reason: "wider, for the trial" });
  });

  it("a stretch of 0.86 of its area is watch at 0.9, act at 0.93 and nothing at 0.75, and ends where its ratio crosses the limit", async () => {
    const [own, narrower, wider] = [await findingsOf(null), await findingsOf(narrowId), await findingsOf(wideId)];
    expect(own.map(({ kind, severity }) => [kind, severity])).toEqual([["underExtrusion", "watch"]]);
    expect(wider).toEqual([]);
    expect(narrower.map(({ kind, severity, strand, worst }) => [kind, severity, strand, worst.limit])).toEqual([["underExtrusion", "act", 2, 0.93]]);
    const [from, to] = crossings((await stationsOf(narrowId)).filter(({ strand }) => strand === 2), 0.93);
    expect([narrower[0]!.fromMm, narrower[0]!.toMm]).toEqual([expect.closeTo(from as number, 6), expect.closeTo(to as number, 6)]);
  });

  it("each verdict by area alone is what its value, its u and the limits say by hand, under 1.645 u", async () => {
    const g = (at: StationResult): number => 1.645 * (at.u!.areaMm2 / at.planned.areaMm2);
    for (const [resultId, low, watchLow, watchHigh] of [[narrowId, 0.93, 0.95, 1.05], [wideId, 0.6, 0.75, 1.25]] as const) {
      const byArea = (await stationsOf(resultId)).filter((at) => at.verdict !== "watch" || at.areaRatio! < watchLow || at.areaRatio! > watchHigh);
      expect(byArea.length).toBeGreaterThan(40);
      for (const at of byArea) {
        const isUnder = at.areaRatio! < low, isInside = at.areaRatio! - g(at) >= watchLow && at.areaRatio! + g(at) <= watchHigh;
        expect([at.sMm, at.verdict === "under"]).toEqual([at.sMm, isUnder]);
        if (isUnder) expect(at.proven).toBe(at.areaRatio! + g(at) < low);
        if (at.verdict === "inBand") expect(isInside).toBe(true);
      }
    }
  });

  it("what was measured and how sure it is are the same bit for bit; the limits are others, and every one of a band is said", async () => {
    const bare = (stations: readonly StationResult[]) => stations.map((at) => ({ ...at, verdict: null, proven: null, limits: null }));
    expect(bare(await stationsOf(narrowId))).toEqual(bare(await stationsOf(null)));
    expect(new Set((await stationsOf(narrowId)).map(({ limits }) => JSON.stringify(limits.areaRatio)))).toEqual(new Set([JSON.stringify(narrow.tolerance.areaRatio)]));
    expect((await readSheet(runId, narrowId))?.bands[0]?.rows[0]).toEqual({ name: "area ratio", watch: "0.95 to 1.05", act: "0.93 to 1.08" });
  });

  it("the run’s own result stays the one that pages and lists show, whatever the clock said", async () => {
    expect((await readSheet(runId))?.resultId).not.toBe(narrowId);
    const early = await again(narrow, { nowIso: () => "2001-01-01T00:00:00.000Z" });
    expect([narrowId, wideId, early]).not.toContain((await readSheet(runId))?.resultId);
    const lines = await readResultLines(runId);
    expect(lines.map(({ recompute }) => recompute?.reason ?? null)).toEqual([null, "another look", "another look", "wider, for the trial"]);
    expect(await readSheet(runId, "none")).toBeNull();
  });

  it("a decision about a finding belongs to one result: finding 0 of the recompute decided leaves the run’s own open", async () => {
    disposeFinding(runId, { resultId: narrowId, findingIndex: 0, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "" }, "M. Ort");
    expect(dispositionsOf(runId).map(({ resultId, findingIndex }) => [resultId, findingIndex])).toEqual([[narrowId, 0]]);
    await expect(codeOf(async () => disposeFinding(runId, { resultId: wideId, findingIndex: 0, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "" }, "M. Ort"))).resolves.toBe("store.noFinding");
  });

  it("the measuring side of its report is kept with it, and its kept rows under its own job give the same, byte for byte; the run’s report stays the run’s", async () => {
    const store = sharedStore(), whole = await readRun(store, runId, narrowId) as WholeRun;
    expect(JSON.stringify(await bodyOfKept(store, whole, await readKept(runId, whole.result)))).toBe(JSON.stringify(readReportBody(store.db, narrowId)));
    const reportFor = (resultId: string | null) => reportOf(store, runId, resultId);
    expect([(await reportFor(narrowId))?.head.recomputed, (await reportFor(null))?.head.recomputed]).toEqual([expect.stringMatching(/^a recompute under other bands by Zoë Öz, .*: another look$/), null]);
  });

  it("strand means and acceptance are kept beside it: 0.5 in place of 0.9 in band", async () => {
    const id = await again({ acceptance: { minInBandFraction: 0.5 } });
    expect((await readRun(sharedStore(), runId, id))?.result.acceptance).toEqual({ minMeasuredFraction: 0.95, minInBandFraction: 0.5, maxActFindings: 0 });
    expect(readStrandMeans(sharedStore().db, id).map(({ layer, strand, laidCount }) => [layer, strand, laidCount])).toEqual([[1, 1, 25], [1, 2, 25]]);
  });
});

describe("its record", () => {
  it("is two entries by who asked, sealed, with the reason; it stays whole", async () => {
    const before = recordOf(runId);
    const id = await again({ tolerance: { gapRatio: 0.3 } }, { reason: "  gaps\r\nof 0.3  " });
    const entries = [...readEntries(sharedStore().db, runId)].slice(before.count + 1); // the seal before is named first
    expect(entries.map(({ kind, actor }) => [kind, actor])).toEqual([["raw.kept", "Zoë Öz"], ["result.recomputed", "Zoë Öz"]]);
    expect(entries[0]!.payload).toMatchObject({ name: `results/${id}/job.json` });
    expect(entries[1]!.payload).toMatchObject({ name: `results/${id}/result.json`, resultId: id, reason: "gaps\nof 0.3" });
    expect(recordOf(runId)).toMatchObject({ whole: true, problem: null, count: before.count + 3 });
  });

  it.each([
    ["a reading of a recompute", `UPDATE "Reading" SET areaMm2 = areaMm2 * 1.0000001 WHERE stationIndex = 1 AND resultId IN (SELECT id FROM "Result" WHERE computedBy IS NOT NULL)`],
    ["who asked for it", `UPDATE "Result" SET computedBy = 'nobody' WHERE computedBy IS NOT NULL`],
    ["its reason", `UPDATE "Result" SET reason = 'none' WHERE computedBy IS NOT NULL`],
    ["its job", `UPDATE "Result" SET jobText = replace(jobText, '0.3', '0.4') WHERE computedBy IS NOT NULL`],
    ["a recompute made the run’s own", `UPDATE "Result" SET computedBy = NULL WHERE reason = 'wider, for the trial'`],
  ])("%s changed in the database is found", (_, sql) => {
    const { db } = sharedStore();
    db.exec("SAVEPOINT changed");
    try {
      expect(db.prepare(sql).run().changes).toBeGreaterThan(0);
      expect(recordOf(runId)).toMatchObject({ whole: false, problem: "what the database holds of the run and its readings is not what was written into it" });
    } finally {
      db.exec("ROLLBACK TO changed; RELEASE changed");
    }
    expect(recordOf(runId).whole).toBe(true);
  });

  it("a result that was put in without an entry is found", () => {
    const { db } = sharedStore();
    db.exec("SAVEPOINT added");
    try {
      db.prepare(`INSERT INTO "Result" SELECT 'forged', runId, computedAt, toleranceJson, warningsJson, stationCount, laidCount, measuredCount, inBandLengthFraction, plannedVolumeMm3, measuredVolumeMm3, minMeasuredFraction, minInBandFraction, maxActFindings, actFindingCount, watchFindingCount, 'me', 'mine', '{}', NULL, NULL FROM "Result" WHERE runId = ? LIMIT 1`).run(runId);
      expect(recordOf(runId)).toMatchObject({ whole: false, problem: "the database holds a result of this run that no entry of its log names" });
    } finally {
      db.exec("ROLLBACK TO added; RELEASE added");
    }
  });

  it("goes with the export: verify says whole, inspect gives the run’s own result again bit for bit, and under a recompute’s job that one", { timeout: 180_000 }, async () => {
    const out = join(data.place, "export"), id = (await readResultLines(runId)).at(-1)!.resultId, inspected = join(data.place, "inspected.json");
    expect((await command("export", runId, "--out", out)).code).toBe(0);
    expect(await command("verify", out)).toMatchObject({ code: 0, out: expect.stringMatching(/^whole: /) });
    expect((await command("inspect", out, "--out", inspected)).code).toBe(0);
    expect(readFileSync(inspected)).toEqual(readFileSync(join(out, "result.json")));
    for (const name of ["job.json", "plan.csv", "profiles.arrow", "progress.csv"]) expect(readFileSync(join(out, name))).toEqual(readFileSync(join(folder, name)));
    const under = join(data.place, "under");
    cpSync(out, under, { recursive: true });
    cpSync(join(out, "results", id, "job.json"), join(under, "job.json"));
    expect((await command("inspect", under, "--out", inspected)).code).toBe(0);
    expect(readFileSync(inspected)).toEqual(readFileSync(join(out, "results", id, "result.json")));
    const result = JSON.parse(readFileSync(inspected, "utf8")) as InspectResult;
    expect(result.stations).toEqual(await stationsOf(id));
    writeFileSync(join(out, "results", id, "result.json"), "{}");
    expect((await command("verify", out)).out).toContain(`not whole: the file results/${id}/result.json was changed`);
  });

  it("an export brought in is the run that it was; elsewhere it is a run with its own result alone, and nothing of the record’s folders", async () => {
    const out = join(data.place, "export-2");
    await command("export", runId, "--out", out);
    expect((await command("import", out)).out.trim()).toBe(runId);
    await closeSharedStore();
    process.env["ASLAID_DATA"] = join(data.place, "elsewhere");
    try {
      const there = (await command("import", out)).out.trim();
      expect(there).not.toBe(runId);
      expect((await readResultLines(there)).map(({ recompute }) => recompute)).toEqual([null]);
      expect(sharedStore().db.prepare(`SELECT name FROM "RawFile" WHERE runId = ? ORDER BY name`).pluck().all(there)).toEqual(["job.json", "plan.csv", "profiles.arrow", "progress.csv", "result.json", "truth.json"]);
      expect(recordOf(there).whole).toBe(true);
    } finally {
      await closeSharedStore();
      process.env["ASLAID_DATA"] = dataFolder;
    }
  });
});

describe("refused, and nothing is kept", () => {
  it.each<[string, unknown, string]>([
    ["bands that are none", [1], "job.badValue"],
    ["another block", { nozzle: { innerDiameterMm: 1 } }, "job.badValue nozzle"],
    ["a key that no job knows", { tolerance: { areaRation: 1 } }, "job.badValue tolerance.areaRation"],
    ["an inner key that no job knows", { tolerance: { areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.2], wach: [0.9, 1.1] } } }, "job.badValue tolerance.areaRatio.wach"],
    ["a band without its other half", { tolerance: { widthMm: { watch: [-0.1, 0.1] } } }, "job.missing tolerance.widthMm.act"],
    ["a watch band outside act", { tolerance: { areaRatio: { watch: [0.7, 1.1], act: [0.8, 1.2] } } }, "job.badValue tolerance.areaRatio.act"],
    ["a rule of no form", { tolerance: { decisionRule: "guarded-two" } }, "job.badValue tolerance.decisionRule"],
    ["a fraction above 1", { acceptance: { minInBandFraction: 1.01 } }, "job.badValue acceptance.minInBandFraction"],
    ["what the job has already", { tolerance: { gapRatio: 0.25 } }, "job.badValue"],
  ])("%s", async (_, bands, code) => {
    const before = rawNames(dataFolder), { count } = recordOf(runId);
    expect(await codeOf(() => again(bands))).toBe(code);
    expect([rawNames(dataFolder), recordOf(runId).count]).toEqual([before, count]);
  });

  it("no reason, one of 2001 characters, and a run that is not here", async () => {
    const bands = { tolerance: { gapRatio: 0.2 } };
    expect(await codeOf(() => again(bands, { reason: " \n" }))).toBe("log.badValue reason");
    expect(await codeOf(() => again(bands, { reason: "x".repeat(2001) }))).toBe("log.badValue reason");
    expect(await codeOf(() => again(bands, { runId: "none" }))).toBe("store.noRun");
  });

  it("a run that is open, or whose raw data were dropped, in one sentence", async () => {
    const { db } = sharedStore(), bands = { tolerance: { gapRatio: 0.2 } };
    db.exec("SAVEPOINT open");
    db.prepare(`UPDATE "Run" SET state = 'paused' WHERE id = ?`).run(runId);
    expect(await codeOf(() => again(bands))).toBe("wire.state");
    db.exec("ROLLBACK TO open; RELEASE open");
    const other = join(data.place, "dropped");
    await command("rehearse", "--out", other, "--seed", "24", "--strands", "1", "--length", "4", "--points", "100", "--dx", "0.06");
    const droppedId = (await command("import", other)).out.trim();
    const sha256 = String(db.prepare(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name = 'profiles.arrow'`).pluck().get(droppedId));
    recordEntry(sharedStore(), droppedId, { actor: "Dana Reyes", at: nowIso(), kind: "raw.dropped", payload: { sha256: [sha256], reason: "room", exportHead: "0".repeat(64) } });
    await expect(again(bands, { runId: droppedId })).rejects.toThrow("expected a run whose raw data are kept, got one whose raw data were dropped, so that nothing can be measured again");
  });

  it("a plan that lies in a folder of the record is none of a run: source.reserved for results/, scans/ and reports/", async () => {
    for (const name of ["results", "scans", "reports"]) {
      const odd = join(data.place, `odd-${name}`);
      cpSync(folder, odd, { recursive: true });
      cpSync(join(odd, "plan.csv"), join(odd, name, "plan.csv"), { recursive: true });
      writeFileSync(join(odd, "job.json"), readFileSync(join(odd, "job.json"), "utf8").replace('"plan.csv"', `"${name}/plan.csv"`));
      expect((await command("import", odd)).err[0]).toMatch(/^source\.reserved: /);
    }
  });
});

describe("cut off", () => {
  const bands = { tolerance: { gapRatio: 0.21 } };

  it("half-way, or by an error while it is written, it leaves no row, no file and no staging folder", async () => {
    const { db } = sharedStore(), before = rawNames(dataFolder), { count } = recordOf(runId), stop = new AbortController();
    await expect(again(bands, { signal: stop.signal, inspect: (opened) => { stop.abort(new InputError("source.stopped", "a", "b", {})); return inspectRun(opened); } })).rejects.toThrow("expected a, got b");
    db.exec(`CREATE TEMP TRIGGER refuses BEFORE INSERT ON main."LogEntry" WHEN NEW.kind = 'result.recomputed' BEGIN SELECT RAISE(ABORT, 'torn'); END`);
    await expect(again(bands)).rejects.toThrow("torn");
    db.exec("DROP TRIGGER refuses");
    expect([rawNames(dataFolder), recordOf(runId).count, recordOf(runId).whole]).toEqual([before, count, true]);
  });

  it("a second one of the same run is refused while the first goes on, and the first is kept", async () => {
    let second: Promise<string> | null = null;
    const id = await again(bands, { inspect: (opened) => { second = codeOf(() => again(bands)); return inspectRun(opened); } });
    expect(await (second as Promise<string> | null)).toBe("upload.busy");
    expect((await readRun(sharedStore(), runId, id))?.result.recompute?.reason).toBe("another look");
  });

  it("a kept file that is no longer what came in is not measured: store.damaged", async () => {
    const { db } = sharedStore(), sha256 = String(db.prepare(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name = 'progress.csv'`).pluck().get(runId)), path = join(dataFolder, "raw", sha256.slice(0, 2), sha256);
    const kept = readFileSync(path);
    rmSync(path);
    writeFileSync(path, Buffer.from(kept.toString("utf8").replace("start", "START")));
    expect(await codeOf(() => again({ tolerance: { gapRatio: 0.22 } }))).toBe("store.damaged");
    writeFileSync(path, kept);
  });
});

describe("the command", () => {
  it("prints the new result’s id alone, and says what is wrong in one line", async () => {
    const file = join(data.place, "bands.json");
    writeFileSync(file, JSON.stringify({ tolerance: { gapRatio: 0.33 } }));
    const { code, out, err } = await command("recompute", runId, "--bands", file, "--reason", "by command");
    expect([code, err, (await readResultLines(runId)).find(({ recompute }) => recompute?.computedBy === "command line")?.resultId]).toEqual([0, [], out.trim()]);
    writeFileSync(file, JSON.stringify({ tolerance: { gapRatio: 1.5 } }));
    const cases: readonly [string[], RegExp][] = [
      [[runId, "--bands", file, "--reason", "r"], /^job\.badValue: expected a ratio above 0 and below 1, got 1\.5 \(at .*bands\.json, key tolerance\.gapRatio\)$/],
      [[runId, "--bands", join(data.place, "none.json"), "--reason", "r"], /^source\.noFile: /], [[runId, "--reason", "r"], /^command\.usage: .*--bands/], [[runId, "--bands", file], /^command\.usage: .*--reason/], [[], /^command\.usage: /],
    ];
    for (const [argv, expected] of cases) {
      const said = await command("recompute", ...argv);
      expect([said.code, said.out, said.err.length]).toEqual([2, "", 1]);
      expect(said.err[0]).toMatch(expected);
    }
    expect((await command("recompute", "--help")).out).toContain("npm run --silent recompute -- RUN_ID --bands FILE.json --reason TEXT");
  });
});
