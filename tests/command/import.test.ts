import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { main } from "../../lib/command/main.ts";
import { tempFolder } from "../support/tempStore.ts";

let place = "";
const before = { ...process.env };
beforeEach(() => {
  place = tempFolder();
  Object.assign(process.env, { ASLAID_ROOT: resolve(import.meta.dirname, "../.."), ASLAID_DATA: join(place, "data") });
});
afterEach(() => {
  process.env = { ...before };
  rmSync(place, { recursive: true, force: true });
});

/** Runs a command; its clock moves on by 1.1 s at every look, so that progress is always due. */
async function run(...argv: string[]): Promise<{ code: number; out: string; err: string[] }> {
  let out = "";
  let clockMs = 0;
  const err: string[] = [];
  const code = await main(argv, { out: async (text) => { out += text; }, err: (line) => { err.push(line); }, nowMs: () => (clockMs += 1100) });
  return { code, out, err };
}

/** A small rehearsal: two strands of 6 mm with a gap. */
async function makeFolder(seed: string): Promise<string> {
  const folder = join(place, `run-${seed}`);
  await run("rehearse", "--out", folder, "--seed", seed, "--strands", "2", "--length", "6", "--points", "200", "--dx", "0.05", "--fault", "gap@1/2/2-4.5");
  return folder;
}

function rows<T>(sql: string): T[] {
  const db = new Database(join(place, "data", "aslaid.db"), { readonly: true });
  try {
    return db.prepare<[], T>(sql).all();
  } finally {
    db.close();
  }
}

describe("import", () => {
  it("prints the run id alone, a UUIDv7, and keeps job, plan, strands and stations of two strands of 6 mm", async () => {
    const folder = await makeFolder("11");
    const { code, out, err } = await run("import", folder);
    expect(code).toBe(0);
    expect(out).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}\n$/);
    expect(err.every((line) => /^(copying: [\d.]+ k?B of [\d.]+ k?B|measuring: \d+ messages, up to [\d.]+ s)$/.test(line))).toBe(true);
    expect(err.length).toBeGreaterThan(0);
    const [stored] = rows<{ jobText: string; planText: string; rehearsal: number; demo: number; strandCount: number; plannedLengthMm: number }>("SELECT * FROM Run");
    expect(stored).toMatchObject({
      jobText: readFileSync(join(folder, "job.json"), "utf8"), planText: readFileSync(join(folder, "plan.csv"), "utf8"), rehearsal: 1, demo: 0, strandCount: 2,
    });
    expect(stored?.plannedLengthMm).toBeCloseTo(12, 2);
    expect(rows<{ count: number }>("SELECT count(*) AS count FROM Reading")[0]?.count).toBe(26);
    expect(rows<{ kind: string; strand: number }>("SELECT kind, strand FROM Finding WHERE kind = 'gap'")).toEqual([{ kind: "gap", strand: 2 }]);
  });

  it("gives the same id for the same folder and another for another, and adds nothing twice", async () => {
    const [one, two] = [await makeFolder("12"), await makeFolder("13")];
    const first = await run("import", one);
    const again = await run("import", one);
    expect(again.out).toBe(first.out);
    expect(again.err).toContain("This run was here already; nothing was changed.");
    expect((await run("import", two)).out).not.toBe(first.out);
    expect(rows("SELECT id FROM Run")).toHaveLength(2);
  });

  it("a changed byte in a stream makes it another run", async () => {
    const folder = await makeFolder("14");
    const first = await run("import", folder);
    const progress = join(folder, "progress.csv");
    writeFileSync(progress, readFileSync(progress, "utf8").replace("\n", "\r\n"));
    expect((await run("import", folder)).out).not.toBe(first.out);
  });

  it("a folder that is not a run is bad input: exit 2, one line with its code, nothing on stdout, no run", async () => {
    const folder = join(place, "empty");
    mkdirSync(folder);
    const { code, out, err } = await run("import", folder);
    expect([code, out, err.length]).toEqual([2, "", 1]);
    expect(err[0]).toMatch(/^source\.noFile: /);
    expect(rows("SELECT id FROM Run")).toEqual([]);
  });

  it("wrong usage is exit 2 with command.usage; --help is exit 0 on stdout", async () => {
    expect((await run("import")).err[0]).toMatch(/^command\.usage: /);
    expect((await run("import", "a", "b")).code).toBe(2);
    expect((await run("import", "--colour")).err[0]).toMatch(/^command\.usage: /);
    const help = await run("import", "--help");
    expect([help.code, help.err]).toEqual([0, []]);
    expect(help.out).toContain("npm run --silent import -- FOLDER");
  });
});

describe("the command line", () => {
  it("names its commands for --help, and for one that it does not know exits 2 on stderr alone", async () => {
    const help = await run("--help");
    expect(help.code).toBe(0);
    for (const name of ["inspect", "import", "export", "verify", "drop", "backup", "restore", "recompute", "scan", "calibrate", "rehearse", "bench"]) expect(help.out).toContain(`npm run --silent ${name}`);
    const unknown = await run("paint");
    expect([unknown.code, unknown.out]).toEqual([2, ""]);
    expect(unknown.err).toEqual(['There is no command "paint": expected one of inspect, import, export, verify, drop, backup, restore, recompute, scan, calibrate, token, rehearse, bench.']);
  });
});
