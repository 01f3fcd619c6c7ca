import { describe, expect, it } from "vitest";
import { resumeRows, type PlanRow } from "../../lib/control/resume.ts";
import { firstStretchEnd, rowsRefusal } from "../../lib/rehearsal/liveRows.ts";
import { planStrands } from "../../lib/rehearsal/planned.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { makeSurface } from "../../lib/rehearsal/surface.ts";
import { MadeCell } from "../support/madeCell.ts";

const planOf = (given: Partial<RehearsalSettings>) => {
  const { settings, plan } = new MadeCell(given);
  return { settings, plan, strands: planStrands(settings, makeSurface(settings.surface, settings.radiusMm)) };
};
const TARGETS: [string, Partial<RehearsalSettings>][] = [
  ["a mandible angle", { surface: "mandibleAngle", strands: 4, lengthMm: 17 }], ["a cylinder, two layers of a lattice", { surface: "cylinder", radiusMm: 33, pattern: "lattice", layers: 2, strands: 3 }],
  ["a ring, which ends where it begins", { pattern: "ring", strands: 2, lengthMm: 9 }], ["a serpentine", { pattern: "serpentine", strands: 3, lengthMm: 11 }],
];

describe.each(TARGETS)("rows that go on with a plan on %s", (_what, given) => {
  const { settings, plan, strands } = planOf(given), first = strands[0]!;
  const rows = (sMm: number, toMm: number | null, stoppedMm: number | null, overlapMm = 0.9) =>
    resumeRows(plan, { from: { layer: 1, strand: 1, sMm }, overlapMm, toMm, stoppedAt: stoppedMm === null ? null : { layer: 1, strand: 1, sMm: stoppedMm } });

  it("keep to it, with points between waypoints and dry rows over the good paste between", () => {
    const asked = rows(2.37, 5.21, 7.83);
    expect(asked.filter((row) => row.flowMm3S === 0 && row.widthMm === null).length).toBeGreaterThan(0);
    expect(rowsRefusal(asked, strands, settings)).toBeNull();
    expect(rowsRefusal(rows(3.19, null, null), strands, settings)).toBeNull();
  });

  it.each([[0, 1.53], [0.4, 3.71], [2.37, 5.21], [4, 6.5]])("that lay %f to %f mm again end there within 2 µm, however the print had stopped", (fromMm, toMm) => {
    for (const stoppedMm of [null, 7.83]) expect(Math.abs(firstStretchEnd(rows(fromMm, toMm, stoppedMm), first, Math.max(0, fromMm - 0.9))! - toMm)).toBeLessThan(2e-3);
  });

  it("that go to the strand's end end there", () => {
    for (const fromMm of [0, 2.37]) expect(firstStretchEnd(rows(fromMm, null, null), first, Math.max(0, fromMm - 0.9))).toBeCloseTo(first.lengthMm, 5);
  });
});

describe("rows", () => {
  const { settings, plan, strands } = planOf({ strands: 2 }), all = resumeRows(plan, { from: { layer: 1, strand: 1, sMm: 3 }, overlapMm: 0, toMm: null, stoppedAt: null });
  const off = (row: PlanRow, byMm: number): PlanRow => ({ ...row, yMm: row.yMm + byMm });

  it("0.049 mm off the plan are taken, 0.051 mm off are not; 0.0999 % of another speed is, 0.11 % is not", () => {
    expect(rowsRefusal(all.map((row) => off(row, 0.049)), strands, settings)).toBeNull();
    expect(rowsRefusal([all[0]!, off(all[3]!, 0.051)], strands, settings)).toMatch(/over 0\.05 mm off strand 1/);
    expect(rowsRefusal(all.map((row) => ({ ...row, speedMmS: settings.speedMmS * 1.000999 })), strands, settings)).toBeNull();
    expect(rowsRefusal(all.map((row) => ({ ...row, speedMmS: settings.speedMmS * 1.0011 })), strands, settings)).toMatch(/another bead or speed/);
  });

  it("of other strands say nothing of this one: null; a stretch ends before another strand's rows", () => {
    expect(firstStretchEnd(all.filter((row) => row.strand === 2), strands[0]!, 0)).toBeNull();
    expect(firstStretchEnd([...all.slice(0, 4), ...all.filter((row) => row.strand === 2), ...all.slice(4)], strands[0]!, 3)).toBeLessThan(5);
  });
});
