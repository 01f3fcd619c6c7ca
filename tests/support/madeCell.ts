/** The simulated cell moved on in its own time, and what came out of it; also measured in memory. */
import { resolveJob, toleranceEcho } from "../../lib/model/jobSchema.ts";
import type { Message, ProfileMessage, ProgressMessage, SignalMessage } from "../../lib/model/messages.ts";
import type { Plan } from "../../lib/model/plan.ts";
import type { InspectResult } from "../../lib/model/result.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { LiveCell, type Outgoing } from "../../lib/rehearsal/liveCell.ts";
import type { Receipt } from "../../lib/rehearsal/liveCommand.ts";
import { liveJob } from "../../lib/rehearsal/liveJob.ts";
import { fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { RunEngine } from "../../lib/run/engine.ts";

/** A small head, so that tests are quick: 14 mm in 141 samples. */
export const SMALL: Partial<RehearsalSettings> = { points: 141, dxMm: 0.1, strands: 2, lengthMm: 12 };

/** A cell with everything it has sent so far. */
export class MadeCell {
  readonly settings: RehearsalSettings;
  readonly cell: LiveCell;
  readonly sent: Outgoing[] = [];

  constructor(settings: Partial<RehearsalSettings>, { pace = 1, syringeMm3 = 2900 } = {}) {
    this.settings = fillSettings({ ...SMALL, ...settings });
    this.cell = new LiveCell(this.settings, { pace, syringeMm3 });
  }

  /** Moves on to time tS in steps. */
  to(tS: number, stepS = 0.1): this {
    while (this.cell.nowS < tS && this.cell.phase === "printing") {
      this.cell.advanceTo(Math.min(tS, this.cell.nowS + stepS));
      this.sent.push(...this.cell.drain());
    }
    this.sent.push(...this.cell.drain());
    return this;
  }
  for(spanS: number): this { return this.to(this.cell.nowS + spanS); }
  /** To the end of the print; RangeError where it does not end within 1000 s. */
  toEnd(): this {
    this.to(1000, 0.5);
    if (this.cell.phase === "printing") throw new RangeError("the print does not end");
    return this;
  }
  /** Moves on until a test of the cell holds, to a millisecond. */
  until(test: (cell: LiveCell) => boolean): this {
    while (!test(this.cell)) {
      if (this.cell.phase !== "printing" || this.cell.nowS > 1000) throw new RangeError("that never comes");
      this.to(this.cell.nowS + 0.001, 0.001);
    }
    return this;
  }
  /** Until the nozzle has laid a strand up to there. */
  untilLaid(layer: number, strand: number, sMm: number): this {
    return this.until(({ work: { laying }, nowS }) => laying !== null && laying.laying && laying.stretch.strand.layer === layer && laying.stretch.strand.strand === strand && laying.sAt(nowS) >= sMm);
  }

  get profiles(): ProfileMessage[] { return this.sent.filter((one): one is ProfileMessage => one.kind === "profile"); }
  get progress(): ProgressMessage[] { return this.sent.filter((one): one is ProgressMessage => one.kind === "progress"); }
  get receipts(): Receipt[] { return this.sent.filter((one): one is Receipt => one.kind === "receipt"); }
  signals(name: string): SignalMessage[] { return this.sent.filter((one): one is SignalMessage => one.kind === "signal" && one.name === name); }

  /** Its plan, as a server reads it. */
  get plan(): Plan {
    const { job: raw, planText } = liveJob(this.settings, 2900, 1_770_000_000_000);
    return readPlanCsv(planText, resolveJob(raw, "job.json").job, "plan.csv").plan;
  }

  /** What measuring makes of it. */
  measured(): InspectResult {
    const { job: raw } = liveJob(this.settings, 2900, 1_770_000_000_000);
    const { job } = resolveJob(raw, "job.json");
    const engine = new RunEngine(this.plan, job, { hasProgress: true });
    const order = { progress: 0, rework: 1, profile: 2 } as Record<string, number>;
    const messages = this.sent.filter((one): one is Message & Outgoing => one.kind in order);
    for (const message of messages.sort((a, b) => a.tS - b.tS || (order[a.kind] as number) - (order[b.kind] as number))) engine.push(message);
    return engine.finish([], toleranceEcho(raw, job));
  }
}
