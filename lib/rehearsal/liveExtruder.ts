/** Paste on its way out of the nozzle: flow follows what is commanded after a lag of first order, and the syringe empties. mm³, mm³/s, s. */

/** Time constant of the flow, s: paste and syringe give way before they flow. Ours, for demonstration; no measurement stands behind it. */
export const FLOW_LAG_S = 0.04;
/** Bore of the syringe: 8.66 mm. */
export const SYRINGE_AREA_MM2 = 58.9;

/** Syringe and nozzle; begins full, at rest. */
export class Extruder {
  /** What leaves the nozzle now. */
  flowMm3S = 0;
  leftMm3: number;

  constructor(syringeMm3: number) {
    this.leftMm3 = syringeMm3;
  }

  /** Height of paste in the syringe; falls as it empties. */
  get plungerMm(): number { return this.leftMm3 / SYRINGE_AREA_MM2; }

  /** Moves on by `afterS` at a constant command and gives the volume that left; closed form of q' = (wanted − q) / lag. */
  advance(afterS: number, wantedMm3S: number): number {
    const gone = Math.exp(-afterS / FLOW_LAG_S), excess = this.flowMm3S - wantedMm3S;
    this.flowMm3S = wantedMm3S + excess * gone;
    return this.draw(wantedMm3S * afterS + excess * FLOW_LAG_S * (1 - gone));
  }

  /** What still trails out once the command is off; flow is 0 afterwards. */
  settle(): number {
    const volume = this.flowMm3S * FLOW_LAG_S;
    this.flowMm3S = 0;
    return this.draw(volume);
  }

  private draw(volumeMm3: number): number {
    const out = Math.min(volumeMm3, this.leftMm3);
    this.leftMm3 -= out;
    if (this.leftMm3 <= 0) this.flowMm3S = 0;
    return out;
  }
}
