import { describe, expect, it } from "vitest";
import { outlineMm } from "../../lib/formula/bead.ts";
import { topDeviationMm, type PlannedTop } from "../../lib/formula/beadTop.ts";
import type { BeadShape } from "../../lib/model/job.ts";

const alone = (shape: BeadShape, widthMm: number, heightMm: number): PlannedTop => ({ shape, widthMm, heightMm, halfRightMm: Infinity, halfLeftMm: Infinity });

/** Nearest of many points of the outline, its walls included, mirrored at half-way: brute force. */
function byForce({ shape, widthMm, heightMm, halfLeftMm, halfRightMm }: PlannedTop, b: number, n: number): number {
  let best = Infinity;
  const bead = (at: number): number => outlineMm(shape, widthMm, heightMm, at);
  const near = (x: number, y: number): void => { best = Math.min(best, Math.hypot(b - x, n - y)); };
  const STEPS = 40_000;
  for (let i = 0; i <= STEPS; i++) {
    const x = widthMm / 2 * Math.cos(Math.PI * i / STEPS);
    if (x <= halfLeftMm && x >= -halfRightMm) near(x, bead(x));
  }
  for (const [side, half] of [[1, halfLeftMm], [-1, halfRightMm]] as const) {
    if (half >= widthMm / 2) for (let i = 0; i <= 4000; i++) near(side * widthMm / 2, bead(widthMm / 2) * i / 4000);
    else near(side * half, bead(half));
  }
  return Math.abs(b) > widthMm / 2 || n >= bead(b) ? best : -best;
}

describe("deviation from the planned top of a bead", () => {
  it("stadium 1.0 × 0.5 mm: 0.03 over its flat is +0.03, 0.02 below −0.02; 0.3 mm from a flank's centre +0.05; 0.04 beside its wall +0.04", () => {
    const top = alone("stadium", 1, 0.5);
    expect(topDeviationMm(top, -0.1, 0.53)).toBeCloseTo(0.03, 12);
    expect(topDeviationMm(top, 0.2, 0.48)).toBeCloseTo(-0.02, 12);
    expect(topDeviationMm(top, 0.25 + 0.3 * Math.cos(0.7), 0.25 + 0.3 * Math.sin(0.7))).toBeCloseTo(0.05, 12);
    expect(topDeviationMm(top, -0.25 - 0.21 * Math.cos(0.9), 0.25 + 0.21 * Math.sin(0.9))).toBeCloseTo(-0.04, 12);
    expect(topDeviationMm(top, 0.54, 0.1)).toBeCloseTo(0.04, 12);
    expect(topDeviationMm(top, 0, 0)).toBeCloseTo(-0.5, 12); // nothing lies in its middle
  });

  it("segment 1.0 × 0.3 mm (R = 0.566667 mm): on the circle 0 for any angle, 0.03 outside it +0.03, 0.05 inside −0.05", () => {
    const top = alone("segment", 1, 0.3), r = (0.25 + 0.09) / 0.6;
    for (const angle of [-0.9, -0.3, 0, 0.5, 1]) {
      for (const d of [0, 0.03, -0.05]) expect(topDeviationMm(top, (r + d) * Math.sin(angle), 0.3 - r + (r + d) * Math.cos(angle))).toBeCloseTo(d, 12);
    }
  });

  it.each([
    ["stadium", 1.1, 0.45, Infinity, Infinity], ["stadium", 1, 0.5, 0.43, 0.61], ["segment", 0.9, 0.35, Infinity, 0.4], ["segment", 0.8, 0.6, Infinity, Infinity], ["segment", 0.8, 0.6, 0.37, 0.9],
  ] as const)("%s %s × %s mm, half-way at %s to the right and %s mm to the left: as by brute force to 0.05 µm", (shape, widthMm, heightMm, halfRightMm, halfLeftMm) => {
    const top: PlannedTop = { shape, widthMm, heightMm, halfRightMm, halfLeftMm };
    for (let b = -0.7; b <= 0.7; b += 0.0931) {
      if (b < -halfRightMm || b > halfLeftMm) continue;
      for (let n = 0.011; n <= 0.8; n += 0.0733) expect(Math.abs(topDeviationMm(top, b, n) - byForce(top, b, n)), `${b.toFixed(3)}, ${n.toFixed(3)}`).toBeLessThan(5e-5);
    }
  });

  it("where a neighbour touches at 0.45 mm the valley is the nearest of what is planned: on it 0, 0.02 below it −0.02", () => {
    const top: PlannedTop = { shape: "stadium", widthMm: 1, heightMm: 0.5, halfRightMm: 0.45, halfLeftMm: 0.45 }, valley = outlineMm("stadium", 1, 0.5, 0.45);
    expect(topDeviationMm(top, 0.45, valley)).toBeCloseTo(0, 12);
    expect(topDeviationMm(top, -0.45, valley - 0.02)).toBeCloseTo(-0.02, 12);
  });
});
