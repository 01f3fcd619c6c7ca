import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { FindQuery } from "../../lib/model/findRuns.ts";
import { stateSentence } from "../../lib/report/sentence.ts";
import { findRuns, storageFacts } from "../../lib/store/findRuns.ts";
import { appendEntries } from "../../lib/store/logTable.ts";
import { readRunsById } from "../../lib/store/readRuns.ts";
import { insertRun, writeRun, type NewRun } from "../../lib/store/writeRun.ts";
import { madeResult, type MadeSettings } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { tempStore, type TempStore } from "../support/tempStore.ts";

const base: MadeSettings = { layers: 1, strands: 4, lengthMm: 20, spacingMm: 1, widthMm: 1, heightMm: 0.5, faults: [] };
const nothing: FindQuery = { text: null, fromAt: null, toAt: null, material: null, lot: null, device: null, person: null, verdict: null, isSigned: null };
let temp: TempStore;
let ids: string[];

const change = (made: NewRun, run: Partial<NewRun["run"]>): NewRun => ({ ...made, run: { ...made.run, ...run } });

beforeEach(() => {
  temp = tempStore();
  const { store: { db }, newId } = temp, faults = ([1, 2, 3, 4] as const).map((strand) => ({ layer: 1, strand, fromMm: 2, toMm: 12, kind: "gap" as const }));
  const devices = (...names: string[]): string => JSON.stringify({ devices: names.map((id) => ({ id, kind: "profiler" })) });
  ids = [
    writeRun(db, change(madeRun(1, newId, madeResult(base)), { name: "mandible 100% dense", jobText: devices("profiler-1", "arm-1") })),
    writeRun(db, change(madeRun(2, newId, madeResult({ ...base, faults })), { name: "plate", materialName: "calcium phosphate", jobText: devices("profiler-2") })),
    writeRun(db, change(madeRun(3, newId, madeResult({ ...base, laidStrands: 0 })), { specimen: "Block_A", lot: null, jobText: "no JSON" })),
    writeRun(db, change(madeRun(4, newId, madeResult({ ...base, faults: ([1, 2, 3, 4] as const).map((strand) => ({ layer: 1, strand, fromMm: 0, toMm: 20, kind: "unmeasured" as const })) })), { name: "unseen" })),
  ];
  const live = madeRun(5, newId, madeResult(base));
  insertRun(db, { run: { ...live.run, state: "live" }, strands: live.strands });
  ids.push(live.run.id);
  const at = "2026-02-09T10:00:00.000Z", kept = { name: "reports/1.json", sha256: "ab".repeat(32), size: 12 };
  appendEntries(db, ids[0] as string, [{ actor: "Dana Reyes", at, kind: "run.signed", payload: { ...kept, resultId: "r", meaning: "accept", remarks: "", printedName: "Dana Reyes", head: "", count: 3, ownRun: false } }]);
  appendEntries(db, ids[1] as string, [{ actor: "Ines Okafor", at, kind: "run.finished", payload: {} }]);
});
afterEach(async () => { await temp.remove(); });

/** Numbers, from 1, of the runs that are found, in their order. */
const found = (asked: Partial<FindQuery>): number[] => findRuns(temp.store.db, { ...nothing, ...asked }, { count: 20, after: null }).runIds.map((id) => ids.indexOf(id) + 1);

