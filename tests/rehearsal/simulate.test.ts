import { createHash } from "node:crypto";
import { describe, expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { simulate, type Rehearsal } from "../../lib/rehearsal/simulate.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";

function digest(rehearsal: Rehearsal): string {
  const hash = createHash("sha256");
  hash.update(JSON.stringify([rehearsal.jobJson, rehearsal.progress, rehearsal.rework, rehearsal.truth]) + rehearsal.planCsv);
  for (const profile of rehearsal.profiles()) hash.update(JSON.stringify([profile.tS, profile.pose])).update(new Uint8Array(profile.zMm.slice().buffer));
  return hash.digest("hex");
}

describe("simulate", () => {
  it("the same seed gives the same bytes, also on a second reading; another seed gives others", () => {
    const settings = { surface: "sphere", strands: 2, lengthMm: 5, points: 96, dxMm: 0.1, spikeFraction: 0.01, driftMm: 0.02 } as const;
    const first = simulate({ ...settings, seed: 17 }), again = simulate({ ...settings, seed: 17 }), other = simulate({ ...settings, seed: 18 });
    expect(digest(again)).toBe(digest(first));
    expect(digest(first)).toBe(digest(first));
    expect(digest(other)).not.toBe(digest(first));
  });

  it("natural variation of 2 % varies width and height by an sd of 1–4 % (seed 5), and a seed changes it", () => {
    const widths = (seed: number): number[] => simulate({ seed, variationFraction: 0.02, strands: 3, lengthMm: 20 }).truth.stations.map((one) => one.true.widthMm as number);
    const all = widths(5), mean = all.reduce((sum, w) => sum + w, 0) / all.length, sd = Math.sqrt(all.reduce((sum, w) => sum + (w - mean) ** 2, 0) / all.length);
    expect(sd).toBeGreaterThan(0.01);
    expect(sd).toBeLessThan(0.04);
    expect(widths(6)[7]).not.toBe(all[7]);
  });

  it("progress runs at 25 Hz from start to end, in time order, at 6 mm/s; profiles after a start are stamped on the same clock", () => {
    const rehearsal = simulate({ strands: 2, lengthMm: 7, speedMmS: 6, points: 16 });
    const rows = rehearsal.progress;
    expect(rows.filter((row) => row.event === "start").map((row) => [row.layer, row.strand, row.sMm])).toEqual([[1, 1, 0], [1, 2, 0]]);
    expect(rows.filter((row) => row.event === "end").map((row) => row.sMm)).toEqual([7, 7].map((s) => expect.closeTo(s, 6)));
    for (let i = 1; i < rows.length; i++) {
      const [a, b] = [rows[i - 1], rows[i]] as [(typeof rows)[0], (typeof rows)[0]];
      expect(b.tS).toBeGreaterThan(a.tS);
      if (b.event !== "start") expect((b.sMm - a.sMm) / (b.tS - a.tS)).toBeCloseTo(6, 6);
    }
    const times = [...rehearsal.profiles()].map((profile) => profile.tS);
    expect(times[0]).toBeLessThan(rows[0]?.tS as number); // the support scan
    expect(times.at(-1)).toBeGreaterThan(rows.at(-1)?.tS as number); // the profiler travels on
  });

  it("the plan's rows lie on the target's offset: on a sphere of 40 mm, layer 2 of 0.4 mm beads at 40.8 mm, normals outwards, waypoints at most 0.51 mm apart", () => {
    const rehearsal = simulate({ surface: "sphere", radiusMm: 40, layers: 2, strands: 2, lengthMm: 6, widthMm: 1.1, heightMm: 0.4 });
    const rows = rehearsal.planCsv.trim().split("\n").slice(1).map((line) => line.split(",").map(Number));
    let before: number[] | null = null;
    for (const row of rows) {
      const [layer, strand, x, y, z, nx, ny, nz] = row as [number, number, number, number, number, number, number, number];
      const r = Math.hypot(x, y, z + 40);
      expect(r).toBeCloseTo(40 + 0.4 * layer, 5);
      expect([nx, ny, nz]).toEqual([x / r, y / r, (z + 40) / r].map((c) => expect.closeTo(c, 5)));
      if (before !== null && before[0] === layer && before[1] === strand) expect(Math.hypot(x - (before[2] as number), y - (before[3] as number), z - (before[4] as number))).toBeLessThan(0.51);
      before = row;
    }
    // flow by volume conservation: stadium 1.1 × 0.4 mm, A = h (w − h) + π h² / 4, at 8 mm/s
    expect(rows[0]?.[11]).toBeCloseTo((0.4 * 0.7 + Math.PI * 0.04) * 8, 5);
  });

  it.each<[string, Partial<RehearsalSettings>]>([
    ["a fault on strand 9 of 6", { faults: [{ kind: "gap", layer: 1, strand: 9, fromMm: 1, toMm: 2, size: null }] }],
    ["a fault in layer 2 of 1", { faults: [{ kind: "gap", layer: 2, strand: 1, fromMm: 1, toMm: 2, size: null }] }],
    ["a fault beyond the strand's 20 mm", { faults: [{ kind: "gap", layer: 1, strand: 1, fromMm: 20, toMm: 22, size: null }] }],
    ["rework on strand 7 of 6", { rework: [{ layer: 1, strand: 7, fromMm: 1, toMm: 2 }] }],
    ["a stadium narrower than high", { widthMm: 0.4, heightMm: 0.41 }],
    ["2.5 layers", { layers: 2.5 }],
    ["a skew of 61°", { skewDeg: 61 }],
    ["a skew that is no number", { skewDeg: Number.NaN }],
    ["an unknown surface", { surface: "cone" as "plane" }],
    ["an unknown pattern", { pattern: "spiral" as "open" }],
  ])("refuses %s with command.usage", (_what, settings) => {
    let code = "none";
    try {
      simulate(settings);
    } catch (error) {
      if (error instanceof InputError) code = error.code;
    }
    expect(code).toBe("command.usage");
  });

  it("no progress with two layers puts the layer into the profiles: 0 before the first, then 1 and 2", () => {
    const rehearsal = simulate({ progress: false, layers: 2, strands: 2, lengthMm: 3, points: 16 });
    expect(rehearsal.progress).toEqual([]);
    expect([...new Set([...rehearsal.profiles()].map((profile) => profile.layer))]).toEqual([0, 1, 2]);
  });
});
