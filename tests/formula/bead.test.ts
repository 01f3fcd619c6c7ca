import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { chordFromAngleMm, flankRadiusMm, flowMm3S, laidAreaMm2, outlineMm, visibleAreaMm2, widthFromAreaMm } from "../../lib/formula/bead.ts";
import type { BeadShape } from "../../lib/model/job.ts";
import { integrate } from "../support/numbers.ts";

const near = (value: number, digits = 9): unknown => expect.closeTo(value, digits);
/** Check value 1.1: w 0.8 mm, h 0.4 mm. */
const A11 = 0.285663706;

describe("stadium: A = h (w − h) + π h² / 4 (check values 1.1–1.5, derived)", () => {
  it.each([[0.8, 0.4, A11], [0.6, 0.3, 0.160685835], [1.2, 0.4, 0.445663706], [0.5, 0.25, 0.111587385]])("%d × %d mm lays %d mm²", (w, h, area) => {
    expect(laidAreaMm2("stadium", w, h)).toEqual(near(area));
  });

  it("w = h = 0.41 mm is a circle of 0.132025431 mm² (1.4)", () => {
    expect(laidAreaMm2("stadium", 0.41, 0.41)).toEqual(near(0.132025431));
  });

  it("width from 0.285663706 mm² at 0.4 mm is 0.8 mm (1.3)", () => {
    expect(widthFromAreaMm("stadium", A11, 0.4)).toEqual(near(0.8, 8));
  });

  it("0.3 mm wide and 0.4 mm high is refused with a RangeError, laid and visible; no width has the area of less than a circle (1.5)", () => {
    expect(() => laidAreaMm2("stadium", 0.3, 0.4)).toThrow(RangeError);
    expect(() => visibleAreaMm2("stadium", 0.3, 0.4)).toThrow(RangeError);
    const circle = Math.PI * 0.4 ** 2 / 4;
    expect(widthFromAreaMm("stadium", 0.99 * circle, 0.4)).toBeNaN();
    expect(widthFromAreaMm("stadium", circle, 0.4)).toEqual(near(0.4));
    expect(widthFromAreaMm("stadium", 1.01 * circle, 0.4)).toBeGreaterThan(0.4);
  });

  it("∂A/∂w = h = 0.4 and ∂A/∂h = w − 2 h + π h / 2 = 0.628319 by finite differences; u(A) = 0.014897 mm² for ± 0.02 mm each (1.17, JCGM 100 5.1.2)", () => {
    const e = 1e-5, by = (dw: number, dh: number): number => laidAreaMm2("stadium", 0.8 + dw, 0.4 + dh);
    const dw = (by(e, 0) - by(-e, 0)) / (2 * e), dh = (by(0, e) - by(0, -e)) / (2 * e);
    expect([dw, dh]).toEqual([near(0.4, 6), near(0.628319, 6)]);
    expect(Math.hypot(dw * 0.02, dh * 0.02)).toEqual(near(0.014897, 6));
  });

  it("10 % more or less flow at height 0.4 mm is ± 8.927 % of width, 20 % is ± 17.854 % (1.12)", () => {
    for (const [more, percent] of [[1.1, 8.927], [0.9, -8.927], [1.2, 17.854], [0.8, -17.854]] as const) {
      expect((widthFromAreaMm("stadium", more * A11, 0.4) / 0.8 - 1) * 100).toEqual(near(percent, 3));
    }
    expect([widthFromAreaMm("stadium", 1.1 * A11, 0.4), widthFromAreaMm("stadium", 0.9 * A11, 0.4)]).toEqual([near(0.871416, 6), near(0.728584, 6)]);
  });
});

