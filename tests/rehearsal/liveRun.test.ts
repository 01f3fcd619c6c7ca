import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { resolveJob } from "../../lib/model/jobSchema.ts";
import { LiveRehearsal } from "../support/liveRehearsal.ts";

let live: LiveRehearsal;
beforeEach(() => { live = new LiveRehearsal(); });
afterEach(async () => {
  live.stop.abort();
  await live.until(() => live.ending !== null);
  await live.close();
});

/** Profiles that were kept, and how many there must be by their highest number. */
const numbered = (): number => [...live.server.kept].filter((id) => id.startsWith("profiler-1 ")).length;

describe("a live rehearsal", () => {
  it("makes the run with its job, plan and idempotency key, sends everything, and finishes: exit finished", async () => {
    await (await live.begin()).toEnd();
    expect([live.ending, live.runIds, live.server.finished]).toEqual([{ kind: "finished" }, ["run 1"], true]);
    const [made] = live.server.to(/\/runs$/), body = JSON.parse(made!.body.toString()) as { job: Record<string, unknown>; planText: string; planFormat: string };
    expect([made!.headers["idempotency-key"], body.planFormat, body.planText.split("\n")[0]]).toEqual(["key-5", "csv", "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s"]);
    expect(body.job).toMatchObject({ rehearsal: true, specimen: "machined foam phantom (invented demonstration data)", name: expect.stringMatching(/^REHEARSAL /) });
    expect(resolveJob(body.job, "job.json").warnings).toEqual([]);
    expect(live.server.to(/run%201\/profiles$/).every((call) => call.headers["content-type"] === "application/vnd.apache.arrow.stream")).toBe(true);
    expect(Math.max(...[...live.server.kept].filter((id) => id.startsWith("profiler-1 ")).map((id) => Number(id.split(" ")[1]))) + 1).toBe(numbered()); // none left out
    expect([live.server.duplicates, live.server.calls.at(-1)!.path]).toEqual([0, "/api/v1/runs/run%201/finish"]);
  });

  it("batches are closed about every 100 ms: ten calls a second with profiles", async () => {
    await (await live.begin()).laid(1, 2);
    const before = live.server.to(/profiles$/).length;
    await live.for(1000);
    expect(Math.abs(live.server.to(/profiles$/).length - before - 10)).toBeLessThanOrEqual(1);
  });

  it("NDJSON carries the same profiles", async () => {
    await (await live.begin({}, { format: "ndjson" })).toEnd();
    const calls = live.server.to(/profiles$/);
    expect([live.ending?.kind, calls.every((call) => call.headers["content-type"] === "application/x-ndjson"), numbered() > 50]).toEqual(["finished", true, true]);
  });

  it("a lost answer: the same bytes are sent again, and nothing is missing or twice in the end", async () => {
    await live.begin();
    live.server.trouble(/profiles$/, { kind: "lost" });
    live.server.trouble(/progress$/, { kind: "lost" });
    await live.toEnd();
    for (const path of [/profiles$/, /progress$/]) {
      const lost = live.server.to(path).findIndex((call) => call.status === "lost"), [first, again] = live.server.to(path).slice(lost, lost + 2);
      expect(again!.body.equals(first!.body)).toBe(true);
      expect([again!.status, again!.atMs - first!.atMs]).toEqual([200, 100]);
    }
    expect(live.server.duplicates).toBeGreaterThan(1);
    expect(live.ending).toEqual({ kind: "finished" });
  });

  it("a connection cut half-way through the answer is no answer: sent again after 0.1, 0.2 and 0.4 s", async () => {
    await live.begin();
    live.server.trouble(/signals$/, { kind: "cut" }, 3);
    await live.toEnd();
    const tries = live.server.to(/signals$/).slice(0, 4);
    expect(tries.map((call) => call.status)).toEqual(["cut", "cut", "cut", 200]);
    expect(tries.slice(1).map((call, i) => call.atMs - tries[i]!.atMs)).toEqual([100, 200, 400]);
    expect(new Set(tries.map((call) => call.body.toString())).size).toBe(1);
  });

  it("503 with Retry-After 3 is honoured: the same batch 3 s later, others wait behind it in order", async () => {
    await live.begin({ lengthMm: 12 });
    await live.laid(1, 1);
    live.server.trouble(/progress$/, { kind: "busy", status: 503, retryAfterS: 3 });
    await live.toEnd();
    const calls = live.server.to(/progress$/), busy = calls.findIndex((call) => call.status === 503);
    expect(calls[busy + 1]!.atMs - calls[busy]!.atMs).toBe(3000);
    expect(calls[busy + 1]!.body.equals(calls[busy]!.body)).toBe(true);
    const times = calls.filter((call) => call.status === 200).flatMap((call) => (JSON.parse(call.body.toString()) as { tS: number }[]).map((row) => row.tS));
    expect(times).toEqual([...times].sort((a, b) => a - b));
  });

  it.each([[429, "finished"], [500, "finished"], [413, "refused"], [400, "refused"]])("%i to a batch: %s", async (status, kind) => {
    await live.begin();
    live.server.trouble(/profiles$/, status === 413 || status === 400 ? { kind: "refuse", status, text: "no" } : { kind: "busy", status, retryAfterS: null });
    await live.toEnd();
    expect(live.ending).toEqual(kind === "finished" ? { kind } : { kind, why: `/runs/run%201/profiles was answered with ${status} {"reason":"no"}` });
    expect(live.server.finished).toBe(kind === "finished");
  });

  it("the run itself is asked for until there is one, with the same key", async () => {
    await live.begin();
    live.server.trouble(/\/runs$/, { kind: "busy", status: 503, retryAfterS: 1 }, 2);
    live.server.trouble(/\/runs$/, { kind: "lost" });
    await live.toEnd();
    expect(live.server.to(/\/runs$/).map((call) => [call.status, call.headers["idempotency-key"]])).toEqual([[503, "key-5"], [503, "key-5"], ["lost", "key-5"], [201, "key-5"]]);
    expect([live.runIds, live.ending?.kind]).toEqual([["run 1"], "finished"]);
  });

  it("a job that the server refuses ends it with what the server said", async () => {
    await live.begin();
    live.server.trouble(/\/runs$/, { kind: "refuse", status: 400, text: "job.badValue" });
    await live.toEnd();
    expect(live.ending).toEqual({ kind: "refused", why: 'POST /runs was answered with 400 {"reason":"job.badValue"}' });
  });

  it("finish is repeated until it is answered", async () => {
    await live.begin();
    live.server.trouble(/finish$/, { kind: "cut" }, 2);
    await live.toEnd();
    expect([live.server.to(/finish$/).map((call) => call.status), live.ending?.kind]).toEqual([["cut", "cut", 200], "finished"]);
  });

  it("when 20 kB wait the cell stands, and goes on by itself at half of it; nothing is lost", async () => {
    await live.begin({ lengthMm: 16 }, { mostWaitingBytes: 20_000 });
    await live.laid(1, 2);
    live.server.trouble(/profiles$/, { kind: "busy", status: 503, retryAfterS: 6 }, 2);
    await live.until(() => live.cell.stopped.has("queue") && live.cell.resting);
    const rows = live.server.to(/progress$/).length;
    await live.for(2000);
    expect(live.server.to(/progress$/).length - rows).toBeLessThanOrEqual(1);
    await live.toEnd();
    expect([live.ending?.kind, live.said.some((line) => /wait to be sent/.test(line)), live.cell.work.agenda.laidLengthMm]).toEqual(["finished", true, expect.closeTo(32, 6)]);
    expect(numbered()).toBe(Math.max(...[...live.server.kept].filter((id) => id.startsWith("profiler-1 ")).map((id) => Number(id.split(" ")[1]))) + 1);
  });

  it("stopped: it lays no more, finishes nothing, says no end of the strand, and is over within 2 s", async () => {
    await (await live.begin()).laid(1, 2);
    const fromMs = live.clock.nowMs();
    live.server.trouble(/profiles$/, { kind: "busy", status: 503, retryAfterS: 60 });
    live.stop.abort();
    await live.toEnd();
    expect([live.ending, live.server.finished, live.clock.nowMs() - fromMs <= 2000]).toEqual([{ kind: "stopped" }, false, true]);
    expect(live.server.to(/progress$/).some((call) => call.body.toString().includes('"end"'))).toBe(false);
  });
});

