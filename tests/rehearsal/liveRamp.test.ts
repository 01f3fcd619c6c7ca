import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { makeRamp } from "../../lib/rehearsal/liveRamp.ts";

describe("makeRamp", () => {
  it("a trapezoid: 10 mm at 8 mm/s and 64 mm/s² rises for 0.125 s over 0.5 mm, stays for 9 mm, and takes 1.375 s", () => {
    const ramp = makeRamp(10, 8, 64);
    expect(ramp.durationS).toBeCloseTo(1.375, 12);
    expect(ramp.sAt(0.125)).toBeCloseTo(0.5, 12);
    expect(ramp.speedAt(0.0625)).toBeCloseTo(4, 12);
    expect(ramp.timeAt(9.5)).toBeCloseTo(1.25, 12);
    expect([ramp.sAt(-1), ramp.sAt(2), ramp.timeAt(10.001)]).toEqual([0, 10, Infinity]);
  });

  it("a triangle: 0.36 mm at 100 mm/s² never reaches 8 mm/s: its peak is 6 mm/s after 0.06 s", () => {
    const ramp = makeRamp(0.36, 8, 100);
    expect(ramp.speedAt(0.06)).toBeCloseTo(6, 9);
    expect(ramp.durationS).toBeCloseTo(0.12, 12);
  });

  it("a brake from 7 mm/s at 70 mm/s² stands after 0.1 s and 0.35 mm; 0.34 mm are too little", () => {
    const ramp = makeRamp(0.35, 7, 70, 7);
    expect(ramp.durationS).toBeCloseTo(0.1, 9);
    expect(ramp.speedAt(0.05)).toBeCloseTo(3.5, 9);
    expect(() => makeRamp(0.34, 7, 70, 7)).toThrow(RangeError);
  });

  it("a way of 0 takes no time", () => {
    expect([makeRamp(0, 8, 60).durationS, makeRamp(0, 8, 60).sAt(0.1)]).toEqual([0, 0]);
  });

  it("way and time are each other's inverse, and speed is the way's slope, within limits (1000 ramps)", () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(fc.property(number(0.01, 300), number(0.1, 500), number(1, 4000), number(0.001, 0.999), number(0, 1), (lengthMm, top, accel, share, moving) => {
      const ramp = makeRamp(lengthMm, top, accel, moving * Math.min(top, Math.sqrt(2 * accel * lengthMm))), t = share * ramp.durationS, eps = 1e-6 * ramp.durationS;
      expect(ramp.sAt(ramp.durationS)).toBeCloseTo(lengthMm, 9);
      expect(ramp.timeAt(ramp.sAt(t))).toBeCloseTo(t, 5);
      expect(ramp.speedAt(t)).toBeLessThanOrEqual(top * (1 + 1e-9));
      expect((ramp.sAt(t + eps) - ramp.sAt(t - eps)) / (2 * eps)).toBeCloseTo(ramp.speedAt(t), 1);
    }), { seed: 11, numRuns: 1000 });
  });
});