describe("runs are found", () => {
  it("all five, newest first, where nothing is asked", () => { expect(found({})).toEqual([5, 4, 3, 2, 1]); });

  it("by a part of name, specimen or id, large and small letters alike, % and _ as they stand", () => {
    expect([found({ text: "MANDIBLE" }), found({ text: "100%" }), found({ text: "block_a" }), found({ text: "block_" }), found({ text: ids[1] as string }), found({ text: "'; DROP TABLE" })]).toEqual([[1], [1], [3], [3], [2], []]);
  });

  it("by date, both ends included, to the millisecond", () => {
    expect(found({ fromAt: "2026-02-02T09:12:00.000Z", toAt: "2026-02-03T09:12:00.000Z" })).toEqual([3, 2]);
    expect(found({ fromAt: "2026-02-02T09:12:00.001Z", toAt: "2026-02-03T09:11:59.999Z" })).toEqual([]);
  });

  it("by material, by lot, by a device's whole id, and a job that is no JSON has no device", () => {
    expect([found({ material: "phosph" }), found({ lot: "a4" }), found({ device: "PROFILER-1" }), found({ device: "profiler" }), found({ device: "arm-1" })]).toEqual([[2], [4], [1], [], [1]]);
  });

  it("by who acted, the whole name, and by whether they are signed", () => {
    expect([found({ person: "dana reyes" }), found({ person: "Dana" }), found({ isSigned: true }), found({ isSigned: false })]).toEqual([[1], [], [1], [5, 4, 3, 2]]);
  });

  it("by verdict, each run under the one that its sentence says, and a run without a result under nothing to say", async () => {
    expect([found({ verdict: "acceptable" }), found({ verdict: "notAcceptable" }), found({ verdict: "nothing" })]).toEqual([[1], [2], [5, 4, 3]]);
    const said = (await readRunsById(temp.store.prisma, ids)).map(({ result }) => (result === null ? null : stateSentence(result).acceptable));
    expect(said).toEqual([true, false, null, null, null]);
  });

  it("by several of them together", () => {
    expect([found({ material: "paste", isSigned: false, verdict: "nothing" }), found({ text: "plate", person: "Dana Reyes" })]).toEqual([[5, 4, 3], []]);
  });

  it("two at a time: the count is of all, and the next page goes on after the last", () => {
    const { db } = temp.store, first = findRuns(db, nothing, { count: 2, after: null }), second = findRuns(db, nothing, { count: 2, after: first.runIds[1] as string }), third = findRuns(db, nothing, { count: 2, after: second.runIds[1] as string });
    expect([first, second, third].map(({ runIds, count, hasMore }) => [runIds.map((id) => ids.indexOf(id) + 1), count, hasMore])).toEqual([[[5, 4], 5, true], [[3, 2], 5, true], [[1], 5, false]]);
    expect(findRuns(db, nothing, { count: 2, after: "none" }).runIds).toEqual(first.runIds);
  });
});

describe("what files of runs take", () => {
  const keep = (run: number, name: string, sha: string, size: number): void => { temp.store.db.prepare(`INSERT INTO "RawFile" (runId, name, sha256, size) VALUES (?, ?, ?, ?)`).run(ids[run - 1], name, sha.repeat(64), size); };
  it("counts each content once, what runs since a day added, and what could be dropped: streams of runs that are over", () => {
    keep(1, "profiles.arrow", "1", 1000);
    keep(2, "profiles.arrow", "1", 1000); // the same bytes
    keep(2, "job.json", "2", 30);
    keep(4, "poses.csv", "3", 500);
    keep(5, "profiles.top.arrow", "4", 7000); // of the run that lives
    expect(storageFacts(temp.store.db, "2026-02-03T00:00:00.000Z")).toEqual({ runCount: 5, rawBytes: 8530, addedBytes: 7500, droppableBytes: 1500, oldestAt: "2026-02-01T09:12:00.000Z" });
  });

  it("what was dropped takes nothing any more", () => {
    keep(1, "profiles.arrow", "1", 1000);
    keep(1, "job.json", "2", 30);
    appendEntries(temp.store.db, ids[0] as string, [{ actor: "Ines Okafor", at: "2026-02-10T10:00:00.000Z", kind: "raw.dropped", payload: { sha256: ["1".repeat(64)], reason: "kept on tape", exportHead: "0".repeat(64) } }]);
    expect(storageFacts(temp.store.db, "2026-01-01T00:00:00.000Z")).toMatchObject({ rawBytes: 30, droppableBytes: 0 });
  });
});
