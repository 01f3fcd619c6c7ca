/** The watch over a live run, with the real engine, store and log: rehearsed prints of two layers, invented faults, seeds 31 to 33. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { LiveRun } from "../../lib/server/live/liveRun.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { keepTakenOff } from "../../lib/server/live/personRows.ts";
import { command, ownData } from "../support/recorded.ts";
import { startLiveServer, type LiveServer } from "../support/liveServer.ts";
import { bodiesOf, type WireBody } from "../support/wireClient.ts";

interface Recording { readonly folder: string; readonly bodies: readonly WireBody[] }

const data = ownData();
const recordings = new Map<string, Recording>();
let live: LiveServer, runId = "", run: LiveRun;

async function record(name: string, ...more: string[]): Promise<void> {
  const folder = (await command("rehearse", "--out", join(data.place, name), "--strands", "3", "--length", "10", "--layers", "2", "--points", "200", "--dx", "0.06", "--format", "ndjson", ...more)).out.trim();
  recordings.set(name, { folder, bodies: bodiesOf(folder, 40) });
}

beforeAll(async () => {
  await record("gap", "--seed", "31", "--fault", "gap@1/2/3-6");
  await record("lift", "--seed", "32", "--fault", "lift@1/2/3-7");
  await record("clean", "--seed", "33");
}, 120_000);
afterAll(() => data.restore());
beforeEach(async () => { live = await startLiveServer(); });
afterEach(() => live.close());

/** Makes a run of a recording; `policy`: of its job. */
async function make(name: string, policy: object = {}): Promise<void> {
  const { folder } = recordings.get(name) as Recording, job = JSON.parse(readFileSync(join(folder, "job.json"), "utf8")) as object;
  const { json } = await live.client.call("POST", "/runs", { type: "application/json", text: JSON.stringify({ job: { ...job, policy }, planText: readFileSync(join(folder, "plan.csv"), "utf8"), planFormat: "csv" }) });
  runId = (json as { runId: string }).runId;
  run = live.hub.open(runId);
}

/** Sends the bodies up to the first that begins layer 2 (or all), and waits until they are measured. */
async function send(name: string, until: "layer 1" | "end" = "layer 1"): Promise<void> {
  const { bodies } = recordings.get(name) as Recording, second = bodies.findIndex(({ path, text }) => path === "progress" && /"layer":2/.test(text));
  for (const body of bodies.slice(0, until === "end" ? undefined : second)) await live.client.send(runId, body);
  await measured();
}
async function measured(): Promise<void> {
  await expect.poll(() => run.backlogBytes, { timeout: 20_000 }).toBe(0);
  await expect.poll(() => { run.watch.look(); return run.facts.nozzle === null; }, { timeout: 20_000 }).toBe(false);
}

const entries = <K extends Parameters<typeof readEntriesOf>[2]>(kind: K) => readEntriesOf(live.store.db, runId, kind);
const asked = (): unknown[] => live.store.db.prepare<[string], { bodyJson: string; actor: string }>(`SELECT bodyJson, actor FROM "Command" WHERE runId = ? ORDER BY n`).all(runId).map(({ bodyJson, actor }) => {
  const { kind, at } = JSON.parse(bodyJson) as { kind: string; at?: string };
  return [actor, kind, at];
});
const alertOf = (kind: string) => run.alerts.standing.find(({ cause }) => cause.kind === kind);

