/** A live rehearsal in fake time, against the server of cellServer.ts or over another wire: time moves on only while no request is under way. */
import { LiveRun, type Ending, type LiveRunOptions } from "../../lib/rehearsal/liveRun.ts";
import { fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { openWire, type Wire } from "../../lib/rehearsal/liveWire.ts";
import { CellServer } from "./cellServer.ts";
import { FakeClock, settle } from "./fakeClock.ts";

const TINY: Partial<RehearsalSettings> = { strands: 2, lengthMm: 6, points: 24, dxMm: 0.5, scanSpeedMmS: 60 };

export class LiveRehearsal {
  readonly clock = new FakeClock();
  readonly server = new CellServer(this.clock);
  readonly stop = new AbortController();
  readonly said: string[] = [];
  runIds: string[] = [];
  ending: Ending | null = null;
  run!: LiveRun;
  private underWay = 0;

  async begin(settings: Partial<RehearsalSettings> = {}, options: Partial<LiveRunOptions> = {}, over?: Wire): Promise<this> {
    const open = over ?? openWire(await this.server.listen(), "token-7");
    const wire: Wire = async (request, signal) => {
      this.underWay++;
      try {
        return await open(request, signal);
      } finally {
        this.underWay--;
      }
    };
    this.run = new LiveRun({
      settings: fillSettings({ ...TINY, ...settings }), syringeMm3: 2800, parts: {}, format: "arrow", pace: 1, wire, clock: this.clock, unixMs: 1_770_300_000_000, idempotencyKey: "key-5", stop: this.stop.signal,
      say: (line) => { this.said.push(line); }, onRun: (runId) => { this.runIds.push(runId); }, ...options,
    });
    void this.keepEnding(this.run.run());
    return this;
  }

  private async keepEnding(running: Promise<Ending>): Promise<void> { this.ending = await running; }

  get cell(): LiveRun["cell"] { return this.run.cell; }

  /** Moves on until something holds; RangeError after 300 s. */
  async until(test: () => boolean): Promise<this> {
    const lastMs = this.clock.nowMs() + 300_000;
    for (let still = 0; !test();) {
      await settle();
      still = this.underWay > this.server.held ? 0 : still + 1;
      if (still < 3) continue;
      if (this.clock.nowMs() > lastMs) throw new RangeError("that never comes");
      this.clock.moveTo(Math.min(this.clock.nextMs, this.clock.nowMs() + 100));
      still = 0;
    }
    return this;
  }
  for(ms: number): Promise<this> {
    const untilMs = this.clock.nowMs() + ms;
    void this.clock.sleep(ms, new AbortController().signal);
    return this.until(() => this.clock.nowMs() >= untilMs);
  }
  toEnd(): Promise<this> { return this.until(() => this.ending !== null); }
  laid(strand: number, sMm: number): Promise<this> {
    return this.until(() => this.cell.work.laying?.laying === true && this.cell.work.laying.stretch.strand.strand === strand && this.cell.work.laying.sAt(this.cell.nowS) >= sMm);
  }
  close(): Promise<void> { return this.server.close(); }
}
