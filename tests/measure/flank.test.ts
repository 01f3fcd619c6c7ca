import { describe, expect, it } from "vitest";
import { outlineMm } from "../../lib/formula/bead.ts";
import { findBead, type BeadInRow, type RowShape } from "../../lib/measure/flank.ts";
import type { BeadShape } from "../../lib/model/job.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf, sdOf } from "../support/numbers.ts";

const rowShape = (shape: BeadShape, change: Partial<RowShape> = {}): RowShape => ({
  shape, widthMm: 1, heightMm: 0.5, sigmaMm: 0.01, pitchMm: 0.03, windowRightMm: 0.8, windowLeftMm: 0.8, spanned: false, limitRightMm: 1.8, limitLeftMm: 1.8, ...change,
});

/** What a section looks like: thickness at b; NaN = no return. */
type Section = (b: number) => number;
const beadAt = (shape: BeadShape, at: number, w = 1, h = 0.5): Section => (b) => outlineMm(shape, w, h, b - at);

/** Samples every `pitch` from −1.7 mm on, first shifted by `phase` pitches. */
function samples(section: Section, s: { pitch?: number; phase?: number; noise?: () => number } = {}): { b: Float64Array; t: Float64Array; count: number } {
  const { pitch = 0.03, phase = 0, noise = () => 0 } = s;
  const b: number[] = [], t: number[] = [];
  for (let x = -1.7 + phase * pitch; x < 1.7; x += pitch) {
    const z = section(x);
    if (Number.isNaN(z)) continue;
    b.push(x);
    t.push(z + noise());
  }
  return { b: Float64Array.from(b), t: Float64Array.from(t), count: b.length };
}
function bead(section: Section, shape: RowShape, s: Parameters<typeof samples>[1] = {}): BeadInRow {
  const { b, t, count } = samples(section, s);
  return findBead(b, t, count, shape);
}

/** Errors of both flanks (outwards positive) and their u, over `count` draws at random phases and places. */
function draws(shape: BeadShape, size: { w: number; h: number }, sigma: number, count: number, seed: number): { errors: number[]; us: number[]; widths: number[]; crowns: number[] } {
  const random = makeRandom(seed, `flank ${shape}`);
  const errors: number[] = [], us: number[] = [], widths: number[] = [], crowns: number[] = [];
  for (let k = 0; k < count; k++) {
    const at = 0.1 * (random.next() - 0.5);
    const found = bead(beadAt(shape, at, size.w, size.h), rowShape(shape, { sigmaMm: Math.max(sigma, 0.001) }), { phase: random.next(), noise: () => sigma * random.gauss() });
    errors.push(found.left - at - size.w / 2, -(found.right - at + size.w / 2));
    us.push(found.uLeft, found.uRight);
    widths.push(found.left - found.right);
    crowns.push(found.crownMm);
  }
  return { errors, us, widths, crowns };
}

describe("flanks of a bead of 1.0 × 0.5 mm, sampled every 0.03 mm at random phases", () => {
  it.each<[BeadShape, number, number, number]>([["stadium", 0.01, 1.5, 5], ["stadium", 0.002, 1.5, 4], ["segment", 0.01, 3, 7]])("%s, σ %d mm, 400 draws (seed 5): |bias| of a flank under %d µm, sd under %d µm", (shape, sigma, bias, sd) => {
    const { errors } = draws(shape, { w: 1, h: 0.5 }, sigma, 400, 5);
    expect(Math.abs(meanOf(errors)) * 1000).toBeLessThan(bias);
    expect(sdOf(errors) * 1000).toBeLessThan(sd);
  });

  it.each<[BeadShape, number]>([["stadium", 0.01], ["stadium", 0.03], ["segment", 0.01]])("%s, σ %d mm: u is honest, error within 2 u at 88–100 % and rms error over u 0.6–1.25 (seed 6)", (shape, sigma) => {
    const { errors, us } = draws(shape, { w: 1, h: 0.5 }, sigma, 400, 6);
    const within = errors.filter((e, i) => Math.abs(e) <= 2 * us[i]!).length / errors.length;
    expect(within).toBeGreaterThan(0.88);
    const rms = Math.sqrt(meanOf(errors.map((e, i) => (e / us[i]!) ** 2)));
    expect(rms).toBeGreaterThan(0.6);
    expect(rms).toBeLessThan(1.25);
  });

  it.each([[0.9, 0.44], [1.25, 0.62]])("a stadium laid %d × %d mm in place of the planned one: width within 4 µm on average (seed 7)", (w, h) => {
    const { widths } = draws("stadium", { w, h }, 0.01, 200, 7);
    expect(Math.abs(meanOf(widths) - w)).toBeLessThan(0.004);
  });

  it("a flank lies between the outermost sample on the bead and the next one off it, at every one of 50 phases", () => {
    for (let k = 0; k < 50; k++) {
      const { b, t, count } = samples(beadAt("stadium", 0.013), { phase: k / 50 });
      const found = findBead(b, t, count, rowShape("stadium"));
      expect(found.left).toBeGreaterThan(b[found.last]!);
      expect(found.left).toBeLessThan(b[found.last + 1]!);
      expect(found.right).toBeLessThan(b[found.first]!);
      expect(found.right).toBeGreaterThan(b[found.first - 1]!);
    }
  });

  it("half the samples of a flank missing: the place is found to 15 µm, with a larger u", () => {
    const whole = bead(beadAt("stadium", 0), rowShape("stadium"), { phase: 0.4 });
    const holed = bead((b) => (b > 0.4 && b < 0.53 && Math.round(b * 100) % 2 === 0 ? Number.NaN : beadAt("stadium", 0)(b)), rowShape("stadium"), { phase: 0.4 });
    expect(Math.abs(holed.left - 0.5)).toBeLessThan(0.015);
    expect(holed.uLeft).toBeGreaterThanOrEqual(whole.uLeft);
  });

  it("a shadow 0.25 mm wide over a flank: found to 30 µm, its u over three times that of the open side", () => {
    const found = bead((b) => (b > 0.42 && b < 0.67 ? Number.NaN : beadAt("stadium", 0)(b)), rowShape("stadium"));
    expect(Math.abs(found.left - 0.5)).toBeLessThan(0.03);
    expect(found.uLeft).toBeGreaterThan(3 * found.uRight);
  });
});

