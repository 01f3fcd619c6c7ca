/** Commands of one run in a real store, with its real log. */
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { InputError } from "../../../lib/base/errors.ts";
import { CommandBook } from "../../../lib/server/live/commandBook.ts";
import { EventRing } from "../../../lib/server/live/eventRing.ts";
import { makeLiveRun } from "../../../lib/server/live/newRun.ts";
import { runRecord, type RunRecord } from "../../../lib/server/live/runRecord.ts";
import { readEntriesOf } from "../../../lib/store/logTable.ts";
import { JOB, PLAN } from "../../support/madeLiveJob.ts";
import { NOW_UNIX_MS, tempStore, type TempStore } from "../../support/tempStore.ts";

const PAUSE = { kind: "pause", at: "strandEnd", retractMm: 1.5, reason: "gap, alert 3" } as const;
const DONE = { outcome: "done", tS: 41.5, note: "paused at the strand's end" } as const;

let temp: TempStore, runId: string, events: EventRing, book: CommandBook, nowMs: number;
const nowIso = (): string => new Date(nowMs).toISOString();
const made = (record: RunRecord = runRecord(temp.store, runId, nowIso)) => new CommandBook({ db: temp.store.db, runId, record, events, nowIso, nowMs: () => nowMs });
beforeEach(() => {
  temp = tempStore();
  nowMs = NOW_UNIX_MS;
  runId = makeLiveRun(temp.store, { body: { job: JOB, planText: PLAN, planFormat: "csv" }, idempotencyKey: null, actor: "cell", dataFolder: temp.folder, newId: temp.newId, at: nowIso(), began: [] });
  events = new EventRing();
  book = made();
});
afterEach(() => temp.remove());
const told = (): unknown[] => Array.from({ length: events.newest }, (_, i) => JSON.parse(events.after(i)!.event.text) as unknown);
const asked = () => readEntriesOf(temp.store.db, runId, "command.asked").map(({ actor, payload }) => [actor, payload.n, JSON.parse(payload.command) as unknown]);

describe("asking the cell for something", () => {
  it("is in the log, open, and told to screens, numbered from 1", () => {
    expect([book.ask(PAUSE, "aslaid"), book.ask({ kind: "abort", reason: "smoke" }, "Dana Reyes")]).toEqual([1, 2]);
    expect(asked()).toEqual([["aslaid", 1, PAUSE], ["Dana Reyes", 2, { kind: "abort", reason: "smoke" }]]);
    expect(book.open.map(({ n, kind, at, askedMs, sentAt }) => [n, kind, at, askedMs, sentAt])).toEqual([[1, "pause", "strandEnd", nowMs, null], [2, "abort", null, nowMs, null]]);
    expect(told()).toEqual([{ n: 1, ...PAUSE }, { n: 2, kind: "abort", reason: "smoke" }]);
  });

  it("twice while it is open is one, for whatever reason and whoever asks; another place or retraction is another", () => {
    expect([book.ask(PAUSE, "aslaid"), book.ask({ ...PAUSE, reason: "layer 1 is held" }, "Dana Reyes"), book.ask({ ...PAUSE, at: "now" }, "aslaid"), book.ask({ ...PAUSE, retractMm: 4 }, "aslaid")]).toEqual([1, 1, 2, 3]);
    expect([asked().length, events.newest]).toEqual([3, 3]);
  });

  it("again once it was answered is a new command, whatever the answer", () => {
    book.ask(PAUSE, "aslaid");
    book.receive(1, { ...DONE, outcome: "refused", note: "the arm is homing" }, "cell");
    expect(book.ask(PAUSE, "aslaid")).toBe(2);
  });

  it("two resumes are one only where they name the same place", () => {
    const resume = { kind: "resume" as const, layer: 1, strand: 1, sMm: 2.5, overlapMm: 1, rows: [] };
    expect([book.ask(resume, "Dana Reyes"), book.ask({ ...resume }, "Dana Reyes"), book.ask({ ...resume, sMm: 3 }, "Dana Reyes")]).toEqual([1, 1, 2]);
  });

  it("is not asked at all where the log cannot be written", () => {
    const full = made({ write: () => { throw new RangeError("the disk is full"); } });
    expect(() => full.ask(PAUSE, "aslaid")).toThrow(RangeError);
    expect([book.open, events.newest]).toEqual([[], 0]);
  });
});

describe("the cell's receipt", () => {
  it("closes the command with its stamp and note, in the log and on screens, and gives what was asked", () => {
    book.ask(PAUSE, "aslaid");
    nowMs += 4200;
    expect(book.receive(1, DONE, "cell")).toEqual(PAUSE);
    expect(book.open).toEqual([]);
    expect(readEntriesOf(temp.store.db, runId, "command.receipt").map(({ actor, at, payload }) => [actor, at, payload])).toEqual([["cell", nowIso(), { n: 1, outcome: "done", note: DONE.note }]]);
    expect(told().at(-1)).toEqual({ n: 1, outcome: "done", note: DONE.note });
  });

  it("that comes again changes nothing, whatever it says then", () => {
    book.ask(PAUSE, "aslaid");
    book.receive(1, DONE, "cell");
    expect(book.receive(1, { ...DONE, outcome: "failed", note: "late" }, "cell")).toBeNull();
    expect(readEntriesOf(temp.store.db, runId, "command.receipt").map(({ payload }) => payload.outcome)).toEqual(["done"]);
    expect(events.newest).toBe(2);
  });

  it("of a command that was never asked is refused as wire.noCommand", () => {
    book.ask(PAUSE, "aslaid");
    let code = "none";
    try { book.receive(2, DONE, "cell"); } catch (error) { code = (error as InputError).code; }
    expect(code).toBe("wire.noCommand");
  });
});
