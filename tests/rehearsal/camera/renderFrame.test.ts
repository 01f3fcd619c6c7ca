import { describe, expect, it } from "vitest";
import { add, axesOfPose, cross, dot, scale, sub, type Vec3 } from "../../../lib/kernel/vec.ts";
import { fillCamera } from "../../../lib/rehearsal/camera/cameraSettings.ts";
import type { Lens } from "../../../lib/rehearsal/camera/lens.ts";
import { cameraPose } from "../../../lib/rehearsal/camera/lens.ts";
import { lookOf, type Look } from "../../../lib/rehearsal/camera/look.ts";
import { renderFrame, traceFrame, type PlacedCamera } from "../../../lib/rehearsal/camera/renderFrame.ts";
import { HAND, HANG, NOZZLE, TARGET, type Scene } from "../../../lib/rehearsal/camera/scene.ts";
import { makeShoot, nozzleAt } from "../../../lib/rehearsal/camera/shoot.ts";
import { makeTracer } from "../../../lib/rehearsal/camera/tracer.ts";
import type { RehearsalSettings } from "../../../lib/rehearsal/settings.ts";
import { layOut } from "../../../lib/rehearsal/simulate.ts";
import { makeSurface } from "../../../lib/rehearsal/surface.ts";

const LENS: Lens = { widthPx: 160, heightPx: 120, fx: 800, fy: 800, cx: 79.5, cy: 59.5, k1: 0, k2: 0, p1: 0, p2: 0, k3: 0 };
const EMPTY: Scene = { surface: makeSurface("plane", 1), bodies: [], tS: 99, nozzle: null, hang: null, hand: null };
const look = (more: Partial<Look> = {}): Look => ({ ...lookOf("standard"), ...more });
/** A camera at `deg` from the normal over (0, 0), standing towards −y: strands along x run across the image. */
const at = (deg: number, lens: Partial<Lens> = {}): PlacedCamera => ({ lens: { ...LENS, ...lens }, pose: cameraPose({ aim: [0, 0, 0], normal: [0, 0, 1], side: [0, -1, 0], angleRad: deg * Math.PI / 180, distanceMm: 80 }) });
function laid(given: Partial<RehearsalSettings>): Scene {
  const { surface, bodies } = layOut({ strands: 1, lengthMm: 12, variationFraction: 0, wanderMm: 0, ...given });
  return { ...EMPTY, surface, bodies };
}

