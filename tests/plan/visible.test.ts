import { describe, expect, it } from "vitest";
import { outlineMm, visibleAreaMm2 } from "../../lib/formula/bead.ts";
import type { BeadShape } from "../../lib/model/job.ts";
import { visibleEnvelopeMm2, type SectionBead } from "../../lib/plan/visible.ts";
import { integrate } from "../support/numbers.ts";

const bead = (bMm: number, widthMm: number, heightMm: number, more: Partial<SectionBead> = {}): SectionBead => ({ bMm, baseMm: 0, widthMm, heightMm, stretch: 1, ...more });

/** The envelope's integral in 200 000 steps, no corner looked for. */
function brute(shape: BeadShape, beads: readonly SectionBead[], right: number, left: number): number {
  return integrate((b) => beads.reduce((top, one) => {
    const own = outlineMm(shape, one.widthMm, one.heightMm, (b - one.bMm) / one.stretch);
    return own > 0 ? Math.max(top, one.baseMm + own) : top;
  }, 0), -right, left, 200_000);
}

describe("visibleEnvelopeMm2, exact to 0.05 %", () => {
  it.each<[BeadShape, number, number]>([["stadium", 1, 0.5], ["stadium", 0.45, 0.45], ["segment", 1.2, 0.35], ["segment", 0.9, 0.62]])("one %s of %d × %d mm alone is its closed form", (shape, w, h) => {
    expect(Math.abs(visibleEnvelopeMm2(shape, [bead(0, w, h)], w, 1.3 * w) / visibleAreaMm2(shape, w, h) - 1)).toBeLessThan(0.0005);
  });

  it("a window that cuts a stadium of 1 × 0.5 mm at ± 0.3 mm is closed form: 0.5 · 0.5 + 2 ∫ over 0.05 mm of flank", () => {
    // flank circle r 0.25 about b = 0.25: ∫ from 0 to d of (r + √(r² − x²)) dx = r d + (d √(r² − d²) + r² asin(d/r)) / 2 (plane geometry)
    const r = 0.25, d = 0.05, flank = r * d + (d * Math.sqrt(r * r - d * d) + r * r * Math.asin(d / r)) / 2;
    expect(Math.abs(visibleEnvelopeMm2("stadium", [bead(0, 1, 0.5)], 0.3, 0.3) / (0.25 + 2 * flank) - 1)).toBeLessThan(0.0005);
  });

  it.each<[string, BeadShape, readonly SectionBead[], number, number]>([
    ["a fused raster, pitch 0.9 mm", "stadium", [bead(0, 1, 0.5), bead(0.9, 1, 0.5), bead(-0.9, 1, 0.5)], 0.45, 0.45],
    ["unequal neighbours", "stadium", [bead(0, 1, 0.5), bead(0.95, 1.3, 0.62), bead(-0.8, 0.7, 0.31)], 0.4, 0.475],
    ["neighbours on a curved base", "stadium", [bead(0, 1, 0.5), bead(0.9, 1, 0.5, { baseMm: -0.03 }), bead(-0.92, 1.1, 0.5, { baseMm: 0.04 })], 0.46, 0.45],
    ["a neighbour that crosses at 50°", "stadium", [bead(0, 1, 0.5), bead(0.95, 1, 0.45, { stretch: 1 / Math.cos(50 * Math.PI / 180) })], 0.8, 0.475],
    ["touching segments", "segment", [bead(0, 1, 0.4), bead(0.93, 1.05, 0.33), bead(-0.88, 1.2, 0.47)], 0.44, 0.465],
    ["overhanging segments", "segment", [bead(0, 0.8, 0.6), bead(0.75, 0.8, 0.55)], 0.7, 0.375],
    ["a neighbour that only just reaches in", "stadium", [bead(0, 1, 0.5), bead(1.22, 1, 0.5)], 0.8, 0.73],
  ])("%s (%s): within 0.05 % of 200 000 steps", (_what, shape, beads, right, left) => {
    expect(Math.abs(visibleEnvelopeMm2(shape, beads, right, left) / brute(shape, beads, right, left) - 1)).toBeLessThan(0.0005);
  });

  it("in a fused raster of pitch 0.9 mm neighbours add nothing that the window does not hold: less than 0.45 mm², the full rectangle, more than the bead cut there", () => {
    const alone = visibleEnvelopeMm2("stadium", [bead(0, 1, 0.5)], 0.45, 0.45);
    const fused = visibleEnvelopeMm2("stadium", [bead(0, 1, 0.5), bead(0.9, 1, 0.5), bead(-0.9, 1, 0.5)], 0.45, 0.45);
    expect(fused).toBeGreaterThanOrEqual(alone - 1e-12);
    expect(fused).toBeLessThan(0.45);
  });
});
