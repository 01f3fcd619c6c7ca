import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { tableFromIPC } from "apache-arrow";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";

let place = "";
beforeEach(() => { place = mkdtempSync(join(tmpdir(), "rehearsal-")); });
afterEach(() => { rmSync(place, { recursive: true, force: true }); });

const SMALL = { strands: 2, lengthMm: 4, points: 40, dxMm: 0.1 } as const;

function codeOf(run: () => void): string {
  try {
    run();
  } catch (error) {
    return error instanceof InputError ? error.code : String(error);
  }
  return "none";
}

describe("writeRunFolder", () => {
  it("writes what simulate gave: Arrow columns seq, tS, pose, zMm with device and frame, over batches of at most 256 profiles", () => {
    const rehearsal = simulate({ ...SMALL, profileSpacingMm: 0.05 }), out = join(place, "deep", "run");
    writeRunFolder(rehearsal, out, "arrow");
    expect(readdirSync(out).sort()).toEqual(["job.json", "plan.csv", "profiles.arrow", "progress.csv", "truth.json"]);
    const bytes = readFileSync(join(out, "profiles.arrow")), table = tableFromIPC(bytes);
    expect([...table.schema.metadata]).toEqual([["device", "profiler-1"], ["frame", "plan"]]);
    expect(table.schema.fields.map((field) => `${field.name} ${field.type}`)).toEqual(["seq Int32", "tS Float64", "pose FixedSizeList[7]<Float64>", "zMm FixedSizeList[40]<Float32>"]);
    expect(table.batches.length).toBeGreaterThan(1);
    expect(Math.max(...table.batches.map((batch) => batch.numRows))).toBe(256);
    expect([...bytes.subarray(-8)]).toEqual([255, 255, 255, 255, 0, 0, 0, 0]); // end-of-stream marker
    let row = 0;
    for (const profile of rehearsal.profiles()) {
      const read = table.get(row++) as unknown as { seq: number; tS: number; pose: Iterable<number>; zMm: Iterable<number> };
      expect([read.seq, read.tS, ...read.pose]).toEqual([profile.seq, profile.tS, ...profile.pose]);
      expect([...read.zMm]).toEqual([...profile.zMm]);
    }
    expect(table.numRows).toBe(row);
  });

  it("cuts an Arrow stream into batches of the sizes asked for, in turn, with every profile in one of them", () => {
    const rehearsal = simulate({ ...SMALL, profileSpacingMm: 0.5 }), out = join(place, "run");
    writeRunFolder(rehearsal, out, "arrow", { batchProfiles: [7, 1, 12] });
    const table = tableFromIPC(readFileSync(join(out, "profiles.arrow"))), sizes = table.batches.map((batch) => batch.numRows);
    expect(sizes.slice(0, -1)).toEqual(sizes.slice(0, -1).map((_, i) => [7, 1, 12][i % 3]));
    expect(sizes.length).toBeGreaterThan(4);
    expect(Array.from(table.getChild("seq") as Iterable<number>)).toEqual([...rehearsal.profiles()].map((profile) => profile.seq));
  });

  it("writes NDJSON with null for no return, one file per profiler, and rework.csv where something was taken off", () => {
    const rehearsal = simulate({ ...SMALL, profilers: 2, dropoutFraction: 0.2, layerColumn: true, rework: [{ layer: 1, strand: 2, fromMm: 1, toMm: 2 }] }), out = join(place, "run");
    writeRunFolder(rehearsal, out, "ndjson");
    expect(readdirSync(out).sort()).toEqual(["job.json", "plan.csv", "profiles.profiler-1.ndjson", "profiles.profiler-2.ndjson", "progress.csv", "rework.csv", "truth.json"]);
    const lines = readFileSync(join(out, "profiles.profiler-2.ndjson"), "utf8").trim().split("\n").map((line) => JSON.parse(line) as { device?: string; zMm?: (number | null)[]; layer?: number });
    expect(lines[0]).toEqual({ device: "profiler-2", frame: "plan" });
    expect(lines[1]?.zMm).toHaveLength(40);
    expect(lines[1]?.zMm).toContain(null);
    expect(lines[1]?.layer).toBe(0);
    expect(readFileSync(join(out, "rework.csv"), "utf8").split("\n")[0]).toBe("t_s,layer,strand,from_mm,to_mm,who,reason");
    expect(readFileSync(join(out, "progress.csv"), "utf8")).toMatch(/^t_s,layer,strand,s_mm,event\n[\d.]+,1,1,0,start\n/);
  });

  it("truth.json says contract, seed, units and origin, and holds every station", () => {
    const rehearsal = simulate({ ...SMALL, seed: 31, surface: "cylinder" }), out = join(place, "run");
    writeRunFolder(rehearsal, out, "arrow");
    const truth = JSON.parse(readFileSync(join(out, "truth.json"), "utf8")) as Record<string, unknown>;
    expect(truth).toMatchObject({ contract: "aslaid/1", seed: 31, surface: "cylinder", origin: "simulated; invented demonstration data" });
    expect(truth.stations).toEqual(rehearsal.truth.stations);
  });

  it("the same seed gives the same bytes in every file", () => {
    for (const name of ["one", "two"]) writeRunFolder(simulate({ ...SMALL, seed: 12 }), join(place, name), "arrow");
    for (const file of readdirSync(join(place, "one"))) expect(readFileSync(join(place, "one", file)).equals(readFileSync(join(place, "two", file)))).toBe(true);
  });

  it("takes an empty folder; refuses one with a file in it and a file, with command.usage, and leaves both as they were", () => {
    const empty = join(place, "empty"), full = join(place, "full"), rehearsal = simulate(SMALL);
    mkdirSync(empty);
    mkdirSync(full);
    writeFileSync(join(full, "note.txt"), "mine");
    writeRunFolder(rehearsal, empty, "arrow");
    expect(readdirSync(empty)).toContain("job.json");
    expect(codeOf(() => writeRunFolder(rehearsal, full, "arrow"))).toBe("command.usage");
    expect(codeOf(() => writeRunFolder(rehearsal, join(full, "note.txt"), "arrow"))).toBe("command.usage");
    expect(codeOf(() => writeRunFolder(rehearsal, join(full, "note.txt", "run"), "arrow"))).toBe("command.usage");
    expect(readdirSync(full)).toEqual(["note.txt"]);
    expect(readFileSync(join(full, "note.txt"), "utf8")).toBe("mine");
  });

  it("leaves nothing behind when writing fails half-way", () => {
    const rehearsal = simulate(SMALL), out = join(place, "run");
    const broken = { ...rehearsal, *profiles() { yield* [] as never[]; throw new RangeError("stop"); } };
    expect(() => writeRunFolder(broken, out, "arrow")).toThrow("stop");
    expect(readdirSync(place)).toEqual([]);
  });
});
