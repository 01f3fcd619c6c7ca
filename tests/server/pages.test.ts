import { cpSync, mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { main } from "../../lib/command/main.ts";
import { importDemoRuns } from "../../lib/server/demo.ts";
import { RUNS_A_PAGE, readRunPage, readSheet } from "../../lib/server/pages.ts";
import { closeSharedStore, newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeRun } from "../support/madeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import { ROOT } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

let place = "";
const before = { ...process.env };
beforeEach(() => {
  place = tempFolder();
  cpSync(join(ROOT, "prisma"), join(place, "prisma"), { recursive: true });
  Object.assign(process.env, { ASLAID_ROOT: place, ASLAID_DATA: join(place, "data") });
});
afterEach(async () => {
  await closeSharedStore();
  process.env = { ...before };
  rmSync(place, { recursive: true, force: true });
});

const result = madeResult({ layers: 1, strands: 2, lengthMm: 5, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [{ layer: 1, strand: 2, fromMm: 1, toMm: 3, kind: "gap" }] });
const put = (number: number, createdAt: string): string => {
  const made = madeRun(number, newId, result);
  return writeRun(sharedStore().db, { ...made, run: { ...made.run, createdAt } });
};

describe("the register's pages", () => {
  it("21 runs are a page of 20, newest first, and one more; each has its sentence and its small picture", async () => {
    const ids = Array.from({ length: RUNS_A_PAGE + 1 }, (_, i) => put(i, `2026-02-${String(i + 1).padStart(2, "0")}T08:00:00.000Z`));
    const first = await readRunPage(null);
    expect(first.lines.map((line) => line.head.runId)).toEqual(ids.slice(1).reverse());
    expect(first).toMatchObject({ runCount: 21, headline: "21 runs are kept. The newest is not acceptable.", olderAfter: ids[1] });
    expect(first.lines[0]).toMatchObject({ acceptable: false, sizeWords: ["two layers", "two strands"] });
    expect(first.lines[0]?.thumbnail.map((strand) => strand.stretches.map((stretch) => stretch.look))).toEqual([["seen"], ["seen", "gap", "seen"]]);
    const second = await readRunPage(first.olderAfter);
    expect([second.lines.map((line) => line.head.runId), second.olderAfter, second.headline]).toEqual([[ids[0]], null, "21 runs are kept."]);
  });

  it("an empty register says so", async () => {
    expect(await readRunPage(null)).toEqual({ headline: "No runs are kept yet.", lines: [], runCount: 0, olderAfter: null });
  });

  it("a sheet is made of what was stored, and an unknown number is null", async () => {
    const sheet = await readSheet(put(8, "2026-02-08T08:00:00.000Z"));
    expect(sheet?.words.headline).toMatch(/^Not acceptable: one act finding\. Only /);
    expect(sheet?.beadShape).toBe("segment");
    expect(await readSheet("none")).toBeNull();
  });
});

describe("the demonstration run", () => {
  const inspect = async () => result;
  const say: string[] = [];
  beforeEach(() => { say.length = 0; });
  const bring = () => importDemoRuns(sharedStore(), inspect, (line) => { say.push(line); });
  const rehearse = (out: string) => main(["rehearse", "--out", out, "--seed", "31", "--strands", "2", "--length", "5", "--points", "100", "--dx", "0.06"], { out: async () => undefined, err: () => undefined, nowMs: () => 0 });

  it("comes in once on a fresh database, marked demo and rehearsal", async () => {
    await rehearse(join(place, "fixtures", "mandible-angle"));
    await bring();
    await bring();
    expect(say).toEqual(["Bringing in the demonstration run mandible-angle"]);
    const { lines } = await readRunPage(null);
    expect(lines.map(({ head }) => [head.demo, head.rehearsal])).toEqual([[true, true]]);
  });

  it("stays out where a run is stored, and where there is none to bring", async () => {
    await bring();
    expect(say).toEqual([]);
    await rehearse(join(place, "fixtures", "mandible-angle"));
    put(9, nowIso());
    await bring();
    expect(say).toEqual([]);
  });

  it("one that cannot be read is named and left out, and the start goes on", async () => {
    mkdirSync(join(place, "fixtures", "mandible-angle"), { recursive: true });
    writeFileSync(join(place, "fixtures", "mandible-angle", "job.json"), "{");
    await bring();
    expect(say[1]).toMatch(/^ {2}left out: expected JSON, got /);
    expect((await readRunPage(null)).runCount).toBe(0);
  });
});
