import { describe, expect, it } from "vitest";
import { add, axesOfPose, cross, poseOfAxes, scale, unit, type Vec3 } from "../../lib/kernel/vec.ts";
import { visibleAreaMm2 } from "../../lib/formula/bead.ts";
import { makeCaster, ON_TARGET } from "../../lib/rehearsal/caster.ts";
import type { Fault } from "../../lib/rehearsal/fault.ts";
import { layBodies } from "../../lib/rehearsal/lay.ts";
import { planStrands } from "../../lib/rehearsal/planned.ts";
import { castProfiles } from "../../lib/rehearsal/profiler.ts";
import { makeSchedule } from "../../lib/rehearsal/schedule.ts";
import { fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { makeSurface } from "../../lib/rehearsal/surface.ts";

/** Everything that simulate makes inside. */
function world(given: Partial<RehearsalSettings>) {
  const settings = fillSettings({ sigmaMm: 0, dropoutFraction: 0, flankLoss: 0, ...given });
  const surface = makeSurface(settings.surface, settings.radiusMm), strands = planStrands(settings, surface), schedule = makeSchedule(settings, surface, strands);
  return { settings, surface, schedule, ...layBodies(settings, strands, schedule, makeCaster(surface)) };
}
const fault = (kind: Fault["kind"], strand: number): Fault => ({ kind, layer: 1, strand, fromMm: 3, toMm: 6, size: null });

describe("makeCaster", () => {
  it.each<[string, Partial<RehearsalSettings>]>([
    ["every fault on a plane at skew 33°, pitch 12°, roll 5°", { skewDeg: 33, pitchDeg: 12, rollDeg: 5, lengthMm: 9, faults: [fault("gap", 1), fault("lift", 2), fault("over", 3), fault("shift", 4), fault("drag", 6), fault("blob", 5)] }],
    ["three crossing layers of segments on a sphere at pitch −20°", { surface: "sphere", pattern: "lattice", layers: 3, strands: 3, lengthMm: 9, shape: "segment", skewDeg: -20, pitchDeg: -20 }],
    ["a serpentine on a saddle", { surface: "saddle", pattern: "serpentine", strands: 3, lengthMm: 7, skewDeg: 20 }],
    ["a fused second layer on the mandible angle", { surface: "mandibleAngle", pattern: "raster", layers: 2, strands: 3, lengthMm: 8, skewDeg: 15 }],
  ])("misses nothing: a hit seen again from 0 and 1.7° aside is never seen through (%s)", (_what, given) => {
    const { settings, surface, bodies, schedule } = world(given), probe = makeCaster(surface);
    let seen = 0, hidden = 0, through = 0, turn = 0;
    for (const profile of castProfiles(settings, surface, bodies, schedule)) {
      if (turn++ % 9 !== 0) continue;
      const { x, y, z, t } = axesOfPose(profile.pose);
      for (let i = 5; i < settings.points; i += 23) {
        const across = -(settings.points - 1) / 2 * settings.dxMm + i * settings.dxMm, height = profile.zMm[i] as number;
        const p: Vec3 = add(add(t, scale(x, across)), scale(z, height));
        for (const tilt of [0, 0.03]) {
          const up = unit(add(z, scale(y, tilt)));
          probe.aim(poseOfAxes(x, cross(up, x), up, add(p, scale(up, 30))), bodies, profile.tS, -0.1, 0.1, 0);
          const over = probe.zAt(0) + 30;
          seen++;
          if (over < -2e-5) through++; // float32 at 60 mm: 4e-6
          else if (over > 2e-5) hidden++;
        }
      }
    }
    expect(seen).toBeGreaterThan(500);
    expect(through).toBe(0);
    expect(hidden / seen).toBeLessThan(0.01);
  });

  it("a body is a body: a plane turned by 30° about the normal shows its area times 1 / cos 30° (derived by geometry), one square to it the closed form", () => {
    const { surface, bodies } = world({ strands: 1, lengthMm: 8, widthMm: 1.3, heightMm: 0.45, variationFraction: 0, wanderMm: 0 }), caster = makeCaster(surface);
    const area = (deg: number): number => {
      const a = deg * Math.PI / 180, x: Vec3 = [Math.sin(a), Math.cos(a), 0];
      caster.aim(poseOfAxes(x, cross([0, 0, 1], x), [0, 0, 1], [0, 0, 9]), bodies, 1e9, -2, 2, 0);
      let sum = 0;
      for (let i = 0; i < 20000; i++) sum += (caster.zAt(-2 + (i + 0.5) * 2e-4) + 9) * 2e-4;
      return sum;
    };
    expect(area(0)).toBeCloseTo(visibleAreaMm2("stadium", 1.3, 0.45), 4);
    expect(area(30) / area(0)).toBeCloseTo(1.154701, 4);
  });

  it("names what it hit: paste, or the target, and only bodies of its time", () => {
    const { surface, bodies, schedule } = world({ strands: 1, lengthMm: 8, supportScan: false }), caster = makeCaster(surface);
    const startS = schedule.lays[0]?.startS as number;
    const hitAt = (sMm: number, tS: number): number => {
      caster.aim(poseOfAxes([0, 1, 0], [-1, 0, 0], [0, 0, 1], [-4 + sMm, 0, 5]), bodies, tS, -1, 1, 0);
      caster.zAt(0);
      return caster.hit.index;
    };
    expect(hitAt(3, startS - 0.01)).toBe(ON_TARGET);
    expect(hitAt(3, startS + 2.9 / 8)).toBe(ON_TARGET);
    expect(hitAt(3, startS + 3.1 / 8)).toBe(0);
    expect(hitAt(8.01, startS + 100)).toBe(ON_TARGET);
  });
});
