/** Bringing in is whole or not at all: cancelled, killed, out of disk, twice at once. */
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { setTimeout as wait } from "node:timers/promises";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import type { InspectResult } from "../../lib/model/result.ts";
import { inspectRun } from "../../lib/run/inspectRun.ts";
import { importRun } from "../../lib/server/importRun.ts";
import type { ImportSettings } from "../../lib/server/importRun.ts";
import { openSqlite } from "../../lib/store/connection.ts";
import { openStore } from "../../lib/store/openStore.ts";
import { sweepRaw } from "../../lib/store/rawFiles.ts";
import { EXAMPLE } from "../support/recorded.ts";
import { ROOT } from "../support/serverProcess.ts";
import type { TempStore } from "../support/tempStore.ts";
import { MIGRATIONS, tempFolder, tempStore } from "../support/tempStore.ts";

const MANDIBLE = join(ROOT, "fixtures", "mandible-angle");
const TABLES = ["Run", "Strand", "Result", "LimitSet", "Reading", "Finding", "LogEntry", "Seal", "RawFile", "ReadingHistory", "StationCut"];

let temp: TempStore;
let place = "";
beforeEach(() => { temp = tempStore(); place = tempFolder(); });
afterEach(async () => { await temp.remove(); rmSync(place, { recursive: true, force: true }); });

const settings = (more: Partial<ImportSettings> = {}): ImportSettings => ({ folder: EXAMPLE, demo: false, actor: "Dana Reyes", newId: temp.newId, nowIso: () => "2026-02-03T09:12:00.000Z", inspect: (opened) => inspectRun(opened), ...more });

/** Rows of every table, and files under raw/, of a data folder. */
function held(dataFolder: string): { readonly rows: number; readonly files: readonly string[] } {
  const db = new Database(join(dataFolder, "aslaid.db"));
  const rows = TABLES.reduce((total, table) => total + (db.prepare<[], { n: number }>(`SELECT count(*) AS n FROM "${table}"`).get()?.n ?? 0), 0);
  db.close();
  const raw = join(dataFolder, "raw");
  return { rows, files: existsSync(raw) ? readdirSync(raw, { recursive: true, encoding: "utf8" }).filter((name) => statSync(join(raw, name)).isFile()) : [] };
}

async function failure(work: Promise<unknown>): Promise<unknown> {
  return await work.then(() => "no error", (error: unknown) => error);
}

const child = (dataFolder: string, folder: string) => spawn(process.execPath, ["scripts/launch.mjs", "import", folder], { cwd: ROOT, env: { ...process.env, ASLAID_DATA: dataFolder }, stdio: ["ignore", "pipe", "pipe"] });

async function ended(process: ReturnType<typeof child>): Promise<{ code: number | null; out: string; err: string }> {
  let out = "", err = "";
  process.stdout.on("data", (chunk: Buffer) => { out += chunk.toString(); });
  process.stderr.on("data", (chunk: Buffer) => { err += chunk.toString(); });
  const [code] = await once(process, "close") as [number | null];
  return { code, out, err };
}

/** Comes true once some process has copied a file of profiles into its staging folder. */
async function copied(dataFolder: string): Promise<void> {
  const staging = join(dataFolder, "raw", "staging");
  for (;;) {
    if (existsSync(staging) && readdirSync(staging).some((name) => existsSync(join(staging, name, "profiles.arrow")))) return;
    await wait(2);
  }
}