describe("commands on the long poll", () => {
  it("a pause is carried out and has its receipt 0.15 s later; a resume goes on; each is asked for after the last number", async () => {
    await (await live.begin({ lengthMm: 12 })).laid(1, 3);
    const askedMs = live.clock.nowMs();
    live.server.command({ n: 1, kind: "pause", at: "now", retractMm: 0, reason: "look" });
    await live.until(() => live.server.receipts.has(1));
    expect(live.clock.nowMs() - askedMs).toBeLessThanOrEqual(151);
    expect(live.clock.nowMs() - askedMs).toBeGreaterThanOrEqual(149);
    expect(live.server.receipts.get(1)).toMatchObject({ outcome: "done", note: "paused" });
    const rows = live.server.to(/progress$/).flatMap((call) => JSON.parse(call.body.toString()) as { sMm: number }[]);
    live.server.command({ n: 2, kind: "resume", layer: 1, strand: 1, sMm: rows.at(-1)!.sMm, overlapMm: 0 });
    await live.toEnd();
    expect([live.server.receipts.get(2), live.ending?.kind, live.cell.work.agenda.laidLengthMm]).toEqual([expect.objectContaining({ outcome: "done" }), "finished", expect.closeTo(24, 6)]);
    expect([...new Set(live.server.to(/commands\?/).map((call) => call.path.split("?")[1]))]).toEqual(["after=0&waitS=1", "after=1&waitS=1", "after=2&waitS=1"]);
  });

  it("a command that comes again, its receipt lost or not, is carried out once and has the same receipt each time", async () => {
    await (await live.begin()).laid(1, 1);
    live.server.trouble(/receipt$/, { kind: "lost" });
    live.server.command({ n: 5, kind: "flowFactor", factor: 1.1, layer: 1, strand: 2, fromMm: 1 });
    await live.until(() => live.server.to(/receipt$/).length === 2);
    live.server.commands.push({ n: 6, kind: "flowFactor", factor: 1.1, layer: 1, strand: 2, fromMm: 1 }, { n: 5, kind: "flowFactor", factor: 1.1, layer: 1, strand: 2, fromMm: 1 });
    await live.toEnd();
    const receipts = live.server.to(/commands\/5\/receipt$/).map((call) => call.body.toString());
    expect([receipts.length >= 2, new Set(receipts).size]).toEqual([true, 1]);
  });

  it("abort: its receipt, all data, finish, and it ends aborted; data that come too late (409) are no refusal", async () => {
    await (await live.begin()).laid(1, 2);
    live.server.trouble(/profiles$/, { kind: "slow", ms: 400 });
    live.server.command({ n: 1, kind: "abort", reason: "smoke" });
    await live.until(() => live.server.receipts.has(1));
    live.server.trouble(/signals$|profiles$/, { kind: "refuse", status: 409, text: "over" }, 2);
    await live.toEnd();
    expect([live.ending, live.server.finished, live.server.receipts.get(1)]).toEqual([{ kind: "aborted" }, true, expect.objectContaining({ outcome: "done" })]);
  });

  it("the poll that is refused ends the run", async () => {
    await (await live.begin()).laid(1, 2);
    live.server.trouble(/commands\?/, { kind: "refuse", status: 404, text: "no such run" });
    await live.toEnd();
    expect(live.ending).toEqual({ kind: "refused", why: 'the poll for commands was answered with 404 {"reason":"no such run"}' });
  });
});

