import { describe, expect, it } from "vitest";
import { judgePores } from "../../lib/judge/pores.ts";
import type { Reading } from "../../lib/model/reading.ts";
import type { PoreFinding } from "../../lib/model/result.ts";
import { plannedPores } from "../../lib/plan/pores.ts";
import { buildStations } from "../../lib/plan/stations.ts";
import { madePlan } from "../support/madePlan.ts";
import { madeReading } from "../support/madeReading.ts";

// two strands 1.8 mm apart: a pore of 0.8 mm, closed under 0.2 mm; stations 0 … 10 every 0.5 mm
const PLAN = buildStations(madePlan([{ strand: 1, points: [[0, 0, 0.5], [5, 0, 0.5]] }, { strand: 2, points: [[0, 1.8, 0.5], [5, 1.8, 0.5]] }]), 0.5);
const PORES = plannedPores(PLAN);
const NAN = Number.NaN;

/** Findings where stations from … to of both strands read `near` (as the first strand's left side) and all others as planned. */
function judged(from: number, to: number, near: (strand: number, station: number) => Partial<Reading> | null): PoreFinding[] {
  return judgePores(PORES, {
    strands: PLAN.strands, guard: 1.645,
    readingAt: (strand, station) => {
      const change = station >= from && station <= to ? near(strand, station) : {};
      return change === null ? null : madeReading(change);
    },
  });
}
/** Both beads reach towards each other and leave `openMm`. */
const leaving = (openMm: number) => (strand: number): Partial<Reading> => (strand === 0 ? { leftFlankMm: 0.9 - openMm / 3 } : { rightFlankMm: -(0.9 - 2 * openMm / 3) });
const covered = (share: number) => (strand: number): Partial<Reading> =>
  (strand === 0 ? { leftFlankMm: NAN, uWidthMm: NAN, leftPasteFraction: share } : { rightFlankMm: NAN, uWidthMm: NAN, rightPasteFraction: share });

describe("a pore of 0.8 mm between two beads of 1.0 mm", () => {
  it("as planned is open", () => {
    expect(judged(0, 10, () => ({}))).toEqual([]);
  });

  it.each([[0.201, 0], [0.199, 1], [0.05, 1]])("with %d mm left open is closed %d times: 0.2 mm is a quarter", (openMm, count) => {
    expect(judged(2, 6, leaving(openMm))).toHaveLength(count);
  });

  it("over stations 2 … 6 is one finding of severity watch: 5 stations × 0.5 mm × 0.8 mm = 2 mm², at the middle of the pore (2, 0.9) mm", () => {
    expect(judged(2, 6, leaving(0.05))).toEqual([{
      kind: "closedPore", severity: "watch", proven: true, layer: 1, strand: 1, areaMm2: expect.closeTo(2, 9), position: [expect.closeTo(2, 9), expect.closeTo(0.9, 9), 0.5],
    }]);
  });

  it("is proven where it is closed by the guard 1.645 u of both flanks, 9.6 µm: with 0.185 mm left it is, with 0.195 not", () => {
    expect(judged(2, 6, leaving(0.185))[0]?.proven).toBe(true);
    expect(judged(2, 6, leaving(0.195))[0]?.proven).toBe(false);
  });

  it("closed over one station, 0.5 mm, is none; over two, 1 mm = 1 w, it is one; the two end stations stand for half a spacing", () => {
    expect([judged(4, 4, leaving(0.1)), judged(4, 5, leaving(0.1)), judged(9, 10, leaving(0.1))].map((f) => f.length)).toEqual([0, 1, 0]);
  });

  it("no flank seen and paste all over the way: closed and proven; paste over 70 %: open; over 80 %: closed, not proven", () => {
    expect(judged(2, 6, covered(1))[0]).toMatchObject({ kind: "closedPore", proven: true });
    expect(judged(2, 6, covered(0.7))).toEqual([]);
    expect(judged(2, 6, covered(0.8))[0]?.proven).toBe(false);
  });

  it("nothing seen closes nothing: no reading, no flank and no paste seen, one side unseen", () => {
    expect(judged(2, 6, () => null)).toEqual([]);
    expect(judged(2, 6, covered(NAN))).toEqual([]);
    expect(judged(2, 6, (strand) => (strand === 0 ? covered(1)(0) : null))).toEqual([]);
  });

  it("one unseen station does not part a closed stretch and counts no area; three do; an open one does at once", () => {
    const with1 = judged(2, 6, (strand, i) => (i === 4 ? null : leaving(0.1)(strand)));
    expect(with1.map((f) => f.areaMm2)).toEqual([expect.closeTo(1.6, 9)]);
    expect(judged(0, 10, (strand, i) => (i > 3 && i < 7 ? null : leaving(0.1)(strand)))).toHaveLength(2);
    expect(judged(2, 6, (strand, i) => (i === 4 ? {} : leaving(0.1)(strand)))).toHaveLength(2);
  });

  it("a bead that has gone leaves more open, not less", () => {
    expect(judged(2, 6, (strand) => (strand === 0 ? covered(0)(0) : leaving(0.1)(1)))).toEqual([]);
  });
});