describe("what is written", () => {
  it("every file is kept under its hash, read-only and durable before the run is there; progress counts each byte twice", async () => {
    const heard: [number, number][] = [];
    const { runId, isNew } = await importRun(temp.store, settings({ heard: (done, all) => heard.push([done, all]) }));
    expect(isNew).toBe(true);
    const kept = temp.store.db.prepare<[string], { name: string; sha256: string; size: number }>(`SELECT name, sha256, size FROM "RawFile" WHERE runId = ? ORDER BY name`).all(runId);
    expect(kept.map(({ name }) => name)).toEqual(["job.json", "plan.csv", "profiles.ndjson", "progress.csv", "result.json"]);
    for (const { name, sha256, size } of kept) {
      const path = join(temp.folder, "raw", sha256.slice(0, 2), sha256);
      expect([statSync(path).size, statSync(path).mode & 0o777]).toEqual([size, 0o444]);
      if (name !== "result.json") expect(readFileSync(path)).toEqual(readFileSync(join(EXAMPLE, name)));
    }
    const allBytes = 2 * readdirSync(EXAMPLE).reduce((total, name) => total + statSync(join(EXAMPLE, name)).size, 0);
    expect(heard.at(-1)).toEqual([allBytes, allBytes]);
    expect(held(temp.folder).files).toHaveLength(5);
  });

  it("the log begins with the run, each file, the result and the end, under one seal", async () => {
    const { runId } = await importRun(temp.store, settings());
    const { db } = temp.store;
    expect(db.prepare(`SELECT kind FROM "LogEntry" WHERE runId = ? ORDER BY seq`).pluck().all(runId)).toEqual(["run.created", ...Array.from({ length: 4 }, () => "raw.kept"), "result.computed", "run.finished"]);
    expect(db.prepare(`SELECT count FROM "Seal" WHERE runId = ?`).pluck().all(runId)).toEqual([7]);
    const run = db.prepare<[string], { jobSha256: string; planSha256: string }>(`SELECT jobSha256, planSha256 FROM "Run" WHERE id = ?`).get(runId);
    const payload = JSON.parse(String(db.prepare(`SELECT payloadJson FROM "LogEntry" WHERE runId = ? AND seq = 1`).pluck().get(runId))) as object;
    expect(payload).toEqual({ name: expect.any(String) as string, planFile: "plan.csv", ...run });
  });

  it("a plan that calls itself as a file of the record is refused with source.reserved; a name with detours is kept without them", async () => {
    const folder = join(place, "run");
    const renamed = (file: string): void => {
      rmSync(folder, { recursive: true, force: true });
      cpSync(EXAMPLE, folder, { recursive: true });
      const job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as { name: string; plan: { file: string } };
      writeFileSync(join(folder, "job.json"), JSON.stringify({ ...job, name: "odd \u007f name", plan: { ...job.plan, file } }));
      cpSync(join(folder, "plan.csv"), join(folder, file));
    };
    renamed("log.ndjson");
    expect(await failure(importRun(temp.store, settings({ folder })))).toMatchObject({ code: "source.reserved", place: { file: "log.ndjson" } });
    renamed("./other.csv");
    const { runId } = await importRun(temp.store, settings({ folder }));
    expect(temp.store.db.prepare(`SELECT name FROM "RawFile" WHERE runId = ?`).pluck().all(runId)).toContain("other.csv");
  });
});

describe("nothing is half there", () => {
  it("cancelled before, while copying and while measuring: the signal's reason, no row, no file", async () => {
    const reason = new Error("asked to stop");
    const whenHeard = (share: number): AbortController & { heard: (done: number, all: number) => void } => {
      const stop = new AbortController();
      return Object.assign(stop, { heard: (done: number, all: number) => { if (done >= share * all) stop.abort(reason); } });
    };
    for (const share of [0.1, 0.7]) {
      const stop = whenHeard(share);
      expect(await failure(importRun(temp.store, settings({ signal: stop.signal, heard: stop.heard })))).toBe(reason);
    }
    const stop = new AbortController();
    const inspect: ImportSettings["inspect"] = async (opened) => {
      stop.abort(reason);
      return await inspectRun(opened);
    };
    expect(await failure(importRun(temp.store, settings({ signal: stop.signal, inspect })))).toBe(reason);
    expect(await failure(importRun(temp.store, settings({ signal: AbortSignal.abort(reason) })))).toBe(reason);
    expect(held(temp.folder)).toEqual({ rows: 0, files: [] });
  });

  it("a folder that changes while it is read is source.changed", async () => {
    const folder = join(place, "run");
    cpSync(EXAMPLE, folder, { recursive: true });
    const heard = (done: number, all: number): void => { if (done > all / 2 - 1 && done <= all / 2) writeFileSync(join(folder, "progress.csv"), readFileSync(join(EXAMPLE, "progress.csv"), "utf8").replace("\n", "\r\n")); };
    expect(await failure(importRun(temp.store, settings({ folder, heard })))).toMatchObject({ code: "source.changed" });
    expect(held(temp.folder)).toEqual({ rows: 0, files: [] });
  });

  it("a failure inside the last transaction takes moved files back too", async () => {
    const broken: ImportSettings["inspect"] = async (opened) => {
      const result = await inspectRun(opened);
      return { ...result, stations: [...result.stations, result.stations[0]] } as InspectResult;
    };
    expect(await failure(importRun(temp.store, settings({ inspect: broken })))).toBeInstanceOf(Error);
    temp.store.db.exec(`CREATE TEMP TRIGGER stop BEFORE INSERT ON "Seal" BEGIN SELECT RAISE(ABORT, 'no seal'); END`);
    expect(String(await failure(importRun(temp.store, settings())))).toContain("no seal");
    expect(held(temp.folder)).toEqual({ rows: 0, files: [] });
  });

  it("SIGKILL in the middle leaves no row; the next start sweeps what was copied, and the folder comes in", async () => {
    const dataFolder = join(place, "data");
    const killed = child(dataFolder, MANDIBLE);
    const end = ended(killed);
    await copied(dataFolder);
    killed.kill("SIGKILL");
    expect((await end).out).toBe("");
    expect(held(dataFolder).rows).toBe(0);
    expect(held(dataFolder).files.length).toBeGreaterThan(0);
    const again = await ended(child(dataFolder, EXAMPLE));
    expect(again).toMatchObject({ code: 0, out: expect.stringMatching(/^[0-9a-f-]{36}\n$/) as string });
    expect(held(dataFolder).files).toHaveLength(5);
    expect(readdirSync(join(dataFolder, "raw", "staging"))).toEqual([]);
  });

  it("killed between moving and committing: raw files that no run names go with the staging folder of a process that is no more, and named ones stay", async () => {
    await importRun(temp.store, settings());
    const raw = join(temp.folder, "raw");
    const dead = spawnSync(process.execPath, ["-e", ""]).pid;
    mkdirSync(join(raw, "ff"), { recursive: true });
    writeFileSync(join(raw, "ff", "f".repeat(64)), "orphan");
    sweepRaw(temp.store.db, temp.store.raw);
    expect(held(temp.folder).files).toHaveLength(6); // nobody left a staging folder, so nobody died
    mkdirSync(join(raw, "staging", `${dead}-x`));
    mkdirSync(join(raw, "staging", `${process.ppid}-y`)); // alive
    sweepRaw(temp.store.db, temp.store.raw);
    expect(held(temp.folder).files).toHaveLength(5);
    expect(readdirSync(join(raw, "staging"))).toEqual([`${process.ppid}-y`]);
  });

  it.each([[false, true], [true, false]])("a store that is opened beside (sweeps: %s) leaves what this process is staging: %s", async (sweeps, isLeft) => {
    const staging = join(temp.folder, "raw", "staging", `${process.pid}-z`);
    mkdirSync(staging, { recursive: true });
    await openStore({ dataFolder: temp.folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: 0, newId: temp.newId, sweeps }).close();
    expect(existsSync(staging)).toBe(isLeft);
  });

  it("SIGTERM ends the command with one sentence and exit 2", async () => {
    const dataFolder = join(place, "data");
    const stopped = child(dataFolder, MANDIBLE);
    const end = ended(stopped);
    await copied(dataFolder);
    stopped.kill("SIGTERM");
    expect(await end).toEqual({ code: 2, out: "", err: expect.stringMatching(/source\.stopped: expected to read the folder to its end, got SIGTERM: nothing was kept \(at [^\n]*\)\n$/) as string });
    expect(held(dataFolder)).toEqual({ rows: 0, files: [] });
  });
});