describe("segment: A = R² (θ − sin θ cos θ) (check values 1.6–1.10, derived)", () => {
  it.each([
    [2, 1, 1.570796327], [Math.sqrt(3), 0.5, 0.614184849], [1, 0.1339745962, 0.090586074], [0.8, 0.4, 0.251327],
  ])("%d mm wide (chord) and %d mm high lays %d mm²", (w, h, area) => {
    expect(laidAreaMm2("segment", w, h)).toEqual(near(area, 6));
  });

  it("a segment with θ 120° stands on a chord of √3, is 1.5 mm high and 2 R = 2 mm wide from above: 2.527407804 mm²", () => {
    expect(laidAreaMm2("segment", 2, 1.5)).toEqual(near(2.527407804));
    expect(flankRadiusMm("segment", 2, 1.5)).toBe(1);
  });

  it("a half circle has R = w/2 from both sides: h just under, on and just over w/2 join without a step", () => {
    const at = (h: number): number[] => [laidAreaMm2("segment", 1.3, h), visibleAreaMm2("segment", 1.3, h), flankRadiusMm("segment", 1.3, h)];
    at(0.65 - 1e-7).forEach((v, i) => expect(v).toEqual(near(at(0.65)[i]!, 5)));
    at(0.65 + 1e-7).forEach((v, i) => expect(v).toEqual(near(at(0.65)[i]!, 5)));
  });

  it.each([[30, 1.775811, 0.237914], [60, 1.181241, 0.340995], [90, 0.852899, 0.426449], [120, 0.582305, 0.504291]])("0.285663706 mm² at θ %d° has a chord of %d mm and is %d mm high (1.9)", (degrees, chord, height) => {
    const theta = degrees * Math.PI / 180;
    const w = chordFromAngleMm(A11, theta);
    expect(w).toEqual(near(chord, 6));
    expect(w / 2 * Math.tan(theta / 2)).toEqual(near(height, 6));
  });

  it("the shallow-bead rule 2/3 w h is 1.4 % low at 1 × 0.133975 mm (1.10)", () => {
    expect(2 / 3 * 0.133975 / laidAreaMm2("segment", 1, 0.133975)).toEqual(near(0.986, 3));
  });

  it("its width comes back from its area, 0.3 × 0.9 to 2 mm (fast-check, seed 17)", () => {
    fc.assert(fc.property(fc.double({ min: 0.3, max: 2, noNaN: true }), fc.double({ min: 0.1, max: 0.9, noNaN: true }), (w, share) => {
      expect(widthFromAreaMm("segment", laidAreaMm2("segment", w, share * w), share * w)).toBeCloseTo(w, 8);
    }), { seed: 17, numRuns: 100 });
    expect(widthFromAreaMm("segment", 0.9 * Math.PI * 0.04, 0.4)).toBeNaN(); // less than the full circle of that height
  });
});

describe("what is seen from above", () => {
  const beads: [BeadShape, number, number][] = [["stadium", 1, 0.5], ["stadium", 0.7, 0.66], ["stadium", 0.5, 0.5], ["segment", 1.1, 0.3], ["segment", 0.9, 0.45], ["segment", 0.8, 0.6]];

  it.each(beads)("a %s of %d × %d mm: visible area is the integral of its upper outline to 0.02 %, and never less than the laid area", (shape, w, h) => {
    // b = w/2 sin t takes the flanks' square roots out of the integral
    const numeric = integrate((t) => outlineMm(shape, w, h, w / 2 * Math.sin(t)) * w / 2 * Math.cos(t), -Math.PI / 2, Math.PI / 2, 20_000);
    expect(Math.abs(visibleAreaMm2(shape, w, h) / numeric - 1)).toBeLessThan(0.0002);
    expect(visibleAreaMm2(shape, w, h)).toBeGreaterThanOrEqual(laidAreaMm2(shape, w, h) - 1e-12);
  });

  it("a stadium hides exactly half of what its flanks lack: w h − visible = (w h − laid) / 2", () => {
    expect(1 * 0.5 - visibleAreaMm2("stadium", 1, 0.5)).toEqual(near((0.5 - laidAreaMm2("stadium", 1, 0.5)) / 2, 12));
    expect(visibleAreaMm2("stadium", 1, 0.5)).toEqual(near(0.473, 3)); // the contract's own example
  });

  it.each(beads)("the outline of a %s of %d × %d mm is its height in the middle and 0 outside", (shape, w, h) => {
    expect(outlineMm(shape, w, h, 0)).toEqual(near(h, 12));
    expect([outlineMm(shape, w, h, w / 2 + 1e-6), outlineMm(shape, w, h, -w)]).toEqual([0, 0]);
    expect(outlineMm(shape, w, h, 0.31 * w)).toEqual(near(outlineMm(shape, w, h, -0.31 * w), 12));
  });

  it("a stadium's flank ends at half its height, a low segment's at 0, a high one's at h − w/2", () => {
    expect(outlineMm("stadium", 1, 0.4, 0.5)).toEqual(near(0.2, 9));
    expect(outlineMm("segment", 1, 0.3, 0.5)).toEqual(near(0, 9));
    expect(outlineMm("segment", 1, 0.7, 0.5)).toEqual(near(0.2, 9));
  });
});

describe("volume conservation", () => {
  it("0.285663706 mm² at 10 mm/s is 2.856637 mm³/s, 0.171398 mL/min (1.11)", () => {
    expect(flowMm3S(A11, 10)).toEqual(near(2.856637, 6));
    expect(flowMm3S(A11, 10) * 60 / 1000).toEqual(near(0.171398, 6));
  });
});