describe("traceFrame", () => {
  it("a distorted pixel shows the place that the published formula puts there (an independent forward projection of the hit, k1 −0.25, 0.02 mm)", () => {
    const lens = { ...LENS, k1: -0.25, k2: 0.05, p1: 0.002, p2: -0.001, fx: 300, fy: 310 }, camera = at(41, lens), finger = { radiusMm: 0.4 };
    for (const p of [[4, 3, 0], [-6, -2, 0], [8, 5, 0], [-9, 6, 0]] as Vec3[]) {
      const scene: Scene = { ...EMPTY, hand: [{ from: p, to: add(p, [0, 0, 1e-6]), ...finger }] }, { what } = traceFrame(scene, camera, look({ shadows: false }), 3);
      const { x, y, z, t } = axesOfPose(camera.pose), q = sub(p, t), X = dot(q, x) / dot(q, z), Y = dot(q, y) / dot(q, z), r2 = X * X + Y * Y;
      const radial = 1 + lens.k1 * r2 + lens.k2 * r2 * r2;
      const u = lens.cx + lens.fx * (X * radial + 2 * lens.p1 * X * Y + lens.p2 * (r2 + 2 * X * X)), v = lens.cy + lens.fy * (Y * radial + lens.p1 * (r2 + 2 * Y * Y) + 2 * lens.p2 * X * Y);
      let sumU = 0, sumV = 0, count = 0;
      what.forEach((one, i) => { if (one === HAND) { sumU += i % 160; sumV += Math.floor(i / 160); count++; } });
      expect(count).toBeGreaterThan(3);
      expect(Math.abs(sumU / count - u)).toBeLessThan(0.35);
      expect(Math.abs(sumV / count - v)).toBeLessThan(0.35);
    }
  });

  it.each([0, 25, 41, 50])("a stadium 1.3 × 0.6 mm seen far off at %i° covers (w − h) + h / cos θ of the ground (derived: the shadow of a stadium in parallel light)", (deg) => {
    const scene = laid({ widthMm: 1.3, heightMm: 0.6 }), tracer = makeTracer(scene), c = Math.cos(deg * Math.PI / 180), s = Math.sin(deg * Math.PI / 180);
    const d: Vec3 = [0, s, -c]; // parallel rays; where each would meet the ground
    const covered = (y: number): boolean => tracer.first([0.3, y - 50 * s / c, 50], d, false).what >= 0;
    const edge = (inside: number, outside: number): number => {
      let a = inside, b = outside;
      for (let i = 0; i < 50; i++) { const mid = (a + b) / 2; if (covered(mid)) a = mid; else b = mid; }
      return a;
    };
    expect(covered(0.1)).toBe(true);
    expect(edge(0.1, 3) - edge(0.1, -3)).toBeCloseTo(0.7 + 0.6 / c, 6);
  });

  it("agrees with the profiler's own caster on every surface: heights along the normal to 1e-6 mm", () => {
    for (const surface of ["plane", "cylinder", "sphere", "saddle", "mandibleAngle"] as const) {
      const { bodies, caster, surface: target } = layOut({ surface, strands: 3, layers: 2, pattern: "lattice", lengthMm: 7 }), tracer = makeTracer({ ...EMPTY, surface: target, bodies });
      caster.aim([0, 0, 30, 0, 0, 0, 1], bodies, 99, -3, 3, 0);
      for (let x = -2.9; x < 2.9; x += 0.137) expect(tracer.first([x, 0, 30], [0, 0, -1], false).lambdaMm).toBeCloseTo(-caster.zAt(x), 6);
    }
  });

  it("nozzle, hand and hanging paste stand before what they cover, and what is behind the nozzle is seen again once it has left", () => {
    const scene = laid({}), camera = at(40, { widthPx: 320, heightPx: 240, cx: 159.5, cy: 119.5 });
    const count = (one: Scene, code: number): number => traceFrame(one, camera, look({ shadows: false }), 1).what.filter((what) => what === code).length;
    const nozzle = { tip: [1, 0, 0.5] as Vec3, axis: [0, 0, 1] as Vec3, outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: 12.7 };
    const paste = count(scene, 0);
    expect(paste).toBeGreaterThan(400);
    expect(count({ ...scene, nozzle }, NOZZLE)).toBeGreaterThan(100);
    expect(count({ ...scene, nozzle }, 0)).toBeLessThan(paste - 20);
    expect(count({ ...scene, nozzle, hang: { centre: [1, 0, 2], axis: [0, 0, 1], halfAlongMm: 1.4, halfAcrossMm: 1.2 } }, HANG)).toBeGreaterThan(100);
    expect(count({ ...scene, hand: [{ from: [-3, 0, 8], to: [-3, 30, 20], radiusMm: 6 }] }, 0)).toBeLessThan(0.75 * paste);
    expect(count(scene, TARGET) + paste).toBe(320 * 240);
  });

  it("the nearer strand hides the ground behind it, and the farther strand's flank where they stand 1.2 mm apart at 60°", () => {
    const tracer = makeTracer(laid({ strands: 2, pitchMm: 1.2, widthMm: 1, heightMm: 0.9 })), d: Vec3 = [0, Math.sin(1.047), -Math.cos(1.047)];
    const hits = new Set<number>();
    for (let y = 0.2; y < 0.5; y += 0.01) hits.add(tracer.first(sub([0, y, 0.05], scale(d, 60)), d, false).what);
    expect([...hits]).toEqual([0]);
  });
});