const canMount = ((): boolean => {
  const folder = tempFolder();
  const mounted = spawnSync("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", folder]).status === 0;
  if (mounted) spawnSync("umount", [folder]);
  rmSync(folder, { recursive: true });
  return mounted;
})();

describe.skipIf(!canMount)(`out of disk${canMount ? "" : " (skipped: no tmpfs can be mounted here)"}`, () => {
  it.each([[700, "copying"], [1250, "writing the database"]])("a disk of %i kB that fills up while %s: source.diskFull, no row, no file, and a smaller run still fits", async (sizeK) => {
    const disk = join(place, "disk");
    mkdirSync(disk);
    expect(spawnSync("mount", ["-t", "tmpfs", "-o", `size=${sizeK}k`, "tmpfs", disk]).status).toBe(0);
    try {
      const full = await ended(child(disk, MANDIBLE));
      expect(full).toMatchObject({ code: 2, out: "" });
      expect(full.err).toMatch(/source\.diskFull: expected room on the disk of the data folder, got a full disk: nothing was kept \(at [^\n]*\)\n$/);
      expect(held(disk)).toEqual({ rows: 0, files: [] });
      expect((await ended(child(disk, EXAMPLE))).code).toBe(0);
    } finally {
      spawnSync("umount", [disk]);
    }
  });
});

describe("the same folder twice", () => {
  it("at once from two processes: one run, one id, one set of files", async () => {
    const dataFolder = join(place, "data");
    const both = await Promise.all([ended(child(dataFolder, EXAMPLE)), ended(child(dataFolder, EXAMPLE))]);
    expect(both.map(({ code }) => code)).toEqual([0, 0]);
    expect(both[0]?.out).toBe(both[1]?.out);
    const db = openSqlite(join(dataFolder, "aslaid.db"));
    expect(db.prepare(`SELECT count(*) FROM "Run"`).pluck().get()).toBe(1);
    db.close();
    expect(held(dataFolder).files).toHaveLength(5);
  });

  it("at once in one process: the second finds the first one's run when it comes to write", async () => {
    const both = await Promise.all([importRun(temp.store, settings()), importRun(temp.store, settings())]);
    expect(new Set(both.map(({ runId }) => runId)).size).toBe(1);
    expect(both.filter(({ isNew }) => isNew)).toHaveLength(1);
    expect(held(temp.folder).files).toHaveLength(5);
  });

  it("later: the same id and nothing new; a folder that is not there is an InputError", async () => {
    const first = await importRun(temp.store, settings());
    expect(await importRun(temp.store, settings())).toEqual({ runId: first.runId, isNew: false });
    expect(await failure(importRun(temp.store, settings({ folder: join(place, "none") })))).toBeInstanceOf(InputError);
  });
});