describe("the cell's own duty", () => {
  it("without an answer to its poll it pauses by itself at 2.000 s, not at 1.999 s, says so, and goes on with a resume alone", async () => {
    await (await live.begin({ lengthMm: 40 })).laid(1, 2);
    await live.until(() => live.server.held > 0);
    await live.for(1); // the poll that is held now was asked for within this millisecond or earlier
    live.server.deaf = true;
    const answered = (): number => live.server.to(/commands\?/).length;
    const polls = answered();
    await live.until(() => answered() > polls);
    const answeredMs = live.clock.nowMs();
    await live.for(1999);
    expect(live.cell.stopped.has("self")).toBe(false);
    await live.for(1);
    await live.until(() => live.cell.stopped.has("self"));
    expect(live.clock.nowMs() - answeredMs).toBe(2000);
    await live.for(8000);
    expect([live.cell.resting, live.said.some((line) => line.includes("paused by itself"))]).toEqual([true, true]);
    live.server.deaf = false;
    await live.for(3000);
    expect(live.cell.resting).toBe(true); // answers alone do not make it go on
    const rows = live.server.to(/progress$/).flatMap((call) => JSON.parse(call.body.toString()) as { sMm: number }[]);
    live.server.command({ n: 1, kind: "resume", layer: 1, strand: 1, sMm: rows.at(-1)!.sMm, overlapMm: 1 });
    await live.until(() => live.server.receipts.has(1));
    await live.for(500);
    const marks = live.server.to(/signals$/).flatMap((call) => JSON.parse(call.body.toString()) as { name: string; value: number }[]).filter((row) => row.name === "selfPaused");
    expect([live.cell.resting, marks.map((row) => row.value)]).toEqual([false, [1, 0]]);
  });

  it("the job's own cellSilenceS of 0.6 s counts in its place", async () => {
    await live.begin({ lengthMm: 40 }, { parts: { policy: { watchdogs: { cellSilenceS: 0.6 } } } });
    await live.laid(1, 2);
    live.server.deaf = true;
    const fromMs = live.clock.nowMs();
    await live.until(() => live.cell.stopped.has("self"));
    expect(live.clock.nowMs() - fromMs).toBeLessThanOrEqual(900); // an answer may have been under way
    expect(live.server.to(/commands\?/)[0]!.path).toContain("waitS=0.3");
  });

  it("a network that is cut for 5 s: nothing is sent, the cell pauses by itself after 2 s, and all of it comes later", async () => {
    await (await live.begin({ lengthMm: 40 })).laid(1, 2);
    const cutMs = live.clock.nowMs();
    expect(live.run.cause({ kind: "networkCut", undo: false, place: null })).toMatch(/nothing is sent for 5 s/);
    await live.until(() => live.cell.stopped.has("self"));
    expect(live.clock.nowMs() - cutMs).toBeLessThanOrEqual(2000);
    await live.for(6000);
    expect(live.server.calls.filter((call) => call.atMs > cutMs && call.atMs < cutMs + 5000)).toEqual([]);
    await live.for(2500);
    expect(numbered()).toBe(Math.max(...[...live.server.kept].filter((id) => id.startsWith("profiler-1 ")).map((id) => Number(id.split(" ")[1]))) + 1);
    live.run.cause({ kind: "networkCut", undo: false, place: null });
    live.run.cause({ kind: "networkCut", undo: true, place: null });
    const calls = live.server.calls.length;
    await live.for(2500);
    expect(live.server.calls.length).toBeGreaterThan(calls);
  });
});