describe("renderFrame", () => {
  const scene = laid({}), camera = at(40, { fx: 1400, fy: 1400 }), pasteOf = (what: Int32Array): boolean[] => [...what].map((one) => one >= 0);
  const means = (rgb: Uint8Array, inside: readonly boolean[]): number[][] => [true, false].map((paste) => [0, 1, 2].map((c) => {
    const all = inside.flatMap((one, i) => (one === paste ? [rgb[3 * i + c] as number] : []));
    return all.reduce((a, b) => a + b, 0) / all.length;
  }));

  it("the same seed gives the same bytes, another seed others (seeds 11, 12)", () => {
    const bytes = (seed: number): string => Buffer.from(renderFrame(scene, camera, look(), seed).rgb).toString("base64");
    expect(bytes(11)).toBe(bytes(11));
    expect(bytes(12)).not.toBe(bytes(11));
  });

  it("paste and foam of one albedo differ by nothing under flat light alone; the standard look parts them by 40 steps and more", () => {
    const flat = { lights: [{ toward: [0, 0, 1] as Vec3, strength: 0 }], ambient: 0.8, vignetteFraction: 0, blurPx: 0, slope: { toward: [1, 0, 0] as Vec3, per10MmFraction: 0 }, gloss: { strength: 0, exponent: 1 }, pasteRelief: 0 };
    const inside = pasteOf(traceFrame(scene, camera, look(), 1).what), same = lookOf("sameColour"), up = means(renderFrame(scene, camera, { ...same, ...flat }, 5).rgb, inside);
    for (let c = 0; c < 3; c++) expect(Math.abs((up[0]![c] as number) - (up[1]![c] as number))).toBeLessThan(9); // the ambient's own 0.7 + 0.3 n·up on flanks
    const apart = means(renderFrame(scene, camera, look(), 5).rgb, inside);
    expect((apart[0]![2] as number) - (apart[1]![2] as number)).toBeGreaterThan(40);
  });

  it("wet gloss clips: over 0.5 % of the paste is white in all channels in `glossy`, none where gloss is off", () => {
    const inside = pasteOf(traceFrame(scene, camera, look(), 1).what);
    const clipped = (one: Look): number => {
      const { rgb } = renderFrame(scene, camera, one, 5);
      return inside.filter((paste, i) => paste && rgb[3 * i] === 255 && rgb[3 * i + 1] === 255 && rgb[3 * i + 2] === 255).length / inside.filter(Boolean).length;
    };
    expect(clipped(lookOf("glossy"))).toBeGreaterThan(0.005);
    expect(clipped(look({ gloss: { strength: 0, exponent: 60 } }))).toBe(0);
  });

  it("an edge is soft: pixels that hold both lie between paste and foam (no blur, no noise)", () => {
    const { linear } = traceFrame(scene, camera, look({ shadows: false }), 1), blue = Array.from({ length: 120 }, (_, v) => linear[3 * (160 * v + 80) + 2] as number);
    const between = blue.filter((b) => b > 0.16 && b < 0.3).length;
    expect(between).toBeGreaterThan(0);
  });
});

describe("makeShoot", () => {
  it("gives frame and scene of a rehearsal 0.6 s after its first start: nozzle at the strand's plan point 0.6 · 8 mm on; the reported pose is off by 2 mm across the view", () => {
    const world = layOut({ strands: 2, lengthMm: 10 }), shoot = makeShoot(world, fillCamera({ widthPx: 96, heightPx: 72, pxPerMm: 3, poseOffMm: 2 }));
    const tS = world.schedule.lays[0]!.startS + 0.6, place = nozzleAt(world, tS), { studio } = shoot, scene = studio.sceneAt(tS, place, false);
    expect(scene.nozzle?.tip[0]).toBeCloseTo(-5 + 0.6 * 8, 9);
    expect(scene.nozzle?.tip[2]).toBeCloseTo(0.5, 9);
    expect(shoot.take({ file: "frames/0001.png", tS, withHand: false }).frame.rgb.length).toBe(3 * 96 * 72);
    const [a, b] = [axesOfPose(studio.camera.pose), axesOfPose(studio.reportedPose)], off = sub(b.t, a.t);
    expect(dot(off, a.x)).toBeCloseTo(2, 9);
    expect(Math.hypot(...cross(off, a.x))).toBeCloseTo(0, 9);
    expect(nozzleAt(world, tS + 1)).toBeNull();
  });
});
