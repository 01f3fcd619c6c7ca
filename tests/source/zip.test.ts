/** Zips written by tests/support/madeZip.ts: honest ones, and one of each kind that is refused. */
import { existsSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError, type Place } from "../../lib/base/errors.ts";
import { runFolderIn, STAGE_LIMITS, type StageLimits } from "../../lib/source/stage.ts";
import { unpackZip } from "../../lib/source/zip.ts";
import { madeZip, type ZipEntry } from "../support/madeZip.ts";
import { tempFolder } from "../support/tempStore.ts";

let folder: string;
let into: string;
beforeEach(() => {
  folder = tempFolder();
  into = join(folder, "into");
  mkdirSync(into);
});
afterEach(() => { rmSync(folder, { recursive: true, force: true }); });

const job: ZipEntry = { name: "job.json", data: "{}" };

async function unpack(zip: Uint8Array, limits: Partial<StageLimits> = {}, signal = new AbortController().signal): Promise<{ fileCount: number; byteCount: number }> {
  const path = join(folder, "run.zip");
  writeFileSync(path, zip);
  const staged = { fileCount: 0, byteCount: 0 };
  await unpackZip({ path, file: "run.zip", into, limits: { ...STAGE_LIMITS, ...limits }, signal, staged });
  return staged;
}

async function refusal(zip: Uint8Array, limits: Partial<StageLimits> = {}): Promise<{ code: string; place: Place; message: string }> {
  try {
    await unpack(zip, limits);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { code: error.code, place: error.place, message: error.message };
  }
  throw new Error("it was not refused");
}

describe("an honest zip", () => {
  it("of a run inside one top folder is unpacked byte for byte, deflated and stored, and that folder is the run", async () => {
    const bytes = Uint8Array.from({ length: 70_001 }, (_, i) => (i * 31) % 251);
    const staged = await unpack(madeZip([{ name: "block 12/", mode: 0o40755 }, { ...job, name: "block 12/job.json" }, { name: "block 12/profiles.arrow", data: bytes, method: 0 }, { name: "block 12/frames/ä.png", data: "png" }]));
    expect(staged).toEqual({ fileCount: 3, byteCount: 70_006 });
    expect(await runFolderIn(into)).toBe(join(into, "block 12"));
    expect(new Uint8Array(readFileSync(join(into, "block 12/profiles.arrow")))).toEqual(bytes);
    expect(readFileSync(join(into, "block 12/frames/ä.png"), "utf8")).toBe("png");
  });

  it("of a run without a top folder is the run itself; \"./\" before a name and an empty file are fine", async () => {
    await unpack(madeZip([{ ...job, name: "./job.json" }, { name: "signals.csv" }]));
    expect(await runFolderIn(into)).toBe(into);
    expect(readdirSync(into).sort()).toEqual(["job.json", "signals.csv"]);
    expect(readFileSync(join(into, "signals.csv"))).toHaveLength(0);
  });

  it("made on a Mac or on Windows loses its resource forks and thumbnails, and the run's folder is still found", async () => {
    await unpack(madeZip([{ ...job, name: "run/job.json" }, { name: "__MACOSX/run/._job.json", data: "fork" }, { name: ".DS_Store", data: "view" }, { name: "run/Thumbs.db", data: "small" }]));
    expect(await runFolderIn(into)).toBe(join(into, "run"));
    expect(readdirSync(join(into, "run"))).toEqual(["job.json"]);
  });

  it("of 24 MB of blanks, which deflate to a thousandth, is taken", async () => {
    expect((await unpack(madeZip([{ name: "profiles.ndjson", data: Buffer.alloc(24e6, "null,") }]))).byteCount).toBe(24e6);
  });
});

describe("a path that leaves the run folder is refused and writes nothing outside", () => {
  it.each(["../evil.csv", "run/../../evil.csv", "/evil.csv", "C:evil.csv", "c:/evil.csv", "..\\evil.csv", "run\\evil.csv", "run//evil.csv", "evil\0.csv", "evil\n.csv", "..", "../", `${"a".repeat(256)}.csv`, `${"long/".repeat(210)}a`])("%j", async (name) => {
    const { code, place } = await refusal(madeZip([job, { name, data: "evil" }]));
    expect([code, place]).toEqual(["source.pathLeaves", { file: name }]);
    expect(existsSync(join(dirname(into), "evil.csv"))).toBe(false);
    expect(readdirSync(into)).toEqual(["job.json"]);
  });
});

describe("an entry that is no plain file is refused by name", () => {
  it.each<[string, ZipEntry, string]>([
    ["a symbolic link", { name: "plan.csv", data: "/etc/passwd", mode: 0o120777 }, "a symbolic link"],
    ["a named pipe", { name: "plan.csv", mode: 0o10644 }, "a special file"],
    ["an encrypted one", { name: "plan.csv", data: "0123456789abplan", method: 0, flags: 0x801, statedSize: 4 }, "an encrypted one"],
    ["one compressed by method 12 (bzip2)", { name: "plan.csv", data: "plan", method: 12 }, "compression method 12"],
  ])("%s", async (_, entry, got) => {
    const { code, place, message } = await refusal(madeZip([job, entry]));
    expect([code, place]).toEqual(["source.zipEntry", { file: "plan.csv" }]);
    expect(message).toContain(`got ${got}`);
    expect(existsSync(join(into, "plan.csv"))).toBe(false);
  });

  it.each([["the same name twice", "job.json", "job.json"], ["a file where a folder is", "frames/1.png", "frames"], ["a folder where a file is", "frames", "frames/1.png"]])("%s", async (_, first, second) => {
    const { code, place } = await refusal(madeZip([{ name: first, data: "1" }, { name: second, data: "2" }]));
    expect([code, place]).toEqual(["source.twice", { file: second }]);
  });
});