describe("where a flank cannot be seen it is null, never guessed", () => {
  const nan = expect.toSatisfy(Number.isNaN);
  it("a bead that touches its neighbour at the half-way limit of 0.45 mm on both sides has neither flank, but its crown", () => {
    const raster: Section = (b) => Math.max(beadAt("stadium", 0)(b), beadAt("stadium", 0.9)(b), beadAt("stadium", -0.9)(b));
    const found = bead(raster, rowShape("stadium", { windowLeftMm: 0.45, windowRightMm: 0.45, limitLeftMm: 0.45, limitRightMm: 0.45 }));
    expect([found.left, found.right]).toEqual([nan, nan]);
    expect(found.crownMm).toBeCloseTo(0.5, 9);
  });

  it("touching on the left alone leaves the right flank seen, at −0.5 mm to 10 µm", () => {
    const found = bead((b) => Math.max(beadAt("stadium", 0)(b), beadAt("stadium", 0.9)(b)), rowShape("stadium", { windowLeftMm: 0.45, limitLeftMm: 0.45 }));
    expect(found.left).toBeNaN();
    expect(Math.abs(found.right + 0.5)).toBeLessThan(0.01);
  });

  it("a sensor's field that ends on the bead: no flank there", () => {
    const found = bead((b) => (b > 0.3 ? Number.NaN : beadAt("stadium", 0)(b)), rowShape("stadium"));
    expect(found.left).toBeNaN();
    expect(found.right).not.toBeNaN();
  });

  it("a hole over 0.6 w wide beside the bead: no flank there", () => {
    expect(bead((b) => (b > 0.3 && b < 0.95 ? Number.NaN : beadAt("stadium", 0)(b)), rowShape("stadium")).left).toBeNaN();
  });

  it("bare support under 0.2 h and 4 σ is no bead: first after last", () => {
    const random = makeRandom(8, "bare");
    const found = bead(() => 0, rowShape("stadium"), { noise: () => 0.01 * random.gauss() });
    expect(found.first).toBeGreaterThan(found.last);
    expect([found.crownMm, found.left, found.right]).toEqual([nan, nan, nan]);
  });
});

describe("which run of samples is the bead", () => {
  it("a bead displaced by 0.45 mm is followed beyond its window, flanks to 10 µm", () => {
    const found = bead(beadAt("stadium", 0.45), rowShape("stadium"));
    expect([Math.abs(found.left - 0.95), Math.abs(found.right + 0.05)].every((e) => e < 0.01)).toBe(true);
  });

  it("a larger body that only begins in the window does not win over the bead", () => {
    const found = bead((b) => Math.max(beadAt("stadium", 0)(b), beadAt("stadium", 1.3, 1.2, 0.7)(b)), rowShape("stadium", { windowLeftMm: 0.8 }));
    expect(Math.abs((found.left + found.right) / 2)).toBeLessThan(0.02);
  });

  it("a dip of two samples and a hole of 0.2 mm in its top do not end it", () => {
    const found = bead((b) => (b > -0.3 && b < -0.1 ? Number.NaN : b > 0.1 && b < 0.15 ? 0.05 : beadAt("stadium", 0)(b)), rowShape("stadium"));
    expect(Math.abs(found.left - found.right - 1)).toBeLessThan(0.02);
  });
});
