import * as fc from "fast-check";
import { describe, expect, it } from "vitest";
import { resumeRows, type PlanRow, type ResumeAsk } from "../../lib/control/resume.ts";
import type { Plan, PlanStrand } from "../../lib/model/plan.ts";
import { readPlanCsv } from "../../lib/plan/readCsv.ts";
import { madeJob } from "../support/madePlan.ts";

const HEAD = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s";
/** A strand that goes on in x, up and down and aside, with a bead of its own from each waypoint on. */
const step = fc.record({ dx: fc.integer({ min: 6, max: 40 }), dy: fc.integer({ min: -9, max: 9 }), dz: fc.integer({ min: -3, max: 3 }), tilt: fc.integer({ min: -4, max: 4 }), width: fc.integer({ min: 8, max: 15 }) });
const plan = fc.array(fc.array(fc.array(step, { minLength: 1, maxLength: 5 }), { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 3 }).map((layers) => {
  const rows = layers.flatMap((strands, l) => strands.flatMap((steps, k) => {
    let [x, y, z] = [0, 4 * k, 0.6 * (l + 1)];
    return [{ dx: 0, dy: 0, dz: 0, tilt: 1, width: steps[0]!.width }, ...steps].map(({ dx, dy, dz, tilt, width }) => {
      [x, y, z] = [x + dx / 10, y + dy / 10, z + dz / 10];
      return [l + 1, k + 1, x, y, z, Math.sin(tilt / 10), 0, Math.cos(tilt / 10), width / 10, 0.5, 5 + width / 10, ""].join(",");
    });
  }));
  return readPlanCsv([HEAD, ...rows, ""].join("\n"), madeJob(), "plan.csv").plan;
});
const share = fc.double({ min: 0, max: 1, noNaN: true });
/** A print that stopped somewhere, and where that is given a stretch that was taken off before that place. */
const stop = fc.record({ plan, which: share, at: share, off: fc.option(fc.record({ which: share, from: share, long: fc.double({ min: 0.05, max: 1, noNaN: true }) })), overlapMm: fc.double({ min: 0, max: 2, noNaN: true }) });

type Piece = readonly [number, number];
interface Case { readonly plan: Plan; readonly ask: ResumeAsk; readonly index: number; readonly missing: ReadonlyMap<number, readonly Piece[]> }

/** What is to be laid of each strand, by its index: all that was not, and before the place it goes on the overlap. */
function caseOf({ plan: whole, which, at, off, overlapMm }: typeof stop extends fc.Arbitrary<infer T> ? T : never): Case {
  const { strands } = whole, pick = (of: number, count: number): number => Math.min(count - 1, Math.floor(of * count));
  const k = pick(which, strands.length), last = strands[k] as PlanStrand, stoppedMm = at * last.lengthMm, missing = new Map<number, Piece[]>();
  strands.forEach((strand, i) => { if (i > k) missing.set(i, [[0, strand.lengthMm]]); });
  missing.set(k, [[stoppedMm, last.lengthMm]]);
  const stoppedAt = { layer: last.layer, strand: last.strand, sMm: stoppedMm };
  if (off === null) {
    missing.set(k, [[Math.max(0, stoppedMm - overlapMm), last.lengthMm]]);
    return { plan: whole, index: k, missing, ask: { from: stoppedAt, overlapMm, toMm: null, stoppedAt } };
  }
  const j = pick(off.which, k + 1), strand = strands[j] as PlanStrand, laidMm = j === k ? stoppedMm : strand.lengthMm, fromMm = off.from * laidMm, toMm = fromMm + off.long * (laidMm - fromMm);
  missing.set(j, [[Math.max(0, fromMm - overlapMm), toMm], ...(j === k ? missing.get(k)! : [])]);
  return { plan: whole, index: j, missing, ask: { from: { layer: strand.layer, strand: strand.strand, sMm: fromMm }, overlapMm, toMm, stoppedAt } };
}

/** Where on its strand a row lies, mm, and how far off it. */
function placeOf({ arcMm, pointsMm, pointCount }: PlanStrand, { xMm, yMm, zMm }: PlanRow): { readonly sMm: number; readonly offMm: number } {
  let best = { sMm: Number.NaN, offMm: Infinity };
  for (let i = 0; i + 1 < pointCount; i++) {
    const a = pointsMm.subarray(3 * i, 3 * i + 3), d = [0, 1, 2].map((n) => pointsMm[3 * i + 3 + n]! - a[n]!), v = [xMm - a[0]!, yMm - a[1]!, zMm - a[2]!];
    const f = Math.min(1, Math.max(0, (d[0]! * v[0]! + d[1]! * v[1]! + d[2]! * v[2]!) / (d[0]! ** 2 + d[1]! ** 2 + d[2]! ** 2)));
    const offMm = Math.hypot(...v.map((c, n) => c - f * d[n]!));
    if (offMm < best.offMm) best = { offMm, sMm: arcMm[i]! + f * (arcMm[i + 1]! - arcMm[i]!) };
  }
  return best;
}

interface Laid { readonly index: number; readonly fromMm: number; readonly toMm: number; readonly row: PlanRow }
/** Pieces that material flows along, by the contract of plan.csv: from a row to the next one of the same strand. */
function laidBy({ strands }: Plan, rows: readonly PlanRow[]): Laid[] {
  const indexOf = (row: PlanRow): number => strands.findIndex(({ layer, strand }) => layer === row.layer && strand === row.strand);
  return rows.slice(0, -1).flatMap((row, i) => {
    const next = rows[i + 1]!, index = indexOf(row), strand = strands[index]!;
    return indexOf(next) !== index || row.flowMm3S === 0 ? [] : [{ index, row, fromMm: placeOf(strand, row).sMm, toMm: placeOf(strand, next).sMm }];
  });
}

/** Pieces that touch are one. */
function joined([first, second]: readonly Piece[]): readonly Piece[] {
  if (first === undefined) return [];
  if (second === undefined) return [first];
  return second[0] - first[1] < 0.001 ? [[first[0], second[1]]] : [first, second];
}

const SEED = { seed: 47, numRuns: 150 };
const holds = (check: (made: Case, rows: readonly PlanRow[]) => void): void => fc.assert(fc.property(stop, (given) => { const made = caseOf(given); check(made, resumeRows(made.plan, made.ask)); }), SEED);

describe("rows from there on, of 150 plans stopped anywhere (seed 47)", () => {
  it("each lies on its strand of the plan within 2e-6 mm, the rounding of a row, with a normal of length 1 within as much", () => {
    holds(({ plan: { strands } }, rows) => {
      for (const row of rows) {
        expect(placeOf(strands.find(({ layer, strand }) => layer === row.layer && strand === row.strand)!, row).offMm).toBeLessThan(2e-6);
        expect(Math.abs(Math.hypot(row.nx, row.ny, row.nz) - 1)).toBeLessThan(2e-6);
      }
    });
  });

  it("they come in the plan's order, from where it goes on, and forwards along each strand", () => {
    holds(({ plan: whole, index }, rows) => {
      const laid = laidBy(whole, rows);
      laid.forEach(({ index: which, fromMm, toMm }, i) => {
        expect(toMm).toBeGreaterThan(fromMm);
        const before = laid[i - 1];
        if (before !== undefined) expect(which > before.index || (which === before.index && fromMm >= before.toMm - 1e-9)).toBe(true);
        expect(which).toBeGreaterThanOrEqual(index);
      });
    });
  });

  it("what they lay of each strand is what was missing of it, and the overlap before the place, to 0.002 mm: no strand that lay before is laid again but the one taken off", () => {
    holds(({ plan: whole, missing }, rows) => {
      const laid = laidBy(whole, rows);
      whole.strands.forEach((_, which) => {
        const pieces = laid.filter(({ index }) => index === which), wanted = joined(missing.get(which) ?? []);
        const sum = (of: readonly Piece[]): number => of.reduce((total, [fromMm, toMm]) => total + toMm - fromMm, 0);
        expect(Math.abs(sum(pieces.map(({ fromMm, toMm }): Piece => [fromMm, toMm])) - sum(wanted))).toBeLessThan(0.002 * (1 + wanted.length));
        for (const { fromMm, toMm } of pieces) expect(wanted.some(([from, to]) => fromMm >= from - 0.002 && toMm <= to + 0.002)).toBe(true);
      });
    });
  });

  it("each piece has the bead and speed that the plan has in its middle", () => {
    holds(({ plan: whole }, rows) => {
      for (const { index, fromMm, toMm, row } of laidBy(whole, rows)) {
        const { arcMm, widthMm, speedMmS, flowMm3S } = whole.strands[index]!, at = arcMm.findLastIndex((sMm) => sMm <= (fromMm + toMm) / 2);
        expect([row.widthMm, row.speedMmS, row.flowMm3S]).toEqual([widthMm[at], speedMmS[at], flowMm3S[at]]);
      }
    });
  });
});
