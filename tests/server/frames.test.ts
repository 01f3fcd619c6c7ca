/** Camera frames of a kept run, of a small rehearsal: what is kept beside the result, and what pages and paper are handed. */
import { createHash } from "node:crypto";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readFrameView } from "../../lib/server/frames.ts";
import { readKept, readSheet } from "../../lib/server/pages.ts";
import { picturesOf } from "../../lib/server/pictures.ts";
import { recordOf } from "../../lib/server/record.ts";
import { reportOf } from "../../lib/server/report.ts";
import { bodyOfKept } from "../../lib/server/reportBody.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { readReportBody } from "../../lib/store/reportBodies.ts";
import { readRun, type WholeRun } from "../../lib/store/readRuns.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), folder = join(data.place, "run");
let runId = "", resultId = "", files: readonly string[] = [];
beforeAll(async () => {
  await command("rehearse", "--out", folder, "--camera", "--camera-size", "320x240", "--camera-scale", "9", "--camera-every", "4", "--strands", "2", "--length", "10", "--fault", "gap@1/1/4-7", "--seed", "3");
  files = readdirSync(join(folder, "frames")).sort().map((name) => `frames/${name}`);
  runId = (await command("import", folder)).out.trim();
  resultId = (await readSheet(runId))?.resultId ?? "";
});
afterAll(() => data.restore());

const view = (file: string): ReturnType<typeof readFrameView> => readFrameView(runId, new URLSearchParams({ resultId, file }));
const hashOf = (file: string): string => createHash("sha256").update(readFileSync(join(folder, file))).digest("hex");

describe("frames of a kept run", () => {
  it("stand in the sheet in the order of time, and the gap leads to one", async () => {
    const sheet = await readSheet(runId);
    expect(sheet?.frames.map(({ file }) => file)).toEqual(files);
    const gap = sheet?.findings.find(({ kind }) => kind === "gap");
    expect(sheet?.frameOfRank[gap?.rank ?? -1]).toBeGreaterThanOrEqual(0);
  });

  it("are handed out one at a time with the pose that was sent, the job's camera, and their picture by its hash", async () => {
    const file = files.at(-1) as string, row = readFileSync(join(folder, "frames.csv"), "utf8").split("\n").find((line) => line.startsWith(`${file},`))?.split(",") ?? [], seen = await view(file);
    expect(seen.pose).toEqual(row.slice(3, 10).map(Number));
    expect([seen.camera?.id, seen.camera?.widthPx, seen.layer, seen.frame.file]).toEqual([row[1], 320, 1, file]);
    expect(seen.picture).toBe(`/api/runs/${runId}/pictures/${hashOf(file)}`);
    await expect(view("frames/none.png")).rejects.toMatchObject({ code: "store.noRun" });
    await expect(readFrameView("none", new URLSearchParams({ resultId, file }))).rejects.toMatchObject({ code: "store.noRun" });
  });

  it("give with the kept rows the kept body of the report again, byte for byte, with pictures by hash that paper is handed as JPEG", async () => {
    const store = sharedStore(), whole = await readRun(store, runId) as WholeRun, kept = readReportBody(store.db, resultId);
    expect(JSON.stringify(await bodyOfKept(store, whole, await readKept(runId, whole.result)))).toBe(JSON.stringify(kept));
    const image = kept?.findings.find(({ kind }) => kind === "gap")?.frame?.marks[0], report = await reportOf(store, runId, resultId);
    expect(image).toMatchObject({ kind: "image", picturePx: [320, 240] });
    const pictures = report === null ? new Map<string, Uint8Array>() : await picturesOf(report);
    expect(pictures.size).toBeGreaterThan(0);
    for (const bytes of pictures.values()) expect([...bytes.subarray(0, 3)]).toEqual([0xff, 0xd8, 0xff]);
  });

  it("are part of the record: a pose changed in the database is found", () => {
    const { db } = sharedStore();
    expect(recordOf(runId).whole).toBe(true);
    db.exec("SAVEPOINT changed");
    try {
      db.prepare(`UPDATE "FramePlace" SET tx = tx + 1`).run();
      expect(recordOf(runId).whole).toBe(false);
    } finally {
      db.exec("ROLLBACK TO changed; RELEASE changed");
    }
  });

  it("whose picture is kept no more keep their lines, and paper has a sentence in its place", async () => {
    const { db } = sharedStore(), file = files.at(-1) as string, report = await reportOf(sharedStore(), runId, resultId);
    db.exec("SAVEPOINT dropped");
    try {
      db.prepare(`DELETE FROM "RawFile" WHERE name LIKE 'frames/%'`).run();
      const seen = await view(file);
      expect([seen.picture, seen.pose === null]).toEqual([null, false]);
      expect(report === null ? -1 : (await picturesOf(report)).size).toBe(0);
    } finally {
      db.exec("ROLLBACK TO dropped; RELEASE dropped");
    }
  });
});
