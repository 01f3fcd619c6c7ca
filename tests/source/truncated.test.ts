import * as fc from "fast-check";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { Device } from "../../lib/model/job.ts";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import { ArrowCursor } from "../../lib/source/arrowCursor.ts";
import { NdjsonCursor } from "../../lib/source/ndjsonCursor.ts";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { WarningLog } from "../../lib/source/warningLog.ts";
import { arrow, collect, jobJson, ndjson, profileRow, profileRows, profilesOf, runFolder } from "./runFolder.ts";

const DEVICES: readonly Device[] = resolveJob(jobJson(), "job.json").job.devices;

/** Reads profile bytes through the cursor of their kind. */
async function readBytes(bytes: Uint8Array, name: string): Promise<{ profiles: ProfileMessage[]; log: WarningLog }> {
  const folder = await mkdtemp(join(tmpdir(), "aslaid-cut-"));
  const path = join(folder, name);
  const log = new WarningLog();
  const reading = { devices: DEVICES, isLayerRequired: false, warnings: log };
  const source = { path, file: name, deviceInName: null };
  const cursor = name.endsWith(".arrow") ? new ArrowCursor(source, reading) : new NdjsonCursor(source, reading);
  try {
    await writeFile(path, bytes);
    const profiles: ProfileMessage[] = [];
    for (let batch = await cursor.refill(); batch !== null; batch = await cursor.refill()) profiles.push(...batch.map((m) => ({ ...m, zMm: m.zMm.slice() })));
    return { profiles, log };
  } finally {
    await cursor.close();
    await rm(folder, { recursive: true });
  }
}

/** Where each message of a stream ends: of the schema, then of each record batch. */
function messageEnds(bytes: Uint8Array): number[] {
  // the length of the whole without its last message is that of a stream of fewer batches, less the 8 bytes of the end marker
  return [0, 2, 4, 6].map((rows) => (rows === 0 ? arrow([]) : arrow(profileRows(rows), { sizes: [2] })).length - 8).map((end) => Math.min(end, bytes.length));
}

describe("an Arrow stream that breaks off", () => {
  const ROWS = profileRows(6);
  const whole = arrow(ROWS, { sizes: [2] });
  const ends = messageEnds(whole);

  it("gives as many whole batches as it holds and one warning, cut at each of its bytes (every 7th, and around each message's end)", async () => {
    const cuts = new Set(Array.from({ length: Math.ceil(whole.length / 7) }, (_, i) => i * 7));
    for (const end of ends) for (const step of [-1, 0, 1, 4, 7]) cuts.add(end + step);
    const wrong: number[] = [];
    for (const cut of [...cuts].filter((c) => c >= 0 && c < whole.length)) {
      const { profiles, log } = await readBytes(whole.subarray(0, cut), "profiles.arrow");
      const batches = ends.slice(1).filter((end) => end <= cut).length;
      const isRight = profiles.length === 2 * batches && log.list.length === 1 && log.list[0]?.code === "sensing.truncated";
      if (!isRight) wrong.push(cut);
    }
    expect(wrong).toEqual([]);
  });

  it("says after which record batch it broke off", async () => {
    const { profiles, log } = await readBytes(whole.subarray(0, ends[2]), "profiles.arrow");
    expect(profiles.map((p) => p.seq)).toEqual([0, 1, 2, 3]);
    expect(log.list).toEqual([{ code: "sensing.truncated", message: "profiles.arrow breaks off after record batch 2; it is read as far as whole messages reach", file: "profiles.arrow" }]);
  });

  it("gives no warning with its end marker, and bytes after the marker are not read", async () => {
    const padded = new Uint8Array(whole.length + 5);
    padded.set(whole);
    for (const bytes of [whole, padded]) {
      const { profiles, log } = await readBytes(bytes, "profiles.arrow");
      expect([profiles.length, log.list]).toEqual([6, []]);
    }
  });

  it("may be an Arrow file cut in its footer: what stands before is not lost without a word", async () => {
    const file = arrow(ROWS, { sizes: [2], format: "file" });
    const results = [];
    for (let cut = 0; cut < file.length; cut += 61) results.push(await readBytes(file.subarray(0, cut), "profiles.arrow").then((r) => r.log.list.length, (e: { code?: string }) => e.code));
    expect(results.filter((result) => result !== 1 && result !== "sensing.notArrow")).toEqual([]);
  });

  it.each(["hello world", "ARROWS", "{}", "\xff\xff\xff\xfe00000000"])("is not taken for one where the file is %j", async (text) => {
    await expect(readBytes(Buffer.from(text, "latin1"), "profiles.arrow")).rejects.toMatchObject({ code: "sensing.notArrow", place: { file: "profiles.arrow" } });
  });

  it("with flipped bytes ends in an InputError or reads on, never in another error (seed 5, 200 flips)", async () => {
    const flipped = async (at: number, bit: number): Promise<string> => {
      const bytes = whole.slice();
      bytes[at] = (bytes[at] as number) ^ (1 << bit);
      return readBytes(bytes, "profiles.arrow").then(() => "read", (error: Error) => error.name);
    };
    await fc.assert(fc.asyncProperty(fc.integer({ min: 0, max: whole.length - 1 }), fc.integer({ min: 0, max: 7 }), async (at, bit) => {
      expect(["read", "InputError"]).toContain(await flipped(at, bit));
    }), { seed: 5, numRuns: 200 });
  });
});

