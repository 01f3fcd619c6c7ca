/** Raw data given up: only after an export that is verified then, the entry before the bytes, and what another run is made of stays. */
import { chmodSync, cpSync, existsSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { recordWords } from "../../lib/report/recordWords.ts";
import { addNote } from "../../lib/server/dispositions.ts";
import { dropRaw, dropState } from "../../lib/server/dropRaw.ts";
import { recordOf } from "../../lib/server/record.ts";
import { noteReportOpened } from "../../lib/server/reportOpened.ts";
import { closeSharedStore, sharedStore } from "../../lib/server/settings.ts";
import { appendEntries, readEntriesOf, sealLog } from "../../lib/store/logTable.ts";
import { openStaging, rawPath } from "../../lib/store/rawFiles.ts";
import { command, EXAMPLE, ownData, recordedExample } from "../support/recorded.ts";

let data: ReturnType<typeof ownData>, runId = "", folder = "";
beforeEach(async () => {
  data = ownData();
  runId = await recordedExample();
  folder = join(data.place, "export");
  await command("export", runId, "--out", folder);
});
afterEach(() => data.restore());

const drop = (where = folder) => dropRaw(runId, { folder: where, reason: "room on the disk", actor: "Ad Min" });
const refusal = async (work: () => Promise<unknown>): Promise<string> => {
  const { head } = recordOf(runId), said = await work().then(() => "dropped", (error: unknown) => (error instanceof InputError ? `${error.code}: ${error.message}` : String(error)));
  return recordOf(runId).head === head ? said : `${said}, and something was written`;
};
const kept = (name: string): string => rawPath(sharedStore().raw, readEntriesOf(sharedStore().db, runId, "raw.kept").find(({ payload }) => payload.name === name)?.payload.sha256 ?? "");

describe("raw data of a run that was exported", () => {
  it("goes, and job, plan, progress, result and log stay; the record is whole and says so", async () => {
    const profiles = kept("profiles.ndjson");
    expect(dropState(runId)).toEqual({ fileCount: 1, bytes: 9123 });
    expect(await drop()).toEqual({ fileCount: 1, bytes: 9123 });
    expect([existsSync(profiles), existsSync(kept("job.json")), existsSync(kept("plan.csv")), existsSync(kept("progress.csv"))]).toEqual([false, true, true, true]);
    expect(dropState(runId)).toEqual({ fileCount: 0, bytes: 0 });
    const drops = readEntriesOf(sharedStore().db, runId, "raw.dropped"), record = recordOf(runId);
    expect(drops.map(({ actor, payload: { reason, sha256 } }) => [actor, reason, sha256.length])).toEqual([["Ad Min", "room on the disk", 1]]);
    expect(record.whole).toBe(true);
    const words = recordWords(record, "2026-02-03T09:12:00.000Z", null, drops);
    expect(words.sentence).toContain("is there, but for the raw data that was dropped.");
    expect(words.facts.at(-1)).toMatchObject({ name: "raw data dropped", value: expect.stringMatching(/^one file by Ad Min, 20\d\d-.* UTC: room on the disk$/) as string });
  });

  it("is not in a later export, which verify finds whole with exit 0, and names", async () => {
    await drop();
    const out = join(data.place, "after");
    expect((await command("export", runId, "--out", out)).code).toBe(0);
    expect(existsSync(join(out, "profiles.ndjson"))).toBe(false);
    const { code, out: said } = await command("verify", out);
    expect([code, /^dropped: profiles\.ndjson \(9\.12 kB, SHA-256 [0-9a-f]{64}\)$/m.test(said)]).toEqual([0, true]);
  });

  it("stays where another run is made of the same bytes, until that one gives them up too", async () => {
    const other = join(data.place, "other");
    cpSync(EXAMPLE, other, { recursive: true });
    writeFileSync(join(other, "job.json"), readFileSync(join(other, "job.json"), "utf8").replace('"name": "', '"name": "another '));
    const id = (await command("import", other)).out.trim(), profiles = kept("profiles.ndjson");
    await drop();
    expect([existsSync(profiles), recordOf(id).whole, recordOf(runId).whole]).toEqual([true, true, true]);
    const out = join(data.place, "export-2");
    await command("export", id, "--out", out);
    expect((await command("drop", id, "--export", out, "--reason", "archived")).out).toBe("dropped: 1 file, 9.12 kB\n");
    expect([existsSync(profiles), recordOf(id).whole]).toEqual([false, true]);
  });

  it("goes though somebody opened the report since: that is nothing new of the run", async () => {
    noteReportOpened({ name: "Kim Sand", roles: ["reviewer"] }, runId, "any");
    expect(await drop()).toMatchObject({ fileCount: 1 });
  });
});

describe("nothing is dropped, and nothing written,", () => {
  it("without an export there, with a folder that is none, by a path that is not whole, or with one inside the data folder", async () => {
    expect(await refusal(() => drop(join(data.place, "nowhere")))).toMatch(/^drop\.notExported: expected the whole path of a folder that export made/);
    expect(await refusal(() => drop(EXAMPLE))).toMatch(/^drop\.notExported: /);
    expect(await refusal(() => drop("export"))).toMatch(/^drop\.notExported: /);
    const inside = join(data.place, "data", "export");
    cpSync(folder, inside, { recursive: true });
    expect(await refusal(() => drop(inside))).toMatch(/^drop\.notExported: expected an export that lies outside the data folder/);
  });

  it("where a byte of the export was changed, or a file of it is missing", async () => {
    const path = join(folder, "profiles.ndjson"), bytes = readFileSync(path);
    writeFileSync(path, Buffer.concat([bytes.subarray(0, -1), Buffer.from("?")]));
    expect(await refusal(drop)).toMatch(/^drop\.notExported: expected an export that is whole, got one that is not: the file profiles\.ndjson was changed/);
    rmSync(path);
    expect(await refusal(drop)).toMatch(/the file profiles\.ndjson is missing/);
  });

  it("where a note came after the export", async () => {
    addNote(runId, { layer: 1, strand: 1, sMm: 1, text: "later" }, "Kim Sand");
    expect(await refusal(drop)).toMatch(/^drop\.notExported: expected an export since the last change of the run, got one from before 1 more entry/);
  });

  it("with the export of another run", async () => {
    const other = (await command("import", join(EXAMPLE, "..", "mandible-angle"))).out.trim(), out = join(data.place, "mandible");
    await command("export", other, "--out", out);
    expect(await refusal(() => drop(out))).toMatch(/^drop\.notExported: expected an export of this run, got one of the run /);
  });

  it("of a run that is open, or a second time", async () => {
    const { db } = sharedStore();
    db.prepare(`UPDATE "Run" SET state = 'live' WHERE id = ?`).run(runId);
    expect(await refusal(drop)).toMatch(/^sign\.notOver: /);
    db.prepare(`UPDATE "Run" SET state = 'recorded' WHERE id = ?`).run(runId);
    await drop();
    const again = join(data.place, "again");
    await command("export", runId, "--out", again);
    expect(await refusal(() => drop(again))).toMatch(/^drop\.notExported: expected a run with raw data that is kept here, got one without/);
  });

  it("by the command without its options: exit 2 and one line", async () => {
    for (const argv of [[], [runId], [runId, "--export", folder], [runId, "--reason", "x"], ["a", "b", "--export", folder, "--reason", "x"], ["--colour"]]) {
      const { code, err } = await command("drop", ...argv);
      expect([code, err.length, err[0]?.startsWith("command.usage: ")]).toEqual([2, 1, true]);
    }
    expect((await command("drop", "--help")).out).toContain("npm run --silent drop -- RUN_ID --export FOLDER --reason TEXT");
  });
});

describe("a process that ends between the entry and the bytes", () => {
  it("leaves the bytes behind, the record whole, and the next start takes them up", async () => {
    const { db, raw, signingKey } = sharedStore(), profiles = kept("profiles.ndjson"), bytes = readFileSync(profiles), at = "2026-02-03T09:12:00.000Z";
    const sha256 = [readEntriesOf(db, runId, "raw.kept").find(({ payload }) => payload.name === "profiles.ndjson")?.payload.sha256 ?? ""];
    const staging = openStaging(raw, "cut-off"), [head] = [recordOf(runId).head];
    db.transaction(() => {
      appendEntries(db, runId, [{ actor: "Ad Min", at, kind: "raw.dropped", payload: { sha256, reason: "room", exportHead: head } }]);
      sealLog(db, runId, { key: signingKey, at });
      db.prepare(`DELETE FROM "RawFile" WHERE runId = ? AND sha256 = ?`).run(runId, sha256[0]);
    }).immediate();
    const abandoned = join(raw.folder, "staging", "999999999-cut-off"); // of a process that is not there any more
    rmSync(staging, { recursive: true });
    mkdirSync(abandoned, { recursive: true });
    chmodSync(abandoned, 0o755);
    expect([readFileSync(profiles).equals(bytes), recordOf(runId).whole]).toEqual([true, true]);
    await closeSharedStore();
    expect([existsSync(kept("profiles.ndjson")), recordOf(runId).whole, readdirSync(join(raw.folder, "staging"))]).toEqual([false, true, []]);
  });
});
