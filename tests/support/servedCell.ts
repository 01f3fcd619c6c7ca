/** The simulated cell on a server in the test's own process, in wall time, and what a person asks of it on the page. */
import { wallClock } from "../../lib/command/cell.ts";
import { snapStretch } from "../../lib/control/rework.ts";
import type { StretchFinding } from "../../lib/model/result.ts";
import type { CauseKind } from "../../lib/rehearsal/liveCauses.ts";
import { LiveRun, type Ending } from "../../lib/rehearsal/liveRun.ts";
import { openWire } from "../../lib/rehearsal/liveWire.ts";
import { fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { lookAt } from "../../lib/server/look/planLook.ts";
import type { LiveRun as ServedRun } from "../../lib/server/live/liveRun.ts";
import type { PlanRow } from "../../lib/control/resume.ts";
import type { SheetLayer } from "../../lib/model/sheet.ts";
import type { LiveServer } from "./liveServer.ts";

/** A batch of the cell's is closed more often, so that its nozzle goes half a millimetre between two. */
const BATCH_MS = 100, STEP_MS = 8;
/** Findings of a strand are told within half of this. */
const QUIET_MS = 1000;
const PACE = 8, BY = "N. Engineer", OVERLAP_MM = 1;

export class ServedCell {
  readonly said: string[] = [];
  /** Calls that the cell made, without the run's id. */
  readonly calls: string[] = [];
  runId = "";
  private readonly cell: LiveRun;
  private ending: Promise<Ending> | null = null;

  constructor(private readonly live: LiveServer, settings: Partial<RehearsalSettings>) {
    const wall = wallClock({ out: () => Promise.resolve(), err: () => undefined, nowMs: () => performance.now() });
    const clock = { ...wall, sleep: (ms: number, signal: AbortSignal) => wall.sleep(ms <= BATCH_MS ? Math.min(STEP_MS, ms) : ms, signal) };
    const open = openWire(live.url, live.client.token);
    this.cell = new LiveRun({
      settings: fillSettings(settings), syringeMm3: 2700, parts: {}, format: "arrow", pace: PACE, clock,
      wire: (request, signal) => {
        this.calls.push(request.path.split("/").at(-1) as string);
        return open(request, signal);
      },
      unixMs: Date.now(),
      idempotencyKey: `key ${settings.seed}`, stop: new AbortController().signal, say: (line) => { this.said.push(line); }, onRun: (runId) => { this.runId = runId; },
    });
  }

  /** Begins to print; the program does not pause it by itself. */
  async begin(): Promise<this> {
    this.ending = this.cell.run();
    await until(() => this.runId !== "");
    this.run.watch.setAutoPause(false, BY);
    return this;
  }
  /** How the cell's run ended. */
  ended(): Promise<Ending> { return this.ending as Promise<Ending>; }
  /** The run as the server has it. */
  get run(): ServedRun { return this.live.hub.open(this.runId); }

  async untilLaid(strand: number, sMm: number): Promise<void> {
    const { work } = this.cell.cell;
    await until(() => work.laying?.stretch.strand.strand === strand && work.laying.laying && work.laying.sAt(this.cell.cell.nowS) >= sMm);
  }
  cause(kind: CauseKind, undo = false): string { return this.cell.cause({ kind, undo, place: null }); }

  /** The first finding on a strand that asks for an act, once nothing more is told of it. */
  async found(strand: number): Promise<StretchFinding> {
    const found = (): StretchFinding[] => this.run.seen.found.filter((one): one is StretchFinding => "strand" in one && one.strand === strand && one.severity === "act");
    const told = (): string => JSON.stringify(found());
    for (let before = ""; told() === "[]" || told() !== before;) {
      before = told();
      await new Promise((done) => { setTimeout(done, QUIET_MS); });
    }
    return found()[0] as StretchFinding;
  }

  async pause(at: "now" | "strandEnd"): Promise<void> {
    this.live.hub.ask(this.runId, { kind: "pause", at, retractMm: 0, reason: "found" }, BY);
    await until(() => this.run.row.state === "paused" && this.cell.cell.resting);
  }

  /** Marks a finding's stretch as taken off, and asks the cell to go on there. */
  async layAgain({ layer, strand, fromMm, toMm }: Pick<StretchFinding, "layer" | "strand" | "fromMm" | "toMm">) {
    const kept = this.live.store.db.prepare<[string], { jobText: string; planText: string }>(`SELECT jobText, planText FROM "Run" WHERE id = ?`).get(this.runId) as { jobText: string; planText: string };
    const stations = (lookAt({ op: "layers", ...kept }) as readonly SheetLayer[]).flatMap(({ strands }) => strands).find((each) => each.layer === layer && each.strand === strand)?.sMm ?? [];
    const stretch = snapStretch(stations, { fromMm, toMm }) as { fromMm: number; toMm: number }, { nozzle } = this.run.facts;
    await this.live.hub.takeOff(this.runId, { layer, strand, ...stretch, reason: "laidAgainAtOnce" }, BY);
    const rows = lookAt({ op: "rows", ...kept, ask: { from: { layer, strand, sMm: stretch.fromMm }, overlapMm: OVERLAP_MM, toMm: stretch.toMm, stoppedAt: nozzle } }) as readonly PlanRow[];
    const n = this.live.hub.ask(this.runId, { kind: "resume", layer, strand, sMm: stretch.fromMm, overlapMm: OVERLAP_MM, rows: rows.map((row) => ({ ...row })) }, BY);
    return { stretch, n };
  }
}

/** Until something holds; RangeError after 60 s. */
async function until(test: () => boolean): Promise<void> {
  for (const startMs = performance.now(); !test();) {
    if (performance.now() - startMs > 60_000) throw new RangeError("that never comes");
    await new Promise((done) => { setTimeout(done, 3); });
  }
}
