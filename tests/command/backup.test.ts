/** A backup and its way back: while a print streams in, elsewhere, damaged, and where something was not whole before. */
import { chmodSync, cpSync, existsSync, mkdirSync, readFileSync, readdirSync, rmSync, statSync, truncateSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { backupTo } from "../../lib/server/backup/backup.ts";
import { resultSoFar } from "../../lib/server/live/settle.ts";
import { recordOf } from "../../lib/server/record.ts";
import { closeSharedStore, newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { rawPath } from "../../lib/store/rawFiles.ts";
import { runsIn } from "../../lib/store/snapshot.ts";
import { command, ownData, recordedExample } from "../support/recorded.ts";
import { startLiveServer, type LiveServer } from "../support/liveServer.ts";
import { bodiesOf } from "../support/wireClient.ts";

const data = ownData();
let runId = "", file = "", target = "", number = 0;
beforeAll(async () => { runId = await recordedExample(); });
beforeEach(async () => {
  await use(join(data.place, "data"));
  file = join(data.place, `backup-${++number}.zip`);
  target = join(data.place, `restored-${number}`);
});
afterAll(() => data.restore());

/** From now on the program works in this data folder. */
async function use(folder: string): Promise<void> {
  await closeSharedStore();
  process.env["ASLAID_DATA"] = folder;
}
async function restored(from = file): Promise<{ code: number; out: string; err: readonly string[] }> {
  await use(target);
  return command("restore", from);
}
async function exported(id: string, out: string): Promise<Record<string, string>> {
  expect((await command("export", id, "--out", out)).code).toBe(0);
  expect((await command("verify", out)).code).toBe(0);
  return Object.fromEntries(readdirSync(out, { recursive: true, withFileTypes: true }).filter((entry) => entry.isFile()).map((entry) => [entry.name, readFileSync(join(entry.parentPath, entry.name), "latin1")]));
}

describe("a backup", () => {
  it("restored elsewhere gives the same export, byte for byte, and goes on being sealed with the same key", async () => {
    const before = await exported(runId, join(data.place, "before"));
    const made = await command("backup", file);
    expect([made.code, made.out]).toEqual([0, `${file}\n`]);
    expect(made.err[0]).toMatch(/^1 run, .* The key that seals is in it\.$/);
    expect(statSync(file).mode & 0o777).toBe(0o600);
    const back = await restored();
    expect([back.code, back.out]).toEqual([0, `${target}\n`]);
    expect(recordOf(runId)).toMatchObject({ whole: true, problem: null });
    expect(await exported(runId, join(data.place, "after"))).toEqual(before);
    const { count } = recordOf(runId);
    const { addNote } = await import("../../lib/server/dispositions.ts");
    addNote(runId, { layer: 1, strand: 1, sMm: 1, text: "after" }, "M. Ort");
    expect([recordOf(runId).count - count, readEntriesOf(sharedStore().db, runId, "key.changed").length]).toEqual([2, 0]);
    expect([readdirSync(data.place).filter((name) => name.startsWith(".")), statSync(join(target, "signing-key.pem")).mode & 0o777]).toEqual([[], 0o600]);
  });

  it("without a key of one's own says so, and a restored run that is then sealed with another says that the key was changed", async () => {
    const own = join(data.place, "own.pem");
    cpSync(join(data.place, "data", "signing-key.pem"), own);
    process.env["ASLAID_SIGNING_KEY"] = own;
    const made = await command("backup", file);
    process.env["ASLAID_SIGNING_KEY"] = "";
    expect(made.err[0]).toMatch(/is a file of your own and is not in it: keep it yourself\.$/);
    const back = await restored();
    expect(back.err[1]).toMatch(/^The key that sealed, [0-9a-f]{64}, is not in the backup: set ASLAID_SIGNING_KEY/);
    const { addNote } = await import("../../lib/server/dispositions.ts");
    addNote(runId, { layer: 1, strand: 1, sMm: 1, text: "after" }, "M. Ort");
    expect(readEntriesOf(sharedStore().db, runId, "key.changed")).toHaveLength(1);
    expect(recordOf(runId).whole).toBe(true);
  });

  it("writes over nothing: not a file, and not a data folder with something in it; wrong usage is exit 2", async () => {
    writeFileSync(file, "mine");
    expect((await command("backup", file)).err[0]).toMatch(/^command\.usage: expected a file to be made, got one that is there already/);
    expect(readFileSync(file, "utf8")).toBe("mine");
    expect((await command("backup", join(data.place, "nowhere", "b.zip"))).err[0]).toMatch(/^command\.usage: /);
    for (const argv of [[], ["a", "b"], ["--colour"], [""]]) for (const name of ["backup", "restore"]) expect((await command(name, ...argv)).err[0]).toMatch(/^command\.usage: /);
    rmSync(file);
    await command("backup", file);
    mkdirSync(target);
    writeFileSync(join(target, "mine.txt"), "mine");
    expect((await restored()).err[0]).toMatch(/^command\.usage: expected a new or empty data folder, got .* with 1 entry: nothing is written over/);
    expect(readdirSync(target)).toEqual(["mine.txt"]);
    expect((await restored(join(data.place, "none.zip"))).err[0]).toMatch(/^command\.usage: expected a file that backup made, got none there/);
    for (const name of ["backup", "restore"]) expect((await command(name, "--help")).out).toContain(`npm run --silent ${name} -- FILE`);
  });
});

describe("a damaged backup is refused, the first damage named, and nothing restored:", () => {
  const whole = async (): Promise<Buffer> => {
    expect((await command("backup", file)).code).toBe(0);
    return readFileSync(file);
  };
  const refusal = async (): Promise<string> => {
    const { code, err } = await restored();
    return `${code} ${err.at(-1)} ${existsSync(target) ? "something is there" : ""}`.trim();
  };
  /** Changes one byte of a file's content in the zip: they are stored, so their bytes are found as they are. */
  const changed = (zip: Buffer, content: Buffer): void => {
    const at = zip.indexOf(content);
    zip[at + content.length - 2] = (zip[at + content.length - 2] as number) ^ 1;
    writeFileSync(file, zip);
  };

  it("one bit of a raw file", async () => {
    const zip = await whole(), { sha256 } = readEntriesOf(sharedStore().db, runId, "raw.kept").find(({ payload }) => payload.name === "progress.csv")?.payload ?? { sha256: "" };
    changed(zip, readFileSync(rawPath(sharedStore().raw, sha256)));
    expect(await refusal()).toMatch(new RegExp(`^2 source\\.zipDamaged: expected the content that its checksum says, got another \\(at raw/${sha256.slice(0, 2)}/${sha256}\\)$`));
  });

  it("one bit of the database", async () => {
    const zip = await whole();
    changed(zip, Buffer.from("SQLite format 3\0"));
    expect(await refusal()).toMatch(/^2 source\.zipDamaged: .* \(at aslaid\.db\)$/);
  });

  it("the file cut off in its middle, and a file that is no zip", async () => {
    const zip = await whole();
    truncateSync(file, Math.floor(zip.length / 2));
    expect(await refusal()).toMatch(/^2 source\.zipDamaged: expected a whole zip/);
    writeFileSync(file, "no zip at all");
    expect(await refusal()).toMatch(/^2 source\.notZip: /);
  });
});

describe("a data folder in which something is not whole", () => {
  it("is backed up with exit 1, said on stderr, and restored as little whole as it was", async () => {
    const { sha256 } = readEntriesOf(sharedStore().db, runId, "raw.kept").find(({ payload }) => payload.name === "plan.csv")?.payload ?? { sha256: "" }, path = rawPath(sharedStore().raw, sha256), bytes = readFileSync(path);
    chmodSync(path, 0o644);
    writeFileSync(path, Buffer.concat([bytes.subarray(0, -1), Buffer.from("?")]));
    try {
      const made = await command("backup", file);
      expect([made.code, made.err.at(-1)]).toEqual([1, `Not whole already: the bytes of raw/${sha256.slice(0, 2)}/${sha256} are not those of its name.`]);
      rmSync(file);
      rmSync(path);
      const without = await command("backup", file);
      expect([without.code, without.err.at(-1)]).toEqual([1, `Not whole already: run ${runId}: the file plan.csv is not kept as it came.`]);
    } finally {
      writeFileSync(path, bytes);
    }
    const back = await restored();
    expect([back.code, back.err.at(-1)]).toEqual([1, `Not whole when it was backed up: run ${runId}: the file plan.csv is not kept as it came.`]);
    expect(recordOf(runId).problem).toBe("the file plan.csv is not kept as it came");
  });
});

describe("a backup while a print of 2 layers streams in, seed 41", () => {
  let live: LiveServer, folder = "";
  beforeAll(async () => {
    folder = (await command("rehearse", "--out", join(data.place, "print"), "--seed", "41", "--strands", "3", "--length", "8", "--layers", "2", "--points", "120", "--dx", "0.1", "--format", "ndjson", "--fault", "gap@1/2/3-6")).out.trim();
    live = await startLiveServer();
  }, 120_000);
  afterAll(() => live.close());

  it("taken five times on the way, each is whole when it is restored; the journals are beginnings of one another, and the fourth can be measured; the last, of the run that is over, has its very result", async () => {
    const bodies = bodiesOf(folder, 20), { json } = await live.client.call("POST", "/runs", { type: "application/json", text: JSON.stringify({ job: JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as object, planText: readFileSync(join(folder, "plan.csv"), "utf8"), planFormat: "csv" }) });
    const id = (json as { runId: string }).runId, taken: string[] = [];
    let sending = Promise.resolve(0);
    for (const [i, body] of bodies.entries()) {
      sending = sending.then(async (sent) => { await live.client.send(id, body); return sent + 1; });
      if (i % Math.ceil(bodies.length / 4) !== 0) continue;
      const path = join(data.place, `live-${taken.length}.zip`);
      await Promise.all([sending, backupTo(live.store, { dataFolder: live.folder, file: path, ownKey: false, version: "0.0.1", newId, nowIso, heard: () => undefined })]);
      taken.push(path);
    }
    const sent = await sending;
    await live.client.call("POST", `/runs/${id}/finish`);
    const last = join(data.place, "live-over.zip");
    await backupTo(live.store, { dataFolder: live.folder, file: last, ownKey: false, version: "0.0.1", newId, nowIso, heard: () => undefined });
    const result = readFileSync(rawPath(live.store.raw, readEntriesOf(live.store.db, id, "result.computed")[0]?.payload.sha256 ?? ""), "utf8");
    expect([sent, taken.length]).toEqual([bodies.length, 4]);
    let journal = Buffer.alloc(0);
    for (const [i, path] of [...taken, last].entries()) {
      target = join(data.place, `live-restored-${i}`);
      expect((await restored(path)).code).toBe(0);
      expect([recordOf(id).whole, runsIn(sharedStore().db).map(({ isOpen }) => isOpen)]).toEqual([true, [path !== last]]);
      if (path === last) break;
      const longer = readFileSync(join(target, "live", id, "journal"));
      expect([longer.length >= journal.length, longer.subarray(0, journal.length).equals(journal)]).toEqual([true, true]);
      journal = longer;
      if (i === taken.length - 1) expect(JSON.parse(await resultSoFar({ dataFolder: target, runId: id }, journal.length))).toMatchObject({ contract: "aslaid/1" });
    }
    expect(journal.length).toBeGreaterThan(10_000);
    expect(readFileSync(rawPath(sharedStore().raw, readEntriesOf(sharedStore().db, id, "result.computed")[0]?.payload.sha256 ?? ""), "utf8")).toBe(result);
    expect(existsSync(join(target, "live", id, "journal"))).toBe(false);
  });
});
