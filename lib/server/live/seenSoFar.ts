/** What a run's engine has told so far, as it stands now: what a screen that is opened in between begins with. Bounded by the plan's stations. */
import type { LiveEvents, LiveReading } from "../../model/liveEvent.ts";
import type { StretchFinding } from "../../model/result.ts";

export class SeenSoFar {
  private readonly readings = new Map<string, LiveReading>();
  private readonly findings = new Map<string, readonly StretchFinding[]>();
  private last: LiveReading | null = null;

  takeReadings(told: LiveEvents["reading"]): void {
    for (const reading of told) {
      const key = `${reading.layer}/${reading.strand}/${reading.stationIndex}`;
      if (reading.verdict === "removed") {
        this.readings.delete(key);
        continue;
      }
      this.readings.set(key, reading);
      if (!(this.last !== null && this.last.tS > reading.tS)) this.last = reading;
    }
  }

  takeFindings({ layer, strand, findings }: LiveEvents["finding"]): void {
    if (findings.length === 0) this.findings.delete(`${layer}/${strand}`);
    else this.findings.set(`${layer}/${strand}`, findings);
  }

  /** The newest reading of each station that has one. */
  get standing(): LiveReading[] {
    return [...this.readings.values()];
  }

  get standingCount(): number {
    return this.readings.size;
  }

  /** Findings of all strands, in no order. */
  get found(): StretchFinding[] {
    return [...this.findings.values()].flat();
  }

  /** The reading of the newest stamp, whether it still stands or not; null: none yet. */
  get newest(): LiveReading | null {
    return this.last;
  }
}