describe("a gap on layer 1", () => {
  it("is one alert of medium priority in the log however it grows, and holds the layer: the cell is asked to pause at its end", async () => {
    await make("gap");
    await send("gap");
    await expect.poll(() => alertOf("gap")?.state, { timeout: 20_000 }).toBe("unacknowledged");
    expect(entries("alert.raised").filter(({ payload }) => payload.alertKind === "gap").map(({ payload: { priority, layer, strand } }) => [priority, layer, strand])).toEqual([["medium", 1, 2]]);
    await expect.poll(() => { run.watch.look(); return asked(); }, { timeout: 20_000 }).toEqual([["aslaid", "pause", "layerEnd"]]);
    expect(run.watch.gates.map(({ layer, isHeld, open }) => [layer, isHeld, open.length])).toEqual([[1, true, 1]]);
    expect(alertOf("layerHeld")?.priority).toBe("low");
  });

  it("once a person has accepted it as it is the gate is open, and it takes nothing that its state does not allow", async () => {
    await make("gap");
    await send("gap");
    await expect.poll(() => alertOf("gap")?.n, { timeout: 20_000 }).toBeGreaterThan(0);
    const n = alertOf("gap")?.n ?? 0;
    run.watch.deed({ do: "dispose", n, by: "Dana Ort", disposition: "acceptedAsIs", reason: "noMatterForUse", note: "" });
    expect([run.watch.gates[0]?.isHeld, alertOf("gap")?.state, alertOf("layerHeld")?.isOn ?? false]).toEqual([false, "acknowledged", false]);
    expect(entries("alert.disposed").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Ort", { n, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "" }]]);
    expect(() => run.watch.deed({ do: "acknowledge", n, by: "Dana Ort" })).toThrowError(expect.objectContaining({ code: "alert.badDeed" }));
  });

  it("taken off it is gone, the stretch is bare and holds the layer, and going on begins there", async () => {
    await make("gap");
    await send("gap");
    await expect.poll(() => alertOf("gap")?.n, { timeout: 20_000 }).toBeGreaterThan(0);
    await keepTakenOff(live.hub, runId, { layer: 1, strand: 2, fromMm: 2.5, toMm: 6.5, reason: "gap" }, "Dana Ort");
    await expect.poll(() => run.seen.removed, { timeout: 20_000 }).toEqual([{ layer: 1, strand: 2, fromMm: 2.5, toMm: 6.5 }]);
    await expect.poll(() => { run.watch.look(); return alertOf("gap")?.isOn ?? false; }, { timeout: 20_000 }).toBe(false);
    expect(run.watch.gates.map(({ layer, isHeld, open, bareCount }) => [layer, isHeld, open.length, bareCount])).toEqual([[1, true, 0, 1]]);
    expect(entries("strand.takenOff").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Ort", { layer: 1, strand: 2, fromMm: 2.5, toMm: 6.5, reason: "gap" }]]);
    expect(entries("alert.disposed")[0]?.payload.disposition).toBe("takenOffAndLaidAgain");
  });

  it("a cell that lays over it is asked to pause at once, with an alert of high priority", async () => {
    await make("gap");
    await send("gap", "end");
    await expect.poll(() => { run.watch.look(); return alertOf("gateOverrun")?.priority; }, { timeout: 20_000 }).toBe("high");
    expect(asked().at(-1)).toEqual(["aslaid", "pause", "now"]);
  });

  it("holds the layer also where the program may not pause by itself: that switch opens no gate", async () => {
    await make("gap");
    run.watch.setAutoPause(false, "Dana Ort");
    await send("gap");
    await expect.poll(() => { run.watch.look(); return asked(); }, { timeout: 20_000 }).toEqual([["aslaid", "pause", "layerEnd"]]);
  });

  it("a cell that refuses that pause is told of it, and not asked for the same one again until it was asked to stand and went on", async () => {
    await make("gap");
    await send("gap");
    await expect.poll(() => { run.watch.look(); return asked().length; }, { timeout: 20_000 }).toBe(1);
    live.hub.receive(runId, 1, { outcome: "refused", tS: 5.5, note: "homing" }, "cell-1");
    for (let i = 0; i < 5; i++) run.watch.look();
    expect([asked().length, alertOf("commandRefused")?.cause.subject]).toEqual([1, "1"]);
    const n = live.hub.ask(runId, { kind: "pause", at: "now", retractMm: 0, reason: "a look" }, "screen 1");
    live.hub.receive(runId, n, { outcome: "done", tS: 6, note: "" }, "cell-1");
    run.watch.look();
    const resumed = live.hub.ask(runId, { kind: "resume", layer: 1, strand: 3, sMm: 9, overlapMm: 1, rows: [] }, "Dana Ort");
    live.hub.receive(runId, resumed, { outcome: "done", tS: 7, note: "" }, "cell-1");
    run.watch.look();
    expect(asked().slice(1)).toEqual([["screen 1", "pause", "now"], ["Dana Ort", "resume", undefined], ["aslaid", "pause", "layerEnd"]]);
  });

  it("where the policy only advises nothing is asked, and it is said", async () => {
    await make("gap", { layerGate: { openAct: "advise" } });
    await send("gap");
    await expect.poll(() => alertOf("gap")?.n, { timeout: 20_000 }).toBeGreaterThan(0);
    run.watch.look();
    expect([asked(), run.watch.gates[0]?.isHeld, alertOf("layerHeld")]).toEqual([[], false, undefined]);
  });
});

describe("a lifted strand", () => {
  it("pauses at once by the default policy, once, and with high priority", async () => {
    await make("lift");
    await send("lift");
    await expect.poll(() => { run.watch.look(); return asked()[0]; }, { timeout: 20_000 }).toEqual(["aslaid", "pause", "now"]);
    for (let i = 0; i < 5; i++) run.watch.look();
    expect([asked().length, alertOf("liftedStrand")?.priority]).toEqual([1, "high"]);
  });

  it("pauses nothing at once when a person has switched that off, which the log says; its layer is held at its end all the same", async () => {
    await make("lift");
    run.watch.setAutoPause(false, "Dana Ort");
    await send("lift");
    await expect.poll(() => alertOf("liftedStrand")?.n, { timeout: 20_000 }).toBeGreaterThan(0);
    await expect.poll(() => { run.watch.look(); return asked(); }, { timeout: 20_000 }).toEqual([["aslaid", "pause", "layerEnd"]]);
    expect(entries("autoPause.set").map(({ actor, payload }) => [actor, payload.isOn])).toEqual([["Dana Ort", false]]);
  });
});

describe("a clean print", () => {
  it("has no alert about its paste, and no gate holds", async () => {
    await make("clean");
    await send("clean", "end");
    run.watch.look();
    expect([run.alerts.standing.filter(({ cause }) => cause.place !== null), run.watch.gates.map(({ isHeld }) => isHeld), asked()]).toEqual([[], [false, false], []]);
  });
});

describe("commands", () => {
  it("two screens that ask the same make one command; another place or kind is another; the first answered, it can be asked again", async () => {
    await make("clean");
    const pause = (at: "now" | "strandEnd", reason: string): number => live.hub.ask(runId, { kind: "pause", at, retractMm: 0, reason }, "screen 1");
    expect([pause("strandEnd", "a"), pause("strandEnd", "b"), pause("now", "a"), live.hub.ask(runId, { kind: "abort", reason: "x" }, "screen 2"), live.hub.ask(runId, { kind: "abort", reason: "y" }, "screen 3")]).toEqual([1, 1, 2, 3, 3]);
    live.hub.receive(runId, 1, { outcome: "done", tS: 5.5, note: "" }, "cell-1");
    expect(pause("strandEnd", "again")).toBe(4);
    expect(entries("command.asked").map(({ payload: { n } }) => n)).toEqual([1, 2, 3, 4]);
  });

  it("one that is not answered within receiptS = 0.2 s is an alert of high priority, which goes once it is", async () => {
    await make("clean", { watchdogs: { receiptS: 0.2 } });
    await send("clean");
    const n = live.hub.ask(runId, { kind: "pause", at: "now", retractMm: 0, reason: "a look" }, "screen 1");
    await expect.poll(() => { run.watch.look(); return alertOf("receiptOverdue")?.cause.subject; }, { timeout: 5_000 }).toBe(String(n));
    expect(alertOf("receiptOverdue")?.priority).toBe("high");
    live.hub.receive(runId, n, { outcome: "refused", tS: 5.5, note: "homing" }, "cell-1");
    run.watch.look();
    expect([alertOf("receiptOverdue")?.state, alertOf("commandRefused")?.cause.subject]).toEqual(["returned", String(n)]);
  });
});

describe("silence", () => {
  it("of the profiler and of a cell that never asked for commands is an alert each while the print is live, and none while it is paused", async () => {
    await make("clean", { watchdogs: { profilerSilentS: 0.3, cellSilenceS: 0.4 } });
    await send("clean");
    await expect.poll(() => { run.watch.look(); return [alertOf("profilerSilent")?.isOn, alertOf("cellSilent")?.isOn]; }, { timeout: 5_000 }).toEqual([true, true]);
    const polling = live.hub.commands(runId, 0, 5_000, new AbortController().signal);
    run.watch.look();
    expect(alertOf("cellSilent")?.isOn).toBe(false);
    const n = live.hub.ask(runId, { kind: "pause", at: "now", retractMm: 0, reason: "a look" }, "screen 1");
    expect((await polling).map((each) => each.n)).toEqual([n]);
    live.hub.receive(runId, n, { outcome: "done", tS: 5.5, note: "" }, "cell-1");
    run.watch.look();
    expect([run.row.state, alertOf("profilerSilent")?.isOn]).toEqual(["paused", false]);
  });
});

describe("a server that begins again", () => {
  it("goes on with the alerts that the log leaves, the automatic pause as it was set, and the commands that wait", async () => {
    await make("gap");
    await send("gap");
    await expect.poll(() => { run.watch.look(); return asked().length; }, { timeout: 20_000 }).toBe(1);
    run.watch.deed({ do: "acknowledge", n: alertOf("gap")?.n ?? 0, by: "Dana Ort" });
    run.watch.setAutoPause(false, "Dana Ort");
    const { LiveRun: Again } = await import("../../lib/server/live/liveRun.ts");
    const again = new Again(runId, { store: live.store, dataFolder: live.folder, nowIso: () => new Date().toISOString(), nowMs: Date.now, wake: () => undefined, threads: { keep: async () => null, settle: async () => "", close: async () => undefined, startEngine: () => ({ grown: () => undefined, askCut: () => undefined, askFrame: () => undefined, stop: async () => undefined }) } });
    const plain = (each: LiveRun): unknown[] => each.alerts.standing.map(({ n, state, isOn, priority, acknowledgedBy }) => [n, state, isOn, priority, acknowledgedBy]);
    expect([plain(again), again.watch.autoPause, again.commands.open.map(({ n }) => n)]).toEqual([plain(run), { isOn: false, by: "Dana Ort" }, [1]]);
  });
});
