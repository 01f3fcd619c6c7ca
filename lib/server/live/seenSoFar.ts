/** What a run's engine has told so far, as it stands now: what a screen that is opened in between begins with. Bounded by the plan's stations. */
import type { LiveEvents, LiveFrames, LiveReading } from "../../model/liveEvent.ts";
import type { BodyFinding, CameraFinding, StrandFinding } from "../../model/result.ts";

export class SeenSoFar {
  private readonly readings = new Map<string, LiveReading>();
  private readonly findings = new Map<string, readonly StrandFinding[]>();
  private readonly bodies = new Map<number, readonly BodyFinding[]>(); // by layer
  private readonly removedAt = new Map<string, LiveReading>(); // stations that were taken off and not seen again
  private last: LiveReading | null = null;

  takeReadings(told: LiveEvents["reading"]): void {
    for (const reading of told) {
      const key = `${reading.layer}/${reading.strand}/${reading.stationIndex}`;
      if (reading.verdict === "removed") {
        this.readings.delete(key);
        this.removedAt.set(key, reading);
        continue;
      }
      this.removedAt.delete(key);
      this.readings.set(key, reading);
      if (!(this.last !== null && this.last.tS > reading.tS)) this.last = reading;
    }
  }

  takeFindings({ layer, strand, findings }: LiveEvents["finding"]): void {
    if (findings.length === 0) this.findings.delete(`${layer}/${strand}`);
    else this.findings.set(`${layer}/${strand}`, findings);
  }

  takeBodies({ layer, findings }: LiveEvents["bodies"]): void {
    this.bodies.set(layer, findings);
  }

  /** How camera frames stand; null: none has come. */
  frames: LiveFrames | null = null;

  /** The newest reading of each station that has one. */
  get standing(): LiveReading[] {
    return [...this.readings.values()];
  }

  /** Readings that stand on one strand, in order along it. */
  strand(layer: number, strand: number): LiveReading[] {
    return this.standing.filter((reading) => reading.layer === layer && reading.strand === strand).sort((a, b) => a.sMm - b.sMm);
  }

  /** Stretches that were taken off and are not seen again, in plan order. */
  get removed(): { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }[] {
    const stretches: { layer: number; strand: number; fromMm: number; toMm: number; last: number }[] = [];
    for (const { layer, strand, stationIndex, sMm } of [...this.removedAt.values()].sort((a, b) => a.layer - b.layer || a.strand - b.strand || a.stationIndex - b.stationIndex)) {
      const before = stretches.at(-1);
      if (before?.layer === layer && before.strand === strand && before.last === stationIndex - 1) [before.toMm, before.last] = [sMm, stationIndex];
      else stretches.push({ layer, strand, fromMm: sMm, toMm: sMm, last: stationIndex });
    }
    return stretches.map(({ layer, strand, fromMm, toMm }) => ({ layer, strand, fromMm, toMm }));
  }

  get standingCount(): number {
    return this.readings.size;
  }

  /** Findings of all strands, off the path and of cameras, in no order. */
  get found(): (StrandFinding | BodyFinding | CameraFinding)[] {
    return [...this.findings.values(), ...this.bodies.values(), this.frames?.findings ?? []].flat();
  }

  /** The reading of the newest stamp, whether it still stands or not; null: none yet. */
  get newest(): LiveReading | null {
    return this.last;
  }
}