describe("limits, counted while inflating", () => {
  it("3 entries pass a limit of 3, 4 do not", async () => {
    const entries = ["a", "b", "c", "d"].map((name): ZipEntry => ({ name, data: name }));
    expect((await unpack(madeZip(entries.slice(1)), { mostFiles: 3 })).fileCount).toBe(3);
    expect(await refusal(madeZip(entries), { mostFiles: 3 })).toMatchObject({ code: "source.tooMany", place: { file: "run.zip" } });
  });

  it("a file of 1 000 bytes passes a limit of 1 000, one of 1 001 does not", async () => {
    const limits = { mostFileBytes: 1000 };
    expect((await unpack(madeZip([{ name: "on", data: Buffer.alloc(1000) }]), limits)).byteCount).toBe(1000);
    expect(await refusal(madeZip([{ name: "over", data: Buffer.alloc(1001) }]), limits)).toMatchObject({ code: "source.tooLarge", place: { file: "over" } });
  });

  it("600 and 401 bytes are over 1 000 together", async () => {
    const { code, place, message } = await refusal(madeZip([{ name: "a", data: Buffer.alloc(600) }, { name: "b", data: Buffer.alloc(401) }]), { mostBytes: 1000 });
    expect([code, place]).toEqual(["source.tooLarge", { file: "b" }]);
    expect(message).toBe("expected at most 1.00 kB in all files together, got more (at b)");
  });

  it("a bomb of 40 MB of zeros in 40 kB is refused before it is written", async () => {
    const { code, place, message } = await refusal(madeZip([{ name: "bomb", data: Buffer.alloc(40e6) }]));
    expect([code, place]).toEqual(["source.tooLarge", { file: "bomb" }]);
    expect(message).toMatch(/^expected a zip of 3\d\.\d kB that unpacks to at most 32\.0 MB, got more/);
    expect(readdirSync(into)).toEqual([]);
  });

  it("a bomb in eleven parts of 3 MB is refused at the part that crosses 32 MB", async () => {
    const part = Buffer.alloc(3e6);
    const { code, place } = await refusal(madeZip(Array.from({ length: 12 }, (_, i) => ({ name: `part-${i + 1}`, data: part }))));
    expect([code, place]).toEqual(["source.tooLarge", { file: "part-11" }]);
  });

  it("a bomb of 40 MB that states 10 bytes is refused, and at most one chunk of it was written", async () => {
    const { code, place } = await refusal(madeZip([{ name: "liar", data: Buffer.alloc(40e6), statedSize: 10 }]));
    expect([code, place]).toEqual(["source.zipDamaged", { file: "liar" }]);
    expect(readFileSync(join(into, "liar")).length).toBeLessThanOrEqual(65_536);
  });
});

describe("what is no whole zip", () => {
  const whole = madeZip([job, { name: "profiles.ndjson", data: Array.from({ length: 4000 }, (_, i) => `${(i * 7919) % 1009}`).join() }]);

  it("a text and an empty file are no zip", async () => {
    expect(await refusal(Buffer.from("layer,strand,x_mm"))).toMatchObject({ code: "source.notZip", place: { file: "run.zip" } });
    expect(await refusal(Buffer.alloc(0))).toMatchObject({ code: "source.notZip", place: { file: "run.zip" } });
  });

  it("cut off at any of 40 places it is damaged, whatever was cut", async () => {
    for (let part = 1; part <= 40; part++) {
      const { code } = await refusal(whole.subarray(0, Math.ceil((whole.length * part) / 41)));
      expect(code).toBe("source.zipDamaged");
      rmSync(into, { recursive: true });
      mkdirSync(into);
    }
  });

  it("content that is not what its checksum says is damaged, with the entry named", async () => {
    expect(await refusal(madeZip([job, { name: "plan.csv", data: "plan", crc: 12_345 }]))).toMatchObject({ code: "source.zipDamaged", place: { file: "plan.csv" } });
  });

  it("a flipped byte anywhere in the first file's packed bytes is found", async () => {
    const text = "layer,strand\n1,1\n";
    const zip = madeZip([{ name: "a", data: text }]);
    for (let at = 31; at < zip.indexOf("PK\u0001\u0002"); at++) {
      const flipped = Buffer.from(zip);
      flipped[at] = (flipped[at] as number) ^ 0x55;
      const { code, place } = await refusal(flipped);
      expect([code, place]).toEqual(["source.zipDamaged", { file: "a" }]);
      rmSync(join(into, "a"));
    }
  });
});

it("unpacking stops where it is told to, with the reason it was given", async () => {
  const controller = new AbortController();
  controller.abort(new Error("cancelled"));
  await expect(unpack(madeZip([job]), {}, controller.signal)).rejects.toThrow("cancelled");
  expect(readdirSync(into)).toEqual([]);
});