describe("an Arrow stream in other batch sizes", () => {
  it("gives equal profiles (seed 9, 40 divisions of 40 rows)", async () => {
    const rows = profileRows(40);
    const { profiles: expected } = await readBytes(arrow(rows, { sizes: [40] }), "profiles.arrow");
    await fc.assert(fc.asyncProperty(fc.array(fc.integer({ min: 1, max: 17 }), { minLength: 1, maxLength: 8 }), fc.constantFrom("nan" as const, "null" as const), async (sizes, missing) => {
      const { profiles, log } = await readBytes(arrow(rows, { sizes, missing }), "profiles.arrow");
      expect(profiles).toEqual(expected);
      expect(log.list).toEqual([]);
    }), { seed: 9, numRuns: 40 });
  });
});

describe("NDJSON that breaks off", () => {
  const ROWS = profileRows(4);
  const whole = Buffer.from(ndjson(ROWS));
  const lineEnds = [...whole.entries()].filter(([, byte]) => byte === 10).map(([i]) => i);

  it("gives the whole lines before, cut at each of its bytes, and one warning where it is in mid-line", async () => {
    const wrong: number[] = [];
    for (let cut = 0; cut < whole.length; cut++) {
      const { profiles, log } = await readBytes(whole.subarray(0, cut), "profiles.ndjson");
      const wholeLines = lineEnds.filter((end) => end <= cut).length; // a line is whole without its line feed, too
      const isMidLine = cut === 0 || (!lineEnds.includes(cut) && !lineEnds.includes(cut - 1));
      const line = wholeLines + 1;
      const warned = log.list.map((w) => [w.code, w.line]);
      const isRight = profiles.length === Math.max(0, wholeLines - 1) && JSON.stringify(warned) === JSON.stringify(isMidLine ? [["sensing.truncated", line]] : []);
      if (!isRight) wrong.push(cut);
    }
    expect(wrong).toEqual([]);
  });

  it("says line 3 where that one broke off", async () => {
    const run = await openRunFolder(await runFolder({ "profiles.ndjson": whole.subarray(0, (lineEnds[1] as number) + 30) }));
    expect(profilesOf(await collect(run.messages())).map((p) => p.seq)).toEqual([0]);
    expect(run.warnings).toEqual([{ code: "sensing.truncated", message: "profiles.ndjson breaks off in line 3; it is read as far as whole messages reach", file: "profiles.ndjson", line: 3 }]);
  });

  it("is an error, not a break, where the last line is no beginning of JSON", async () => {
    await expect(readBytes(Buffer.from(`${ndjson(ROWS)}not json`), "profiles.ndjson")).rejects.toMatchObject({ code: "sensing.notJson", place: { file: "profiles.ndjson", line: 6 } });
    await expect(readBytes(Buffer.from(`${ndjson(ROWS)}{"seq":9\n`), "profiles.ndjson")).rejects.toMatchObject({ code: "sensing.notJson", place: { line: 6 } });
  });

  it("gives equal profiles however lines lie across blocks of 1 MB", async () => {
    const rows = Array.from({ length: 9000 }, (_, seq) => profileRow(seq, 0.001));
    const { profiles } = await readBytes(Buffer.from(ndjson(rows)), "profiles.ndjson");
    expect(ndjson(rows).length).toBeGreaterThan(1 << 20);
    expect(profiles.map((p) => [p.seq, p.tS, p.zMm[4]])).toEqual(rows.map((r) => [r.seq, r.tS, r.zMm[4]]));
  });
});

describe("a CSV stream that breaks off", () => {
  const HEAD = "t_s,layer,strand,s_mm,event\n";
  const rows = HEAD + "0.5,1,1,0,start\n0.75,1,1,2.5,update";
  it.each([[",up", 1], ["", 1], ["0.75,1,1", 1], ["\n", 0]] as const)("in its last row (ending %j) is read as far as whole rows reach, with %i warnings", async (end, warnings) => {
    const text = end === "\n" ? `${rows}\n` : end.startsWith("0") ? rows.replace(/0\.75.*$/, end) : rows.replace(/,update$/, end === "" ? "," : end);
    const run = await openRunFolder(await runFolder({ "profiles.ndjson": ndjson([]), "progress.csv": text }));
    expect(await collect(run.messages())).toHaveLength(2 - warnings);
    expect(run.warnings.map((w) => [w.code, w.file, w.line])).toEqual(warnings === 0 ? [] : [["sensing.truncated", "progress.csv", 3]]);
  });

  it("is an error where its last row is nonsense or short and ended", async () => {
    for (const [end, code] of [["0.75,1,1,2.5,stop", "sensing.badValue"], ["0.75,1,1\n", "sensing.badValue"], ["0.75,1,x,2.5,update", "sensing.badNumber"]] as const) {
      const run = await openRunFolder(await runFolder({ "profiles.ndjson": ndjson([]), "progress.csv": `${HEAD}0.5,1,1,0,start\n${end}` }));
      await expect(collect(run.messages())).rejects.toMatchObject({ code, place: { file: "progress.csv", line: 3 } });
    }
  });
});
