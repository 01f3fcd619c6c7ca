/** One pump for every reader of a run's events, on a run of its own in a real store; its threads stand still and are told what to say. */
import { writeFileSync, utimesSync, mkdirSync } from "node:fs";
import { dirname } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { LiveReading } from "../../../lib/model/liveEvent.ts";
import { feedEvents, newestEventId } from "../../../lib/server/live/eventFeed.ts";
import type { KeptState } from "../../../lib/server/live/keeper.ts";
import { livePaths } from "../../../lib/server/live/liveFolder.ts";
import { LiveRun } from "../../../lib/server/live/liveRun.ts";
import { makeLiveRun } from "../../../lib/server/live/newRun.ts";
import type { EngineTelling } from "../../../lib/server/live/threadMessages.ts";
import { readEntriesOf } from "../../../lib/store/logTable.ts";
import { readLiveRun } from "../../../lib/store/liveRuns.ts";
import { NOW_UNIX_MS, tempStore, type TempStore } from "../../support/tempStore.ts";

const JOB = {
  contract: "aslaid/1", name: "one strand", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 }, material: { name: "paste", beadShape: "stadium" },
  devices: [{ id: "profiler-1", kind: "profiler", points: 32, x0Mm: -1.55, dxMm: 0.1, sigmaZMm: 0.005 }],
};
const PLAN = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s\n1,1,0,0,0.5,0,0,1,1.0,0.5,6,\n1,1,6,0,0.5,0,0,1,1.0,0.5,6,\n";
const reading: LiveReading = { layer: 1, strand: 1, stationIndex: 4, sMm: 2, attempt: 1, tS: 30.5, byS: 99.5, ageS: 1, uWidthMm: 0.02, uHeightMm: 0.006, uAreaMm2: 0.008, uOffsetMm: 0.01, support: "measured", sagMm: null, widthMm: 1, heightMm: 0.5, areaRatio: 1, offsetMm: 0, coverage: 0.9, verdict: "inBand", proven: true };
const kept = (bytes: number, profileS: number): KeptState => {
  const none = { profile: Number.NaN, progress: Number.NaN, rework: Number.NaN, pasteMark: Number.NaN, pose: Number.NaN, signal: Number.NaN, frame: Number.NaN };
  return { bytes, counts: { profile: 9, progress: 2, rework: 0, pasteMark: 0, pose: 0, signal: 0, frame: 0 }, lastS: { ...none, profile: profileS }, profilerS: new Map([["profiler-1", profileS]]), cameraS: new Map() };
};

let temp: TempStore, run: LiveRun, nowMs = NOW_UNIX_MS, tell: (telling: EngineTelling) => void;
beforeEach(() => {
  temp = tempStore();
  nowMs = NOW_UNIX_MS;
  const { store, folder, newId } = temp, at = new Date(NOW_UNIX_MS).toISOString();
  const id = makeLiveRun(store, { body: { job: JOB, planText: PLAN, planFormat: "csv" }, idempotencyKey: null, actor: "cell", dataFolder: folder, newId, at, began: [] });
  run = new LiveRun(id, {
    store, dataFolder: folder, nowIso: () => new Date(nowMs).toISOString(), nowMs: () => nowMs, wake: () => undefined,
    threads: { keep: async () => null, settle: async () => "", close: async () => undefined, startEngine: (_, how) => { tell = how; return { grown: () => undefined, askCut: () => undefined, askFrame: () => undefined, stop: async () => undefined }; } },
  });
});
afterEach(() => temp.remove());

/** A reader that can take so many pieces. */
function reader(most = Infinity) {
  const got: string[] = [];
  return { got, most, write(text: string) { got.push(text); }, canTake: () => got.length < most };
}
const ids = (got: readonly string[]): string[] => got.flatMap((text) => /^id: (\S+)/m.exec(text)?.slice(1) ?? []);

describe("a run's events", () => {
  it("come after the one that a reader has seen, each once, and go on when it can take them again", () => {
    run.tellState("one");
    const seen = newestEventId(run);
    run.tellState("two");
    run.tellState("three");
    const slow = { ...reader(), most: 1 }, feed = feedEvents(run, seen, { write: (text) => slow.got.push(text), canTake: () => slow.got.length < slow.most });
    expect(ids(slow.got)).toEqual([`${run.epoch}-2`]);
    slow.most = 9;
    feed.pump();
    run.tellState("four");
    feed.end();
    run.tellState("five");
    expect(ids(slow.got)).toEqual([`${run.epoch}-2`, `${run.epoch}-3`, `${run.epoch}-4`]);
  });

  it("a reader that asks for more while it is written to is sent nothing twice", () => {
    const got: string[] = [];
    const feed = feedEvents(run, newestEventId(run), { write: (text) => { got.push(text); feed.pump(); }, canTake: () => true });
    run.tellState("one");
    run.tellState("two");
    feed.end();
    expect(ids(got)).toEqual([`${run.epoch}-1`, `${run.epoch}-2`]);
  });

  it.each([["none", null], ["of another life", "zz-1"], ["no number", "x"]])("a reader whose number is %s is told the state first, under the newest number", (_, sent) => {
    run.tellState("one");
    const { got, ...port } = reader();
    feedEvents(run, sent, port).end();
    expect(got).toEqual([`id: ${run.epoch}-1\nevent: state\ndata: {"state":"prepared","ending":false,"reason":""}\n\n`]);
  });
});

describe("how old the newest reading is", () => {
  it("is unknown without one; then how far it lies behind the newest profile by its stamp, and how long ago that was kept", () => {
    expect(run.newestAgeS).toBeNull();
    run.grown(kept(1000, 20));
    run.grown(kept(2000, 32.25));
    expect(run.newestAgeS).toBeNull();
    tell({ kind: "reading", value: [reading] });
    expect(run.newestAgeS).toBeCloseTo(1.75, 9);
    nowMs += 4500;
    expect(run.newestAgeS).toBeCloseTo(6.25, 9);
    run.grown(kept(3000, 33));
    expect(run.newestAgeS).toBeCloseTo(2.5, 9);
  });

  it("after another start of the server counts from when the journal was written, not from when it is measured again", () => {
    const { journal } = livePaths(temp.folder, run.id);
    mkdirSync(dirname(journal), { recursive: true });
    writeFileSync(journal, "x");
    utimesSync(journal, (NOW_UNIX_MS - 90_000) / 1000, (NOW_UNIX_MS - 90_000) / 1000);
    run.grown(kept(5000, 30.5));
    tell({ kind: "reading", value: [reading] });
    expect(run.newestAgeS).toBeCloseTo(90, 3);
  });
});

describe("an end that a person asks for", () => {
  it("stands in the log with name and reason; one that the cell asks for does not", () => {
    run.askEnd("finished", { actor: "Dana Reyes", reason: "the cell lost its power" });
    expect(readLiveRun(temp.store.db, run.id)?.endAsked).toBe("finished");
    expect(readEntriesOf(temp.store.db, run.id, "run.endAsked").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Reyes", { reason: "the cell lost its power" }]]);
    run.askEnd("aborted", null);
    expect(readLiveRun(temp.store.db, run.id)?.endAsked).toBe("aborted");
    expect(readEntriesOf(temp.store.db, run.id, "run.endAsked").length).toBe(1);
  });
});
