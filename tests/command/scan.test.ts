/** A rehearsal that is brought in, and scans of it once set (invented): kept with its record, compared, refused as a whole where they are bad. */
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import { SCAN_MOST_BYTES, type ScanComparison } from "../../lib/model/scan.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";
import { openArrowStream } from "../../lib/sensing/arrowWrite.ts";
import { recordOf } from "../../lib/server/record.ts";
import { addScan, scansOf } from "../../lib/server/scans.ts";
import { nowIso, sharedStore } from "../../lib/server/settings.ts";
import { hardScan, type Setting } from "../support/hardScan.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), { place } = data;
const SETTINGS = { seed: 191, strands: 3, lengthMm: 12, surface: "mandibleAngle" } as const;
const SET: Setting = { scale: 0.94, lost: [{ strand: 2, fromMm: 4, toMm: 7 }] };
let runId = "", otherId = "";

function ndjson(profiles: Iterable<ProfileMessage>, header: object = { device: "profiler-1", frame: "plan" }): string {
  const lines = [JSON.stringify(header)];
  for (const { seq, tS, pose, zMm } of profiles) lines.push(JSON.stringify({ seq, tS, pose, zMm: Array.from(zMm, (z) => (Number.isNaN(z) ? null : Number(z.toFixed(4)))) }));
  return `${lines.join("\n")}\n`;
}
const fileOf = (name: string, content: string | Uint8Array): string => { const path = join(place, name); writeFileSync(path, content); return path; };
const resultOf = (): string => sharedStore().db.prepare<[string], string>(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name = 'result.json'`).pluck().get(runId)!;
const rawCount = (): number => readdirSync(join(process.env["ASLAID_DATA"]!, "raw"), { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile()).length;

let good = "";
beforeAll(async () => {
  writeRunFolder(simulate(SETTINGS), join(place, "run"), "arrow");
  runId = (await command("import", join(place, "run"))).out.trim();
  good = fileOf("profiles.ndjson", ndjson(hardScan(SETTINGS, SET)));
});
afterAll(() => data.restore());

describe("scan", () => {
  let said: ScanComparison;
  it("of beads 6 % lower and narrower with 3 mm gone: shrinkage of 0.116 within U, the loss found, printed as JSON and kept as scan 1 (seed 191)", async () => {
    const before = resultOf();
    const { code, out, err } = await command("scan", runId, good, "--set-at", "2026-02-04T10:00:00+01:00", "--note", "after a night in water");
    expect([code, err]).toEqual([0, ["Kept as scan 1 of the run."]]);
    said = JSON.parse(out) as ScanComparison;
    expect(Math.abs(said.areaRatio!.value - 0.8836)).toBeLessThan(2 * said.areaRatio!.u);
    expect(said.strands[1]!.lost).toHaveLength(1);
    expect(said.strands[1]!.lost[0]!.fromMm).toBeGreaterThan(3.7);
    expect(said.strands[1]!.lost[0]!.toMm).toBeLessThan(7.3);
    expect(resultOf()).toBe(before);
    const [kept, ...more] = scansOf(runId);
    expect(more).toEqual([]);
    expect(kept).toMatchObject({ n: 1, setAt: "2026-02-04T09:00:00.000Z", note: "after a night in water", addedBy: "command line", comparison: said });
    expect(recordOf(runId)).toMatchObject({ whole: true, problem: null });
  });

  it("wet areas are those of the run's result: the volume of a strand without loss to a millionth", () => {
    const rows = sharedStore().db.prepare<[string], { sMm: number; areaMm2: number }>(`SELECT r.sMm, r.areaMm2 FROM "Reading" r JOIN "Result" x ON x.id = r.resultId WHERE x.runId = ? AND r.strand = 1 AND r.newest = 1 ORDER BY r.stationIndex`).all(runId);
    const volume = rows.reduce((sum, { areaMm2 }, i) => sum + areaMm2 * (rows[Math.min(rows.length - 1, i + 1)]!.sMm - rows[Math.max(0, i - 1)]!.sMm) / 2, 0);
    expect(said.strands[0]!.comparedCount).toBe(rows.length);
    expect(Math.abs(said.strands[0]!.wetMm3 / volume - 1)).toBeLessThan(1e-6);
  });

  it("goes with the export, which verify finds whole and inspect measures to the same result, bit for bit", async () => {
    const out = join(place, "out");
    expect((await command("export", runId, "--out", out)).code).toBe(0);
    expect(readdirSync(join(out, "scans", "1")).sort()).toEqual(["comparison.json", "profiles.ndjson"]);
    expect(readFileSync(join(out, "scans", "1", "profiles.ndjson"), "utf8")).toBe(readFileSync(good, "utf8"));
    expect(JSON.parse(readFileSync(join(out, "scans", "1", "comparison.json"), "utf8"))).toEqual(said);
    expect((await command("verify", out)).code).toBe(0);
    await command("inspect", out, "--out", join(place, "again.json"));
    expect(readFileSync(join(place, "again.json")).equals(readFileSync(join(out, "result.json")))).toBe(true);
    writeFileSync(join(out, "scans", "1", "comparison.json"), "{}");
    expect((await command("verify", out)).out).toMatch(/not whole: .*scans\/1\/comparison\.json/);
  });

  it("a second one, in Arrow, is scan 2; its comparison is the same to 1e-4 of area, as heights came rounded to 0.1 µm before", async () => {
    const stream = openArrowStream({ device: "profiler-1", frame: "plan", points: 640, withLayer: false, batchProfiles: [256] }), parts: Uint8Array[] = [];
    for (const profile of hardScan(SETTINGS, SET)) { const bytes = stream.add(profile); if (bytes !== null) parts.push(Uint8Array.from(bytes)); }
    parts.push(Uint8Array.from(stream.end()));
    const { code, out } = await command("scan", runId, fileOf("second.arrow", Buffer.concat(parts)));
    expect(code).toBe(0);
    expect(Math.abs((JSON.parse(out) as ScanComparison).areaRatio!.value - said.areaRatio!.value)).toBeLessThan(1e-4);
    expect(scansOf(runId).map(({ n }) => n)).toEqual([1, 2]);
    expect(existsSync(join(process.env["ASLAID_DATA"]!, "raw", "staging")) && readdirSync(join(process.env["ASLAID_DATA"]!, "raw", "staging")).length > 0).toBe(false);
  });
});

describe("what cannot be is refused, and nothing of it is kept", () => {
  const lines = (): string[] => readFileSync(good, "utf8").split("\n");
  const CASES: readonly (readonly [string, () => string[], RegExp])[] = [
    ["no file", () => [runId, join(place, "none.ndjson")], /^source\.noFile/],
    ["a folder", () => { mkdirSync(join(place, "dir.ndjson"), { recursive: true }); return [runId, join(place, "dir.ndjson")]; }, /^source\.noFile/],
    ["another kind of file", () => [runId, fileOf("profiles.csv", "a,b\n")], /^upload\.badRequest/],
    ["no such run", () => ["none", good], /^store\.noRun/],
    ["an unknown device", () => [runId, fileOf("a.ndjson", ndjson([], { device: "profiler-9", frame: "plan" }))], /^sensing\.unknownDevice/],
    ["another frame", () => [runId, fileOf("b.ndjson", ["{\"device\":\"profiler-1\",\"frame\":\"base\"}", ...lines().slice(1)].join("\n"))], /^sensing\.badValue: .*frame plan/],
    ["a header and no profile", () => [runId, fileOf("c.ndjson", `${lines()[0]}\n`)], /^sensing\.noStream/],
    ["an empty file", () => [runId, fileOf("c2.ndjson", "")], /^(upload\.incomplete|sensing\.noStream)/],
    ["one that breaks off", () => [runId, fileOf("d.ndjson", lines().join("\n").slice(0, -400))], /^upload\.incomplete/],
    ["a line that is no JSON in its middle", () => [runId, fileOf("e.ndjson", lines().map((line, i) => (i === 30 ? "{oops" : line)).join("\n"))], /^sensing\.notJson/],
    ["time that runs back", () => [runId, fileOf("f.ndjson", [lines()[0], lines()[9], lines()[2], ""].join("\n"))], /^sensing\.timeBack/],
    ["no Arrow under that name", () => [runId, fileOf("g.arrow", "hello")], /^(sensing\.notArrow|upload\.incomplete)/],
    ["a moment that is none", () => [runId, good, "--set-at", "yesterday"], /^log\.badValue/],
    ["a moment ahead", () => [runId, good, "--set-at", "2999-01-01T00:00:00Z"], /^log\.badValue/],
    ["a note of 2001 characters", () => [runId, good, "--note", "x".repeat(2001)], /^log\.badValue/],
    ["no file named", () => [runId], /^command\.usage/],
    ["an unknown option", () => [runId, good, "--hard"], /^command\.usage/],
  ];
  it.each(CASES)("%s", async (_what, args, says) => {
    const before = { scans: scansOf(runId).length, files: rawCount(), log: recordOf(runId).count };
    const { code, out, err } = await command("scan", ...args());
    expect([code, out, err.length]).toEqual([2, "", 1]);
    expect(err[0]).toMatch(says);
    expect({ scans: scansOf(runId).length, files: rawCount(), log: recordOf(runId).count }).toEqual(before);
  });

  it("a scan over its largest size", async () => {
    async function* endless(): AsyncGenerator<Uint8Array> { yield new Uint8Array(8); Object.defineProperty(here, "length", { value: SCAN_MOST_BYTES }); yield here; }
    const here = new Uint8Array(1), files = rawCount();
    await expect(addScan(sharedStore(), { runId, fileName: "x.ndjson", chunks: endless(), setAt: null, note: "", actor: "Zoë", nowIso })).rejects.toMatchObject({ code: "source.tooLarge" });
    expect(rawCount()).toBe(files);
  });

  it("stopped half-way by its signal", async () => {
    const stop = new AbortController(), files = rawCount(), chunks = async function* (): AsyncGenerator<Uint8Array> { yield readFileSync(good); };
    const adding = addScan(sharedStore(), { runId, fileName: "x.ndjson", chunks: chunks(), setAt: null, note: "", actor: "Zoë", nowIso, signal: stop.signal, heard: () => stop.abort(new Error("enough")) });
    await expect(adding).rejects.toThrow("enough");
    expect([scansOf(runId).length, rawCount()]).toEqual([2, files]);
  });

  it("a run whose raw profiles are gone", async () => {
    otherId = (await command("import", join(import.meta.dirname, "../../fixtures/example-run"))).out.trim();
    const sha = sharedStore().db.prepare<[string], string>(`SELECT sha256 FROM "RawFile" WHERE runId = ? AND name LIKE 'profiles%'`).pluck().get(otherId)!;
    rmSync(join(process.env["ASLAID_DATA"]!, "raw", sha.slice(0, 2), sha), { force: true });
    expect((await command("scan", otherId, good)).err[0]).toMatch(/^store\.damaged/);
  });

  it("help names both arguments and exits 0", async () => {
    const { code, out } = await command("scan", "--help");
    expect(code).toBe(0);
    expect(out).toMatch(/RUN_ID FILE/);
  });
});
