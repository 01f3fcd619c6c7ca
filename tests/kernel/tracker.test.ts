import { describe, expect, it } from "vitest";
import { LineTracker, type LineTrackerNoise } from "../../lib/kernel/tracker.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { meanOf } from "../support/numbers.ts";

const NOISE: LineTrackerNoise = { step: [0.0003, 3e-5, 1e-4, 8e-6], start: [0.03, 1e-3, 5e-4, 5e-5] };
const R_A = 0.002 ** 2, R_B = 0.0003 ** 2;

describe("LineTracker", () => {
  it("begins at 0 with the stated variances: 0.03² + x² 0.001²", () => {
    const tracker = new LineTracker(NOISE);
    expect([tracker.a, tracker.b]).toEqual([0, 0]);
    expect(tracker.varianceAt(4)).toBeCloseTo(0.03 ** 2 + 16 * 1e-6, 12);
  });

  it("one measurement without correlation is the weighted mean, and the variance the harmonic one (Kalman's scalar update)", () => {
    const tracker = new LineTracker(NOISE);
    tracker.measure(0.02, -0.0004, 0.01 ** 2, 0, 0.002 ** 2);
    expect(tracker.a).toBeCloseTo(0.02 * 0.0009 / (0.0009 + 0.0001), 12);
    expect(tracker.b).toBeCloseTo(-0.0004 * 1e-6 / (1e-6 + 4e-6), 12);
    expect(tracker.varianceAt(0)).toBeCloseTo(1 / (1 / 0.0009 + 1 / 0.0001), 12);
  });

  it("follows a ramp of 0.5 µm a step without lag: under 0.4 µm off after 300 steps of exact measurements", () => {
    const tracker = new LineTracker(NOISE);
    for (let i = 0; i < 300; i++) { tracker.step(); tracker.measure(0.0005 * i, 2e-6 * i, R_A, 0, R_B); }
    expect(Math.abs(tracker.a - 0.0005 * 299)).toBeLessThan(0.0004);
    expect(Math.abs(tracker.b - 2e-6 * 299)).toBeLessThan(4e-6);
  });

  it.each([0.1, 0.3, 1, 2])("its covariance is honest on a signal that wanders %d times as stated: after 300 steps NIS 1.8–2.1, squared error over variance 0.75–1.3 (200 runs, seed 14)", (wander) => {
    const errors: number[] = [], surprises: number[] = [];
    for (let run = 0; run < 200; run++) {
      const random = makeRandom(14, `run ${run}`);
      const tracker = new LineTracker(NOISE);
      let a = 0.03 * random.gauss(), b = 1e-3 * random.gauss(), va = 5e-4 * random.gauss(), vb = 5e-5 * random.gauss();
      for (let i = 0; i < 300; i++) {
        a += va + wander * 0.0003 * random.gauss(); b += vb + wander * 3e-5 * random.gauss(); va += wander * 1e-4 * random.gauss(); vb += wander * 8e-6 * random.gauss();
        tracker.step();
        const nis = tracker.measure(a + Math.sqrt(R_A) * random.gauss(), b + Math.sqrt(R_B) * random.gauss(), R_A, 0, R_B);
        if (i >= 150) surprises.push(nis);
      }
      errors.push((tracker.a - a) ** 2 / tracker.varianceAt(0));
    }
    expect(meanOf(surprises)).toBeGreaterThan(1.8);
    expect(meanOf(surprises)).toBeLessThan(2.1);
    expect(meanOf(errors)).toBeGreaterThan(0.75);
    expect(meanOf(errors)).toBeLessThan(1.3);
  });

  it("learns how much the signal wanders: on a still one its standard deviation is under 0.8 of that on one that wanders three times as stated (20 runs each, seed 15)", () => {
    const meanSd = (wander: number): number => meanOf(Array.from({ length: 20 }, (_, run) => {
      const random = makeRandom(15, `wander ${run}`);
      const tracker = new LineTracker(NOISE);
      let a = 0, b = 0, va = 0, vb = 0;
      for (let i = 0; i < 400; i++) {
        va += wander * 1e-4 * random.gauss(); vb += wander * 8e-6 * random.gauss();
        a += va + wander * 0.0003 * random.gauss(); b += vb + wander * 3e-5 * random.gauss();
        tracker.step();
        tracker.measure(a + Math.sqrt(R_A) * random.gauss(), b + Math.sqrt(R_B) * random.gauss(), R_A, 0, R_B);
      }
      return Math.sqrt(tracker.varianceAt(0));
    }));
    const [still, lively] = [meanSd(0), meanSd(3)];
    expect(still / lively).toBeLessThan(0.8);
  });

  it("a line beyond the gate is not taken: NIS 25.0 against a gate of 20 leaves all as it was, against 30 it moves", () => {
    const measured = (gate: number): LineTracker => {
      const tracker = new LineTracker(NOISE);
      expect(tracker.measure(0.05 * Math.sqrt(10), 0, 0.01 ** 2, 0, 1e-6, gate)).toBeCloseTo(25, 9); // (0.05 √10)² / (0.03² + 0.01²)
      return tracker;
    };
    expect([measured(20).a, measured(20).varianceAt(2)]).toEqual([0, new LineTracker(NOISE).varianceAt(2)]);
    expect(measured(30).a).toBeCloseTo(0.9 * 0.05 * Math.sqrt(10), 12);
  });

  it("over 20 000 steps of measurements a thousand times better at one end than at the other no variance turns negative (seed 16)", () => {
    const random = makeRandom(16, "rounding");
    const tracker = new LineTracker(NOISE);
    let least = Infinity;
    for (let i = 0; i < 20_000; i++) {
      tracker.step();
      tracker.measure(0.001 * random.gauss(), -0.00005 * random.gauss(), 1e-4 + 1e-10, -1e-5, 1e-6 + 1e-12, 20);
      for (const x of [-30, 0, 9.9, 10, 10.1, 30]) least = Math.min(least, tracker.varianceAt(x));
    }
    expect(least).toBeGreaterThan(0);
  });

  it("a tight correlated measurement of a + 3 b leaves the line there, whatever a and b are alone", () => {
    const tracker = new LineTracker(NOISE);
    // a and b of a line known well at x = 3 and badly elsewhere: var(a + 3 b) = 1e-8
    const rbb = 1e-4, rab = -3e-4, raa = 9e-4 + 1e-8;
    tracker.measure(0.05, -0.01, raa, rab, rbb);
    expect(tracker.a + 3 * tracker.b).toBeCloseTo(0.02, 3);
    expect(tracker.varianceAt(3)).toBeLessThan(1.1e-8);
  });

  it("a pause adds 0.02² to the offset's variance and 0.0005² to the tilt's, and keeps offset and tilt", () => {
    const tracker = new LineTracker(NOISE);
    for (let i = 0; i < 40; i++) { tracker.step(); tracker.measure(0.004, 0.0002, R_A, 0, R_B); }
    const { a, b } = tracker, before = [tracker.varianceAt(0), tracker.varianceAt(1) + tracker.varianceAt(-1) - 2 * tracker.varianceAt(0)];
    tracker.pause(0.02, 5e-4);
    expect([tracker.a, tracker.b]).toEqual([a, b]);
    expect(tracker.varianceAt(0)).toBeCloseTo(before[0]! + 0.0004, 12);
    expect(tracker.varianceAt(1) + tracker.varianceAt(-1) - 2 * tracker.varianceAt(0)).toBeCloseTo(before[1]! + 2 * 25e-8, 12);
  });
});
