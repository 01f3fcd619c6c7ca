/** Runs on their way in, on a real database: fixtures/example-run as a folder and as a zip, and every way not to arrive. */
import { execFileSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { PassThrough, Readable } from "node:stream";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { InputError, type InputCode } from "../../lib/base/errors.ts";
import type { ImportOffer, ImportState } from "../../lib/model/importState.ts";
import { inspectRun } from "../../lib/run/inspectRun.ts";
import { importRun } from "../../lib/server/importRun.ts";
import { bodyOf } from "../../lib/server/offer.ts";
import { withBreaths } from "../../lib/server/sharedUploads.ts";
import { makeUploads, MOST_OPEN, type BringInOptions, type Uploads, type UploadSettings } from "../../lib/server/uploads.ts";
import { STAGE_LIMITS } from "../../lib/source/stage.ts";
import { madeZip } from "../support/madeZip.ts";
import { NOW_UNIX_MS, tempStore, type TempStore } from "../support/tempStore.ts";

const EXAMPLE = resolve(import.meta.dirname, "../../fixtures/example-run");
const FILES = readdirSync(EXAMPLE).map((name) => ({ path: `example-run/${name}`, data: readFileSync(join(EXAMPLE, name)) }));
const SILENCE_MS = 5000;
const KEPT_MS = 70_000;

type Sent = readonly { readonly path: string; readonly data: Uint8Array }[];

let temp: TempStore;
let staging: string;
let complaints: unknown[];
beforeEach(() => {
  temp = tempStore();
  staging = join(temp.folder, "staging");
  complaints = [];
});
afterEach(async () => {
  vi.useRealTimers();
  await temp.remove();
});

function bringIn(folder: string, actor: string, options: BringInOptions) {
  return importRun(temp.store, {
    folder, demo: false, actor, newId: temp.newId, signal: options.signal, heard: (doneBytes, allBytes) => options.heardReading(doneBytes / allBytes), nowIso: () => new Date(NOW_UNIX_MS).toISOString(),
    inspect: (opened) => inspectRun({ ...opened, messages: () => withBreaths(opened.messages(), options) }),
  });
}

function made(more: Partial<UploadSettings> = {}): Uploads {
  return makeUploads({ stagingFolder: staging, newId: temp.newId, limits: STAGE_LIMITS, silenceMs: SILENCE_MS, keptMs: KEPT_MS, bringIn, complain: (error) => complaints.push(error), ...more });
}

function offerOf(files: Sent, kind: ImportOffer["kind"] = "folder"): ImportOffer {
  return { kind, name: kind === "zip" ? "example.zip" : "example-run", fileCount: files.length, byteCount: files.reduce((total, { data }) => total + data.length, 0) };
}

async function begun(uploads: Uploads, files: Sent = FILES, kind: ImportOffer["kind"] = "folder"): Promise<string> {
  return (await uploads.begin(offerOf(files, kind), "Dana Reyes")).importId;
}

async function send(uploads: Uploads, id: string, files: Sent): Promise<void> {
  for (const { path, data } of files) await uploads.putFile(id, path, Readable.from([data]));
}

async function over(uploads: Uploads, id: string): Promise<ImportState> {
  await vi.waitUntil(() => ["done", "failed", "cancelled"].includes(uploads.read(id).step), { timeout: 30_000 });
  await vi.waitUntil(() => leftovers().length === 0, { timeout: 5000 });
  return uploads.read(id);
}

async function sentWhole(uploads: Uploads, files: Sent = FILES, kind: ImportOffer["kind"] = "folder"): Promise<ImportState> {
  const id = await begun(uploads, files, kind);
  await send(uploads, id, files);
  expect((await uploads.finish(id)).step).toBe("waiting");
  return over(uploads, id);
}

const requestWith = (body: ReadableStream<Uint8Array>): Request => new Request("http://127.0.0.1/", { method: "PUT", body, duplex: "half" } as RequestInit);
const leftovers = (): string[] => (existsSync(staging) ? readdirSync(staging) : []);
const runCount = (): Promise<number> => temp.store.prisma.run.count();
const codeOf = (promise: Promise<unknown>): Promise<InputCode> => promise.then(() => { throw new Error("it was not refused"); }, (error: unknown) => {
  if (!(error instanceof InputError)) throw error;
  return error.code;
});
const changed = (name: string, change: (text: string) => string): Sent =>
  FILES.map(({ path, data }) => ({ path, data: path.endsWith(name) ? Buffer.from(change(data.toString("utf8"))) : data }));

describe("a run that arrives", () => {
  it("as a folder of four files is measured, stored and leaves nothing in the staging folder", async () => {
    const state = await sentWhole(made());
    expect(state).toMatchObject({ step: "done", receivedFileCount: 4, receivedByteCount: offerOf(FILES).byteCount, readFraction: 1, problem: null, isNew: true });
    expect(state.profileCount).toBe(FILES.find(({ path }) => path.endsWith("profiles.ndjson"))?.data.toString("utf8").trimEnd().split("\n").slice(1).length);
    expect(state.measuredUntilS).toBeGreaterThan(0);
    expect(await temp.store.prisma.run.findMany({ select: { id: true } })).toEqual([{ id: state.runId }]);
  });

  it("as a zip is the same run as the folder", async () => {
    const zip = [{ path: "example.zip", data: madeZip(FILES.map(({ path, data }) => ({ name: path, data }))) }];
    const uploads = made();
    const first = await sentWhole(uploads);
    const second = await sentWhole(uploads, zip, "zip");
    expect(second).toMatchObject({ step: "done", runId: first.runId, isNew: false, unpackedFileCount: 4, unpackedByteCount: offerOf(FILES).byteCount });
  });

  it("twice at once is one run; the second waits for the first and finds it there", async () => {
    const uploads = made();
    const ids = await Promise.all([begun(uploads), begun(uploads)]);
    await Promise.all(ids.map((id) => send(uploads, id, FILES)));
    await Promise.all(ids.map((id) => uploads.finish(id)));
    const states = [await over(uploads, ids[0]), await over(uploads, ids[1])];
    expect(states.map(({ step, isNew }) => [step, isNew])).toEqual([["done", true], ["done", false]]);
    expect(states[0]?.runId).toBe(states[1]?.runId);
    expect(await runCount()).toBe(1);
  });

  it("is measured alone: while one is, the next one waits", async () => {
    let goOn = (): void => undefined;
    const held = new Promise<void>((done) => { goOn = done; });
    const uploads = made({ bringIn: async (folder, actor, options) => { await held; return bringIn(folder, actor, options); } });
    const [first, second] = [await begun(uploads), await begun(uploads)];
    for (const id of [first, second]) {
      await send(uploads, id, FILES);
      await uploads.finish(id);
    }
    await vi.waitUntil(() => uploads.read(first).step === "measuring");
    expect(uploads.read(second).step).toBe("waiting");
    expect((await uploads.cancel(second)).step).toBe("cancelled");
    goOn();
    expect((await over(uploads, first)).step).toBe("done");
    expect(await runCount()).toBe(1);
  });
});

describe("a run that is bad", () => {
  it("names file, line and key, and leaves no run and no file", async () => {
    const state = await sentWhole(made(), changed("plan.csv", (text) => text.replace(/^((?:.*\n){2}[^,]*,[^,]*,)[^,]*/, "$1abc")));
    expect(state).toMatchObject({ step: "failed", runId: null, problem: { code: "plan.badNumber", place: { file: "plan.csv", line: 3, key: "x_mm" } } });
    expect(state.problem?.message).not.toContain("(at ");
    expect([await runCount(), complaints]).toEqual([0, []]);
  });

  it("without job.json says so", async () => {
    expect(await sentWhole(made(), FILES.filter(({ path }) => !path.endsWith("job.json")))).toMatchObject({ step: "failed", problem: { code: "source.noFile", place: { file: "job.json" } } });
  });

  it("as a zip that is cut off says so", async () => {
    const whole = madeZip(FILES.map(({ path, data }) => ({ name: path, data })));
    const data = whole.subarray(0, whole.length / 2);
    expect(await sentWhole(made(), [{ path: "x.zip", data }], "zip")).toMatchObject({ step: "failed", problem: { code: "source.zipDamaged", place: { file: "example.zip" } } });
  });

  it("by a bug of the program fails without words and is told to the server's output", async () => {
    const bug = new TypeError("a bug");
    expect(await sentWhole(made({ bringIn: () => Promise.reject(bug) }))).toMatchObject({ step: "failed", problem: null });
    expect(complaints).toEqual([bug]);
  });

  it.each(["../job.json", "/etc/passwd", "a\\b", "a/../../b"])("with a file called %j is refused and ended", async (path) => {
    const uploads = made();
    const id = await begun(uploads);
    expect(await codeOf(uploads.putFile(id, path, Readable.from([Buffer.from("x")])))).toBe("source.pathLeaves");
    expect(await over(uploads, id)).toMatchObject({ step: "failed", problem: { code: "source.pathLeaves", place: { file: path } } });
  });

  it("with a file sent twice, or a file short, is refused and ended", async () => {
    const uploads = made();
    const twice = await begun(uploads);
    await send(uploads, twice, FILES.slice(0, 1));
    expect(await codeOf(send(uploads, twice, FILES.slice(0, 1)))).toBe("source.twice");
    const short = await begun(uploads);
    await send(uploads, short, FILES.slice(1));
    expect(await codeOf(uploads.finish(short))).toBe("upload.incomplete");
    expect(await over(uploads, short)).toMatchObject({ step: "failed", problem: { code: "upload.incomplete" } });
    expect(await codeOf(uploads.finish(short))).toBe("upload.over");
  });
});

describe("limits", () => {
  const files: Sent = [{ path: "a", data: Buffer.alloc(600) }, { path: "b", data: Buffer.alloc(401) }];

  it("an offer of 1 000 bytes passes a limit of 1 000, one of 1 001 does not; 2 files pass a limit of 2, 3 do not", async () => {
    const uploads = made({ limits: { mostBytes: 1000, mostFileBytes: 900, mostFiles: 2 } });
    const offer = { ...offerOf(files), byteCount: 1000 };
    expect((await uploads.begin(offer, "M. Ort")).step).toBe("receiving");
    expect(await codeOf(uploads.begin({ ...offer, byteCount: 1001 }, "M. Ort"))).toBe("source.tooLarge");
    expect(await codeOf(uploads.begin({ ...offer, fileCount: 3 }, "M. Ort"))).toBe("source.tooMany");
    await uploads.close();
  });

  it("a sender that offers 1 000 bytes and sends 1 001 is stopped while it sends", async () => {
    const uploads = made({ limits: { mostBytes: 1000, mostFileBytes: 900, mostFiles: 2 } });
    const id = (await uploads.begin({ ...offerOf(files), byteCount: 1000 }, "M. Ort")).importId;
    await send(uploads, id, files.slice(0, 1));
    expect(await codeOf(send(uploads, id, files.slice(1)))).toBe("source.tooLarge");
    expect((await over(uploads, id)).problem?.place).toEqual({ file: "b" });
  });

  it(`${MOST_OPEN} may be on their way, one more is told to come later, and may when one is over`, async () => {
    const uploads = made();
    const ids = await Promise.all(Array.from({ length: MOST_OPEN }, () => begun(uploads)));
    expect(await codeOf(begun(uploads))).toBe("upload.busy");
    await uploads.cancel(ids[2] as string);
    expect(uploads.read(await begun(uploads)).step).toBe("receiving");
    await uploads.close();
    expect(leftovers()).toEqual([]);
  });
});

describe("a run that does not arrive", () => {
  it("cancelled half-way through a file leaves nothing, and the file's request ends", async () => {
    const uploads = made();
    const id = await begun(uploads);
    await send(uploads, id, FILES.slice(0, 2));
    const body = new PassThrough();
    const putting = codeOf(uploads.putFile(id, "example-run/profiles.ndjson", body));
    body.write("half a line");
    await vi.waitUntil(() => uploads.read(id).receivedFileCount === 3 && existsSync(join(staging, id, "run/example-run/profiles.ndjson")));
    expect(await uploads.cancel(id)).toMatchObject({ step: "cancelled", problem: null });
    expect([leftovers(), await putting, body.destroyed]).toEqual([[], "upload.over", true]);
    expect(await codeOf(send(uploads, id, FILES.slice(2)))).toBe("upload.over");
  });

  it("cancelled while a request's body waits for bytes that do not come leaves nothing", async () => {
    const uploads = made();
    const id = await begun(uploads);
    // As the server gives it: cancelling it does not resolve before the sender goes on.
    const stalled = new ReadableStream<Uint8Array>({ start: (controller) => controller.enqueue(Buffer.from("half a line")), cancel: () => new Promise(() => undefined) });
    const putting = uploads.putFile(id, "plan.csv", bodyOf(requestWith(stalled)));
    const refused = codeOf(putting);
    await vi.waitUntil(() => uploads.read(id).receivedByteCount === 11);
    expect(await uploads.cancel(id)).toMatchObject({ step: "cancelled" });
    expect([await refused, leftovers()]).toEqual(["upload.over", []]);
  });

  it("cancelled while it is measured leaves no row and no file", async () => {
    let heard = (): void => undefined;
    const begins = new Promise<void>((done) => { heard = done; });
    const uploads = made({
      bringIn: (folder, actor, options) => bringIn(folder, actor, { ...options, heardProfiles: (count, untilS) => { options.heardProfiles(count, untilS); heard(); } }),
    });
    const id = await begun(uploads);
    await send(uploads, id, FILES);
    await uploads.finish(id);
    await begins;
    expect((await uploads.cancel(id)).step).toBe("cancelled");
    expect([leftovers(), await runCount(), complaints]).toEqual([[], 0, []]);
  });

  it("cancelled when it is done stays done", async () => {
    const uploads = made();
    const { importId, runId } = await sentWhole(uploads);
    expect(await uploads.cancel(importId)).toMatchObject({ step: "done", runId });
    expect(await runCount()).toBe(1);
  });

  it("because the connection broke off names the file", async () => {
    const uploads = made();
    const id = await begun(uploads);
    const body = new PassThrough();
    const putting = codeOf(uploads.putFile(id, "plan.csv", body));
    body.write("layer,");
    body.destroy(new Error("ECONNRESET"));
    expect(await putting).toBe("upload.incomplete");
    expect((await over(uploads, id)).problem?.place).toEqual({ file: "plan.csv" });
  });

  it("because its sender is silent for 5 s is ended, one that is silent for 4.9 s is not, and 70 s later it is forgotten", async () => {
    vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
    const uploads = made();
    const id = await begun(uploads);
    await vi.advanceTimersByTimeAsync(SILENCE_MS - 100);
    await send(uploads, id, FILES.slice(0, 1));
    await vi.advanceTimersByTimeAsync(SILENCE_MS - 100);
    expect(uploads.read(id).step).toBe("receiving");
    await vi.advanceTimersByTimeAsync(200);
    const { step, problem } = await uploads.cancel(id);
    expect([step, problem?.code, leftovers()]).toEqual(["failed", "upload.incomplete", []]);
    expect(problem?.message).toBe("expected the next bytes within 5 s, got silence");
    await vi.advanceTimersByTimeAsync(KEPT_MS);
    expect(() => uploads.read(id)).toThrow("expected an import that was begun here");
  });

  it("a second file while one is being sent is refused and disturbs nothing", async () => {
    const uploads = made();
    const id = await begun(uploads);
    const body = new PassThrough();
    const first = uploads.putFile(id, "plan.csv", body);
    expect(await codeOf(uploads.putFile(id, "job.json", Readable.from([])))).toBe("upload.over");
    expect(await codeOf(uploads.finish(id))).toBe("upload.over");
    body.end("layer");
    expect((await first).receivedByteCount).toBe(5);
    await uploads.close();
  });
});

describe("a disk that is full", () => {
  const room = (): string => join(temp.folder, "small");
  const canMount = ((): boolean => {
    const probe = `/tmp/aslaid-mount-${process.pid}`;
    try {
      mkdirSync(probe);
      execFileSync("mount", ["-t", "tmpfs", "-o", "size=64k", "tmpfs", probe], { stdio: "ignore" });
      execFileSync("umount", [probe]);
      return true;
    } catch {
      return false;
    } finally {
      rmSync(probe, { recursive: true, force: true });
    }
  })();

  it.skipIf(!canMount)("1 MB of it: 2 MB are refused before they are sent, and 700 kB that no longer fit half-way leave nothing", async () => {
    mkdirSync(room());
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=1m", "tmpfs", room()]);
    try {
      const uploads = made({ stagingFolder: join(room(), "staging") });
      const large: Sent = [{ path: "job.json", data: Buffer.alloc(300e3) }, { path: "profiles.arrow", data: Buffer.alloc(400e3, 1) }];
      expect(await codeOf(uploads.begin({ ...offerOf(large), byteCount: 2e6 }, "M. Ort"))).toBe("source.diskFull");
      const id = await begun(uploads, large);
      await send(uploads, id, large.slice(0, 1));
      writeFileSync(join(room(), "another's"), Buffer.alloc(500e3));
      expect(await codeOf(send(uploads, id, large.slice(1)))).toBe("source.diskFull");
      expect(uploads.read(id)).toMatchObject({ step: "failed", problem: { message: "expected room on the disk of the data folder, got a full disk", place: { file: "profiles.arrow" } } });
      expect([readdirSync(join(room(), "staging")), readdirSync(room()).sort()]).toEqual([[], ["another's", "staging"]]);
      expect(statSync(join(room(), "another's")).size).toBe(500e3);
    } finally {
      execFileSync("umount", [room()]);
    }
  });

  it("while the run is stored is said in the same words", async () => {
    const full = Object.assign(new Error("database or disk is full"), { code: "SQLITE_FULL" });
    expect(await sentWhole(made({ bringIn: () => Promise.reject(full) }))).toMatchObject({ step: "failed", problem: { code: "source.diskFull" } });
  });
});
