/** The simulated cell in fake time on a server in the test's own process, and what a person asks of it on the page. */
import { setTimeout as pause } from "node:timers/promises";
import type { PlanRow } from "../../lib/control/resume.ts";
import { snapStretch, type Marked } from "../../lib/control/rework.ts";
import type { StretchFinding } from "../../lib/model/result.ts";
import type { SheetLayer } from "../../lib/model/sheet.ts";
import { openWire, type Wire } from "../../lib/rehearsal/liveWire.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import type { LiveRun } from "../../lib/server/live/liveRun.ts";
import { lookAt } from "../../lib/server/look/planLook.ts";
import { keepTakenOff } from "../../lib/server/live/personRows.ts";
import { LiveRehearsal } from "./liveRehearsal.ts";
import type { LiveServer } from "./liveServer.ts";

/** Findings of a strand are told within half of this. */
const QUIET_MS = 1000;
const PACE = 2, BESIDE_MM = 0.5, BY = "N. Engineer", OVERLAP_MM = 1;

export class ServedCell {
  readonly rehearsal = new LiveRehearsal();
  /** Last parts of the paths that the cell called. */
  readonly calls: string[] = [];

  constructor(private readonly live: LiveServer) {}

  /** Begins to print; the program does not pause it by itself. A poll is answered at once: the server's clock is not the cell's. */
  async begin(settings: Partial<RehearsalSettings>): Promise<this> {
    const open = openWire(this.live.url, this.live.client.token);
    const wire: Wire = (request, signal) => {
      this.calls.push(request.path.split("/").at(-1) as string);
      return open({ ...request, path: request.path.replace(/waitS=.*/, "waitS=0") }, signal);
    };
    await this.rehearsal.begin(settings, { pace: PACE, idempotencyKey: `seed ${settings.seed}` }, wire);
    await this.rehearsal.until(() => this.rehearsal.runIds.length > 0);
    this.run.watch.setAutoPause(false, BY);
    return this;
  }

  get runId(): string { return this.rehearsal.runIds[0] as string; }
  /** The run as the server has it. */
  get run(): LiveRun { return this.live.hub.open(this.runId); }

  async pause(at: "now" | "strandEnd"): Promise<void> {
    this.live.hub.ask(this.runId, { kind: "pause", at, retractMm: 0, reason: "found" }, BY);
    await this.rehearsal.until(() => this.run.row.state === "paused" && this.rehearsal.cell.resting);
  }

  /** The first finding on a strand that asks for an act, once nothing more is told of it; RangeError after 60 s. */
  async found(strand: number): Promise<StretchFinding> {
    const told = (): StretchFinding[] => this.run.seen.found.filter((one): one is StretchFinding => "strand" in one && one.strand === strand && one.severity === "act");
    let before: StretchFinding[] = [];
    for (let waitedMs = 0; before.length === 0 || JSON.stringify(told()) !== JSON.stringify(before); waitedMs += QUIET_MS) {
      if (waitedMs > 60_000) throw new RangeError("nothing is found");
      before = told();
      await pause(QUIET_MS);
    }
    return before[0] as StretchFinding;
  }

  /** Marks a finding's stretch, and what thins out beside it, as taken off, and asks the cell to go on there: the command's number. */
  async layAgain({ layer, strand, fromMm, toMm }: StretchFinding): Promise<{ readonly stretch: Marked; readonly n: number }> {
    const { hub, store: { db } } = this.live, kept = db.prepare<[string], { jobText: string; planText: string }>(`SELECT jobText, planText FROM "Run" WHERE id = ?`).get(this.runId) as { jobText: string; planText: string };
    const stations = (lookAt({ op: "layers", ...kept }) as readonly SheetLayer[]).flatMap(({ strands }) => strands).find((each) => each.layer === layer && each.strand === strand)?.sMm ?? [];
    const stretch = snapStretch(stations, { fromMm: fromMm - BESIDE_MM, toMm: toMm + BESIDE_MM }) as Marked, from = { layer, strand, sMm: stretch.fromMm };
    await keepTakenOff(hub, this.runId, { layer, strand, ...stretch, reason: "gap" }, BY);
    const rows = lookAt({ op: "rows", ...kept, ask: { from, overlapMm: OVERLAP_MM, toMm: stretch.toMm, stoppedAt: this.run.facts.nozzle } }) as readonly PlanRow[];
    return { stretch, n: hub.ask(this.runId, { kind: "resume", ...from, overlapMm: OVERLAP_MM, rows: rows.map((row) => ({ ...row })) }, BY) };
  }
}
