/** Records taken out by `export`, read by `verify` and by the lines of VERIFY.md, whole and tampered with in every way. */
import { spawnSync } from "node:child_process";
import { createHash, generateKeyPairSync, sign } from "node:crypto";
import type { KeyObject } from "node:crypto";
import { appendFileSync, cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { canonicalJson } from "../../lib/log/canonical.ts";
import { recordOf } from "../../lib/server/record.ts";
import { closeSharedStore } from "../../lib/server/settings.ts";
import { ROOT } from "../support/serverProcess.ts";
import { command, EXAMPLE, ownData, recordedExample } from "../support/recorded.ts";

type Json = Record<string, any>;

const data = ownData();
const { place } = data;
const whole = join(place, "whole");
const copy = join(place, "copy");
let runId = "";
beforeAll(async () => {
  runId = await recordedExample();
  await command("export", runId, "--out", whole);
});
beforeEach(() => {
  rmSync(copy, { recursive: true, force: true });
  cpSync(whole, copy, { recursive: true });
});
afterAll(() => data.restore());

const read = (name: string): Json[] => readFileSync(join(copy, name), "utf8").trimEnd().split("\n").map((line) => JSON.parse(line) as Json);
const write = (name: string, rows: readonly Json[]): void => writeFileSync(join(copy, name), rows.map((row) => `${canonicalJson(row)}\n`).join(""));
const log = (change: (entries: Json[]) => Json[] | void): void => { const entries = read("log.ndjson"); write("log.ndjson", change(entries) ?? entries); };
const seals = (change: (rows: Json[]) => Json[] | void): void => { const rows = read("seals.ndjson"); write("seals.ndjson", change(rows) ?? rows); };
const hashed = (entry: Json): Json => {
  const { hash: _, ...rest } = entry;
  return { ...rest, hash: createHash("sha256").update(canonicalJson(rest)).digest("hex") };
};
/** Numbers and hashes made to fit from the beginning: what somebody without the key can do. */
const relinked = (entries: readonly Json[]): Json[] => entries.reduce<Json[]>((done, entry) => [...done, hashed({ ...entry, seq: done.length + 1, prev: done.at(-1)?.["hash"] ?? "0".repeat(64) })], []);
const at = (rows: Json[], index: number): Json => rows[index] as Json;

const verify = async (...more: string[]): Promise<[number, string]> => {
  const { code, out, err } = await command("verify", copy, ...more);
  expect(err).toEqual([]);
  return [code, out];
};

/** Seals of one's own over the chain as it stands, named where the chain names them; and the key that made them put beside. */
function reseal(privateKey: KeyObject, publicKey: KeyObject): void {
  const der = publicKey.export({ type: "spki", format: "der" });
  const keyId = createHash("sha256").update(der).digest("hex");
  const rows = read("seals.ndjson");
  let entries = read("log.ndjson");
  const made = rows.map((row): Json => {
    const seal: Json = { at: row["at"], count: row["count"], head: at(entries, row["count"] - 1)["hash"], keyId, runId: row["runId"] };
    entries = relinked(entries.map((entry) => (entry["kind"] === "seal.named" && entry["payload"].count === seal["count"] ? { ...entry, payload: { count: seal["count"], head: seal["head"], keyId } } : entry)));
    return { ...seal, signature: sign(null, Buffer.from(canonicalJson(seal)), privateKey).toString("base64") };
  });
  write("log.ndjson", entries);
  write("seals.ndjson", made);
  writeFileSync(join(copy, "publicKey.pem"), publicKey.export({ type: "spki", format: "pem" }));
}

/** Each tampering, and what the first line of the answer must name. Entries: 1 run.created, 2 to 5 raw.kept, 6 result, 7 finished, 8 names seal 7, 9 disposed, 10 names seal 9, 11 note. */
const TAMPERINGS: readonly [what: string, tamper: () => void, names: RegExp][] = [
  ["an entry changed", () => log((e) => { at(e, 8)["payload"].reason = "handFinished"; }), /entry 9 \(finding\.disposed\) was changed/],
  ["the first entry changed", () => log((e) => { at(e, 0)["at"] = "2020-01-01T00:00:00.000Z"; }), /entry 1 \(run\.created\) was changed/],
  ["an entry changed and its own hash with it", () => log((e) => { e[8] = hashed({ ...at(e, 8), actor: "nobody" }); }), /entry 9 \(finding\.disposed\) is not the one that was sealed/],
  ["an entry between seals changed and its own hash with it", () => log((e) => { e[2] = hashed({ ...at(e, 2), actor: "nobody" }); }), /entries 3 and 4 do not follow each other/],
  ["an entry removed", () => log((e) => e.filter((_, i) => i !== 3)), /entry 4 is missing: entry 5 follows entry 3/],
  ["the first entry removed", () => log((e) => e.slice(1)), /entry 1 is missing: entry 2 follows at the beginning/],
  ["two entries removed", () => log((e) => e.filter((_, i) => i !== 3 && i !== 4)), /entries 4 to 5 are missing/],
  ["an entry removed and the rest linked again", () => log((e) => relinked(e.filter((_, i) => i !== 3))), /entry 7 \(seal\.named\) is not the one|entry 7 .*was rewritten without the key|seal over 7 entries is missing or another/],
  ["an entry added with a hash that fits", () => log((e) => e.toSpliced(3, 0, hashed({ ...at(e, 3), actor: "me", prev: at(e, 2)["hash"] }))), /entry 4 \(raw\.kept\) was added|do not follow each other/],
  ["an entry added with a hash that does not fit", () => log((e) => e.toSpliced(3, 0, { ...at(e, 3), actor: "me" })), /entry 4 \(raw\.kept\) was added: the real entry 4 follows it/],
  ["an entry doubled", () => log((e) => e.toSpliced(4, 0, at(e, 3))), /entry 4 \(raw\.kept\) was added/],
  ["an entry added at the end", () => log((e) => relinked([...e, { ...at(e, 10), payload: { layer: 1, strand: 1, sMm: 1, text: "late" } }])), /entry 12 was added/],
  ["an entry of another run added", () => log((e) => relinked([...e.slice(0, 3), { ...at(e, 3), runId: "other" }, ...e.slice(3)])), /entry 4 was added: it belongs to another run/],
  ["two entries swapped", () => log((e) => [...e.slice(0, 4), at(e, 5), at(e, 4), ...e.slice(6)]), /entries 5 and 6 are swapped/],
  ["the tail cut off", () => log((e) => e.slice(0, -1)), /entry 11 is cut off: a seal covers 11 entries/],
  ["the tail cut off in mid-line", () => writeFileSync(join(copy, "log.ndjson"), readFileSync(join(copy, "log.ndjson"), "utf8").slice(0, -30)), /entry 11 is cut off in the middle/],
  ["the whole log emptied", () => writeFileSync(join(copy, "log.ndjson"), ""), /the log has no entry/],
  ["spaces in an entry", () => writeFileSync(join(copy, "log.ndjson"), readFileSync(join(copy, "log.ndjson"), "utf8").replace('"seq":3}', '"seq": 3}')), /entry 3 was changed: it is no entry in canonical JSON/],
  ["a middle seal removed", () => seals((s) => s.filter((_, i) => i !== 1)), /the seal over 9 entries is missing or another: entry 10 names it/],
  ["the last seal removed", () => seals((s) => s.slice(0, -1)), /the last seal is missing: entries 10 to 11/],
  ["all seals removed", () => writeFileSync(join(copy, "seals.ndjson"), ""), /the seal over 7 entries is missing/],
  ["a seal added that nobody names", () => seals((s) => [{ ...at(s, 0), count: 3 }, ...s]), /the seal over 3 entries is forged/],
  ["a seal doubled", () => seals((s) => [at(s, 0), ...s]), /seal 2 was added or moved/],
  ["a seal's time changed", () => seals((s) => { at(s, 2)["at"] = "2020-01-01T00:00:00.000Z"; }), /the seal over 11 entries is forged/],
  ["a seal's signature changed", () => seals((s) => { at(s, 0)["signature"] = at(s, 1)["signature"]; }), /the seal over 7 entries is forged/],
  ["the whole chain rewritten without the key", () => log((e) => relinked(e.map((entry) => ({ ...entry, actor: "me" })))), /entry 7 \(run\.finished\) is not the one that was sealed: the chain was rewritten without the key/],
  ["the chain rewritten, heads of seals too", () => {
    log((e) => relinked(e.map((entry) => ({ ...entry, actor: "me" }))));
    const entries = read("log.ndjson");
    seals((s) => s.map((seal) => ({ ...seal, head: at(entries, seal["count"] - 1)["hash"] })));
  }, /the seal over 7 entries is forged/],
  ["rewritten with another key, its publicKey.pem not put in", () => {
    const { privateKey, publicKey } = generateKeyPairSync("ed25519");
    reseal(privateKey, publicKey);
    cpSync(join(whole, "publicKey.pem"), join(copy, "publicKey.pem"));
  }, /the seal over 7 entries is forged/],
  ["publicKey.pem replaced", () => writeFileSync(join(copy, "publicKey.pem"), generateKeyPairSync("ed25519").publicKey.export({ type: "spki", format: "pem" })), /the seal over 7 entries is forged/],
  ["publicKey.pem damaged", () => writeFileSync(join(copy, "publicKey.pem"), "no key"), /publicKey\.pem was changed/],
  ["publicKey.pem missing", () => rmSync(join(copy, "publicKey.pem")), /publicKey\.pem is missing/],
  ["log.ndjson missing", () => rmSync(join(copy, "log.ndjson")), /log\.ndjson is missing/],
  ["seals.ndjson missing", () => rmSync(join(copy, "seals.ndjson")), /seals\.ndjson is missing/],
  ["a raw file changed, its size kept", () => writeFileSync(join(copy, "progress.csv"), readFileSync(join(copy, "progress.csv"), "utf8").replace("start", "START")), /the file progress\.csv was changed: its bytes/],
  ["a raw file longer", () => appendFileSync(join(copy, "profiles.ndjson"), "\n"), /the file profiles\.ndjson was changed: it has \d+ bytes/],
  ["a raw file missing", () => rmSync(join(copy, "plan.csv")), /the file plan\.csv is missing/],
  ["the result changed", () => writeFileSync(join(copy, "result.json"), readFileSync(join(copy, "result.json"), "utf8").replace('"act"', '"ACT"')), /the file result\.json was changed/],
  ["the result missing", () => rmSync(join(copy, "result.json")), /the file result\.json is missing/],
  ["a file that no entry names", () => { mkdirSync(join(copy, "frames")); writeFileSync(join(copy, "frames", "x.png"), ""); }, /the file frames\/x\.png was added/],
  ["a link that no entry names", () => symlinkSync("job.json", join(copy, "also.json")), /the file also\.json was added/],
];

describe("export", () => {
  it("gives the run folder byte for byte, and a result that inspect gives again byte for byte", async () => {
    for (const name of readdirSync(EXAMPLE)) expect(readFileSync(join(whole, name))).toEqual(readFileSync(join(EXAMPLE, name)));
    expect(readdirSync(whole).filter((name) => !existsSync(join(EXAMPLE, name))).sort()).toEqual(["VERIFY.md", "log.ndjson", "publicKey.pem", "result.json", "seals.ndjson"]);
    expect((await command("inspect", whole, "--out", join(place, "again.json"))).code).toBe(0);
    expect(readFileSync(join(place, "again.json"))).toEqual(readFileSync(join(whole, "result.json")));
  });

  it("the fixture mandible-angle verifies, and inspect of it gives its result byte for byte", async () => {
    const id = (await command("import", join(ROOT, "fixtures", "mandible-angle"))).out.trim();
    const out = join(place, "mandible");
    expect((await command("export", id, "--out", out)).out).toBe(`${out}\n`);
    expect((await command("verify", out)).code).toBe(0);
    await command("inspect", out, "--out", join(place, "again.json"));
    expect(readFileSync(join(place, "again.json"))).toEqual(readFileSync(join(out, "result.json")));
    expect(readFileSync(join(out, "truth.json"))).toEqual(readFileSync(join(ROOT, "fixtures", "mandible-angle", "truth.json")));
  });

  it("refuses a folder with something in it, a file, an unknown run and wrong usage with exit 2, and leaves nothing behind", async () => {
    const before = readdirSync(place).sort();
    expect((await command("export", runId, "--out", copy)).err[0]).toMatch(/^command\.usage: expected a new or empty folder, got .* with 9 entries/);
    expect((await command("export", runId, "--out", join(copy, "job.json"))).err[0]).toMatch(/^command\.usage: expected a folder to be made/);
    expect((await command("export", "nobody", "--out", join(place, "none"))).err[0]).toMatch(/^store\.noRun: /);
    for (const argv of [[], [runId], [runId, "--out", ""], ["a", "b", "--out", "x"], ["--colour"]]) expect((await command("export", ...argv)).err[0]).toMatch(/^command\.usage: /);
    expect(readdirSync(place).sort()).toEqual(before);
    expect((await command("export", "--help")).out).toContain("npm run --silent export -- RUN_ID --out FOLDER");
  });

  it("refuses a run whose kept file was changed beside the database, and the page's check says a missing one", async () => {
    const { sha256 } = read("log.ndjson").map((entry) => entry["payload"] as Json).find(({ name }) => name === "progress.csv") as Json;
    const kept = join(place, "data", "raw", sha256.slice(0, 2), sha256);
    const bytes = readFileSync(kept);
    writeFileSync(kept, Buffer.concat([bytes.subarray(0, -1), Buffer.from("?")]));
    expect((await command("export", runId, "--out", join(place, "none"))).err[0]).toMatch(/^store\.damaged: expected the kept file progress\.csv as it came, got other bytes/);
    rmSync(kept);
    expect(recordOf(runId)).toMatchObject({ whole: false, problem: "the file progress.csv is not kept as it came" });
    writeFileSync(kept, bytes);
    expect(recordOf(runId)).toMatchObject({ whole: true, problem: null, count: 11 });
    expect(existsSync(join(place, "none"))).toBe(false);
  });
});

describe("verify", () => {
  it("says whole with run, counts, head and whose key it is; with the right --key it does not ask to compare", async () => {
    const head = at(read("log.ndjson"), 10)["hash"] as string;
    const { keyId } = at(read("seals.ndjson"), 2);
    const [code, out] = await verify();
    expect([code, out.split("\n")[0]]).toEqual([0, `whole: run ${runId}, 11 entries, 3 seals, 5 files`]);
    expect(out).toContain(`head ${head}`);
    expect(out).toContain(`key ${keyId}: compare it with the one that you know`);
    expect(await verify("--key", join(whole, "publicKey.pem"))).toEqual([0, expect.stringContaining(`key ${keyId}, as given by --key`)]);
  });

  it.each(TAMPERINGS)("finds and names %s", async (_, tamper, names) => {
    tamper();
    const [code, out] = await verify();
    expect(out).toMatch(/^not whole: [^\n]+\n$/);
    expect(out).toMatch(names);
    expect(code).toBe(1);
  });

  it("a chain rewritten with another key is whole by itself and says whose key it is; with --key the two differ", async () => {
    log((e) => relinked(e.map((entry) => ({ ...entry, actor: "me" }))));
    const { privateKey, publicKey } = generateKeyPairSync("ed25519");
    reseal(privateKey, publicKey);
    const own = createHash("sha256").update(publicKey.export({ type: "spki", format: "der" })).digest("hex");
    expect(await verify()).toEqual([0, expect.stringContaining(`key ${own}: compare it`)]);
    expect(await verify("--key", join(whole, "publicKey.pem"))).toEqual([1, expect.stringMatching(new RegExp(`^not whole: the record is sealed with the key ${own}, and --key is [0-9a-f]{64}\n$`))]);
  });

  it("a seal by the right key that no later entry names was added", async () => {
    const { privateKey, publicKey } = generateKeyPairSync("ed25519");
    seals((s) => [{ ...at(s, 0), count: 3 }, ...s]);
    reseal(privateKey, publicKey);
    expect(await verify()).toEqual([1, "not whole: the seal over 3 entries was added: no later entry names it\n"]);
  });

  it("raw data that was dropped later is said by name and hash with exit 0; what no entry gives up is missing", async () => {
    const { privateKey, publicKey } = generateKeyPairSync("ed25519");
    const { sha256 } = read("log.ndjson").map((entry) => entry["payload"] as Json).find(({ name }) => name === "profiles.ndjson") as Json;
    log((e) => { e[10] = { ...at(e, 10), kind: "raw.dropped", payload: { sha256: [sha256], reason: "room" } }; return relinked(e); });
    reseal(privateKey, publicKey);
    rmSync(join(copy, "profiles.ndjson"));
    expect(await verify()).toEqual([0, expect.stringMatching(new RegExp(`4 files\ndropped: profiles\\.ndjson \\(9\\.12 kB, SHA-256 ${sha256}\\)`))]);
    expect(lines().code).toBe(0);
    rmSync(join(copy, "plan.csv"));
    expect(await verify()).toEqual([1, "not whole: the file plan.csv is missing\n"]);
  });

  it("what cannot be read is exit 2 with one line: no folder, no record in it, a key that is none, wrong usage", async () => {
    const cases: readonly [string[], RegExp][] = [
      [[join(place, "nowhere")], /^source\.noFolder: /], [[EXAMPLE], /^log\.noRecord: /], [[copy, "--key", join(copy, "job.json")], /^log\.badKey: /],
      [[copy, "--key", join(place, "nokey")], /^log\.badKey: /], [[], /^command\.usage: /], [["a", "b"], /^command\.usage: /],
    ];
    for (const [argv, expected] of cases) {
      const { code, out, err } = await command("verify", ...argv);
      expect([code, out, err.length]).toEqual([2, "", 1]);
      expect(err[0]).toMatch(expected);
    }
    expect((await command("verify", "--help")).out).toContain("npm run --silent verify -- FOLDER [--key publicKey.pem]");
  });
});

const MISSING = ["jq", "openssl", "sha256sum"].filter((tool) => spawnSync(tool, ["--version"]).error !== undefined);

/** The lines of VERIFY.md, run as they stand there. */
function lines(): { readonly code: number | null; readonly out: string } {
  const script = /^```sh\n([\s\S]*?)^```/m.exec(readFileSync(join(copy, "VERIFY.md"), "utf8"))?.[1] ?? "exit 99";
  const { status, stdout } = spawnSync("sh", ["-c", script], { cwd: copy, encoding: "utf8" });
  return { code: status, out: stdout };
}

describe.skipIf(MISSING.length > 0)(`the lines of VERIFY.md${MISSING.length > 0 ? ` (skipped: no ${MISSING.join(", ")} here)` : ""}`, () => {
  it("are a dozen, and say whole with the same head and key as verify, with notes beyond ASCII in the log", async () => {
    expect(/^```sh\n([\s\S]*?)^```/m.exec(readFileSync(join(copy, "VERIFY.md"), "utf8"))?.[1]?.trimEnd().split("\n")).toHaveLength(12);
    const { code, out } = lines();
    expect(out).toBe(`whole: 11 entries, head ${at(read("log.ndjson"), 10)["hash"]}, key ${at(read("seals.ndjson"), 0)["keyId"]}\n`);
    expect(code).toBe(0);
  });

  // Spaces in an entry and files or seals that nobody names change nothing that was sealed; jq reads over the first, and the lines do not look for the others.
  const beyond = ["spaces in an entry", "a file that no entry names", "a link that no entry names"];
  it.each(TAMPERINGS.filter(([what]) => !beyond.includes(what)))("fail on %s", (_, tamper) => {
    tamper();
    expect(lines().code).not.toBe(0);
  });
});

describe("a key that was changed", () => {
  it("both keys go with the export, each seal is checked by its own, and --key is the newest", async () => {
    const own = join(place, "own.pem");
    const { privateKey, publicKey } = generateKeyPairSync("ed25519");
    writeFileSync(own, privateKey.export({ type: "pkcs8", format: "pem" }));
    await closeSharedStore();
    process.env["ASLAID_SIGNING_KEY"] = own;
    const { addNote } = await import("../../lib/server/dispositions.ts");
    addNote(runId, { layer: 1, strand: 1, sMm: 0, text: "after the change" }, "M. Ort");
    rmSync(copy, { recursive: true });
    expect((await command("export", runId, "--out", copy)).code).toBe(0);
    writeFileSync(join(place, "own-public.pem"), publicKey.export({ type: "spki", format: "pem" }));
    expect((await verify("--key", join(place, "own-public.pem")))[0]).toBe(0);
    expect((await verify("--key", join(whole, "publicKey.pem")))[1]).toContain("not whole: the record is sealed with the key");
    if (MISSING.length === 0) expect(lines().code).toBe(0);
    seals((s) => { at(s, 0)["signature"] = at(s, 1)["signature"]; });
    expect((await verify())[1]).toContain("the seal over 7 entries is forged");
  });
});
