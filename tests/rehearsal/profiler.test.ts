import { describe, expect, it } from "vitest";
import { axesOfPose, norm, type Vec3 } from "../../lib/kernel/vec.ts";
import { outlineMm } from "../../lib/formula/bead.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import type { RehearsalSettings } from "../../lib/rehearsal/settings.ts";

/** Nothing but geometry. */
const CLEAN: Partial<RehearsalSettings> = { sigmaMm: 0, dropoutFraction: 0, spikeFraction: 0, flankLoss: 0, variationFraction: 0, wanderMm: 0 };

function pointsOf(profile: ProfileMessage, x0: number, dx: number): (Vec3 | null)[] {
  const { x, z, t } = axesOfPose(profile.pose);
  return Array.from(profile.zMm, (height, i): Vec3 | null => {
    if (Number.isNaN(height)) return null;
    const across = x0 + i * dx;
    return [0, 1, 2].map((j) => (t[j] as number) + across * (x[j] as number) + height * (z[j] as number)) as unknown as Vec3;
  });
}

describe("castProfiles", () => {
  it("every sample of a scan at skew 27°, pitch −14°, roll 9° lies within 1e-5 mm on the plane or on a stadium 1.2 × 0.4 mm", () => {
    const rehearsal = simulate({ ...CLEAN, strands: 2, lengthMm: 6, widthMm: 1.2, heightMm: 0.4, pitchMm: 2.1, skewDeg: 27, pitchDeg: -14, rollDeg: 9, points: 200, dxMm: 0.05, scan: "later" });
    let paste = 0, worst = 0;
    for (const profile of rehearsal.profiles()) {
      for (const p of pointsOf(profile, -99.5 * 0.05, 0.05)) {
        if (p === null || p[2] < 1e-5 || Math.abs(p[0]) > 2.999) continue; // the target, or a flat end
        paste++;
        const b = Math.min(Math.abs(p[1] - 1.05), Math.abs(p[1] + 1.05)), r = 0.2, core = Math.max(0, b - (0.6 - r));
        worst = Math.max(worst, Math.abs(Math.hypot(core, p[2] - r) - r));
      }
    }
    expect(paste).toBeGreaterThan(1000);
    expect(worst).toBeLessThan(1e-5); // float32 at 60 mm: 4e-6
  });

  it("on a sphere of 33 mm the bare target's samples lie within 1e-5 mm of it, at pitch 25°", () => {
    const rehearsal = simulate({ ...CLEAN, surface: "sphere", radiusMm: 33, strands: 1, lengthMm: 4, pitchDeg: 25, points: 100, dxMm: 0.12 });
    let worst = 0, seen = 0;
    for (const profile of rehearsal.profiles()) {
      if (profile.tS > (rehearsal.progress[0]?.tS ?? 0)) break;
      for (const p of pointsOf(profile, -49.5 * 0.12, 0.12)) {
        if (p === null) continue;
        seen++;
        worst = Math.max(worst, Math.abs(norm([p[0], p[1], p[2] + 33]) - 33));
      }
    }
    expect(seen).toBeGreaterThan(1000);
    expect(worst).toBeLessThan(1e-5);
  });

  it("reproduces the truth: the crown of noise-free square profiles stands at the true height of its station within 2 µm, with a lift and an under on the strand", () => {
    const faults = [{ kind: "lift", layer: 1, strand: 1, fromMm: 3, toMm: 6, size: 0.2 }, { kind: "under", layer: 1, strand: 1, fromMm: 8.5, toMm: 11, size: 0.6 }] as const;
    const rehearsal = simulate({ ...CLEAN, variationFraction: 0.03, strands: 1, lengthMm: 13, faults: [...faults], points: 301, dxMm: 0.02, finalScan: true, profileSpacingMm: 0.125 });
    const last = new Map<number, number>();
    for (const profile of rehearsal.profiles()) {
      const crown = pointsOf(profile, -150 * 0.02, 0.02)[150] as Vec3;
      last.set(Math.round((crown[0] + 6.5) * 1000), crown[2]);
    }
    let compared = 0;
    for (const station of rehearsal.truth.stations) {
      const seen = last.get(Math.round(station.sMm * 1000));
      if (seen === undefined || station.sMm === 0 || station.sMm === 13) continue;
      compared++;
      expect(Math.abs(seen - station.true.heightMm)).toBeLessThan(0.002);
    }
    expect(compared).toBeGreaterThan(20);
  });

  it("a trailing profiler 5 mm behind sees the bead only where the nozzle has been, and every station in the end", () => {
    const rehearsal = simulate({ ...CLEAN, strands: 1, lengthMm: 10, trailMm: 5, supportScan: false, points: 101, dxMm: 0.02 });
    const start = rehearsal.progress[0] as { tS: number };
    const seen: number[] = [];
    for (const profile of rehearsal.profiles()) {
      const p = pointsOf(profile, -1, 0.02)[50] as Vec3, s = p[0] + 5, laidToMm = 8 * (profile.tS - start.tS);
      if (Math.abs(s) < 1e-6 || Math.abs(s - 10) < 1e-6) continue; // on a flat end
      const lies = s > 0 && s < Math.min(10, laidToMm);
      expect(p[2] > 0.25).toBe(lies);
      if (lies) seen.push(s);
    }
    expect(Math.min(...seen)).toBeLessThan(0.26); // spacing 0.25 mm
    expect(Math.max(...seen)).toBeGreaterThan(9.74);
  });

  it("noise of 0.02 mm, 5 % dropouts and 2 % spikes of 1.5 mm come out as asked (seed 23, bare plane)", () => {
    const rehearsal = simulate({ ...CLEAN, seed: 23, sigmaMm: 0.02, dropoutFraction: 0.05, spikeFraction: 0.02, strands: 1, lengthMm: 8 });
    const start = (rehearsal.progress[0] as { tS: number }).tS;
    let n = 0, lost = 0, spikes = 0, sum = 0, squares = 0;
    for (const profile of rehearsal.profiles()) {
      if (profile.tS > start) break;
      for (const z of profile.zMm) {
        n++;
        if (Number.isNaN(z)) { lost++; continue; }
        const e = z + 60;
        if (Math.abs(e) > 0.2) { spikes++; expect(Math.abs(e)).toBeLessThan(1.7); continue; }
        sum += e;
        squares += e * e;
      }
    }
    const kept = n - lost - spikes;
    expect(lost / n).toBeCloseTo(0.05, 2);
    expect(spikes / n).toBeCloseTo(0.019, 2);
    expect(sum / kept).toBeCloseTo(0, 3);
    expect(Math.sqrt(squares / kept)).toBeCloseTo(0.02, 3);
  });

  it("loses returns on flanks steeper than 70° and nowhere else", () => {
    const rehearsal = simulate({ ...CLEAN, flankLoss: 1, strands: 1, lengthMm: 6, widthMm: 1.4, heightMm: 0.6, points: 400, dxMm: 0.005, scan: "later" });
    const incidence70 = 0.7 - 0.3 + 0.3 * Math.sin(70 * Math.PI / 180); // lateral place where a flank of radius 0.3 mm stands at 70°
    let lost = 0;
    for (const profile of rehearsal.profiles()) {
      const { t } = axesOfPose(profile.pose);
      profile.zMm.forEach((z, i) => {
        const b = Math.abs(t[1] - (-199.5 * 0.005 + i * 0.005)); // x runs to the right of the travel, which is along +x
        if (!Number.isNaN(z) || Math.abs(Math.abs(t[0]) - 3) < 1e-6) return; // there the plane is the bead's flat end
        lost++;
        expect(Math.abs(t[0])).toBeLessThan(3);
        expect(b).toBeGreaterThan(incidence70 - 1e-6);
        expect(b).toBeLessThan(0.7);
      });
    }
    expect(lost).toBeGreaterThan(50);
  });

  it("a translucent bias of −0.04 mm lowers paste and leaves the target; the job states it", () => {
    const base = { ...CLEAN, supportScan: false, strands: 1, lengthMm: 4, scan: "later", points: 51, dxMm: 0.05 } as const;
    const [plain, biased] = [simulate(base), simulate({ ...base, translucentBiasMm: -0.04 })];
    const a = plain.profiles(), b = biased.profiles();
    let paste = 0;
    for (const one of a) {
      const other = b.next().value as ProfileMessage;
      for (let i = 0; i < 51; i++) {
        const z = one.zMm[i] as number, on = z > -60.5 + 1e-4;
        if (on) paste++;
        expect((other.zMm[i] as number) - z).toBeCloseTo(on ? -0.04 : 0, 4);
      }
    }
    expect(paste).toBeGreaterThan(100);
    expect(biased.jobJson).toMatchObject({ material: { translucent: true }, devices: [{ surfaceBiasMm: { value: -0.04 } }] });
  });

  it("pose drift moves reported against true height: sd 0.03 mm asked, 0.01–0.06 mm found over six strands (seed 9); a drift fault of 50 µm per 10 mm ends at 20 µm after 4 mm", () => {
    const crowns = (one: ReturnType<typeof simulate>): number[] => {
      const found: number[] = [];
      for (const profile of one.profiles()) found.push((pointsOf(profile, -1, 0.05)[0] as Vec3)[2]);
      return found;
    };
    const base = { ...CLEAN, seed: 9, lengthMm: 12, points: 41, dxMm: 0.05 } as const;
    const still = crowns(simulate(base)), drifting = crowns(simulate({ ...base, driftMm: 0.03 }));
    const errors = drifting.map((z, i) => z - (still[i] as number)), rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length);
    expect(rms).toBeGreaterThan(0.01);
    expect(rms).toBeLessThan(0.06);
    const faulty = crowns(simulate({ ...base, faults: [{ kind: "drift", layer: 1, strand: 2, fromMm: 3, toMm: 7, size: 50 }] }));
    expect(Math.max(...faulty.map((z, i) => z - (still[i] as number)))).toBeCloseTo(0.02, 4);
  });

  it("three profilers send in one order of time, each with its own running numbers", () => {
    const rehearsal = simulate({ ...CLEAN, profilers: 3, strands: 2, lengthMm: 3, points: 32, dxMm: 0.1 });
    const next = new Map<string, number>();
    let before = -Infinity;
    for (const profile of rehearsal.profiles()) {
      expect(profile.tS).toBeGreaterThanOrEqual(before);
      expect(profile.seq).toBe(next.get(profile.device) ?? 0);
      before = profile.tS;
      next.set(profile.device, profile.seq + 1);
    }
    expect([...next.keys()].sort()).toEqual(["profiler-1", "profiler-2", "profiler-3"]);
  });
});

describe("outline", () => {
  it("a square profile across a segment 1.1 × 0.3 mm follows the closed form within 1e-5 mm", () => {
    const rehearsal = simulate({ ...CLEAN, supportScan: false, shape: "segment", widthMm: 1.1, heightMm: 0.3, strands: 1, lengthMm: 3, points: 401, dxMm: 0.01, scan: "later" });
    let compared = 0, worst = 0;
    for (const profile of rehearsal.profiles()) {
      if (Math.abs(axesOfPose(profile.pose).t[0]) > 1.4) continue;
      profile.zMm.forEach((z, i) => {
        compared++;
        worst = Math.max(worst, Math.abs(z + 60.3 - outlineMm("segment", 1.1, 0.3, -2 + 0.01 * i)));
      });
    }
    expect(compared).toBeGreaterThan(2000);
    expect(worst).toBeLessThan(1e-5); // float32 at 60 mm: 4e-6
  });
});
