/** What the simulated cell costs: the share of one core that a live rehearsal takes, simulation, packing and sending together. */
import type { Clock } from "./liveLine.ts";
import { LiveRun } from "./liveRun.ts";
import type { Wire } from "./liveWire.ts";
import { fillSettings } from "./settings.ts";

/** What the measurement is handed. */
export interface CostPorts {
  readonly wire: Wire;
  readonly clock: Clock;
  /** Processor time of this process so far, user and system, s. */
  readonly cpuS: () => number;
}
/** What was measured. */
export interface LiveCost {
  /** Processor time over wall time. */
  readonly coreShare: number;
  readonly wallS: number;
  readonly simulatedS: number;
}

/** Runs for `wallS` at a pace: 200 samples a profile, a profile every 0.25 mm at 8 mm/s, and gives its cost. The run is left unfinished. */
export async function measureLiveCost({ wire, clock, cpuS }: CostPorts, wallS: number, pace = 1): Promise<LiveCost> {
  const stop = new AbortController(), settings = fillSettings({ points: 200, dxMm: 0.07, profileSpacingMm: 0.25, speedMmS: 8, strands: 40, lengthMm: 30, layers: 2 });
  const run = new LiveRun({ settings, syringeMm3: 3000, parts: {}, format: "arrow", pace, wire, clock, unixMs: 0, idempotencyKey: "cost", stop: stop.signal, say: () => undefined, onRun: () => undefined });
  const cpuBeforeS = cpuS(), beganMs = clock.nowMs();
  void clock.sleep(wallS * 1000, run.line.closed).then(() => stop.abort());
  await run.run();
  const spentS = (clock.nowMs() - beganMs) / 1000;
  return { coreShare: (cpuS() - cpuBeforeS) / spentS, wallS: spentS, simulatedS: run.cell.nowS };
}
