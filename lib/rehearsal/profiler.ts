/** The profilers of the rehearsal: true poses along every pass, ray-cast profiles, noise, losses, and the pose as a drifting cell reports it. */
import { add, axesOfPose, poseOfAxes, scale, type Pose7, type Vec3 } from "../kernel/vec.ts";
import type { ProfileMessage } from "../model/messages.ts";
import type { Body } from "./body.ts";
import { makeCaster, ON_TARGET } from "./caster.ts";
import { makeRandom, smoothNoise, type Random } from "./random.ts";
import type { Pass, Schedule } from "./schedule.ts";
import type { RehearsalSettings } from "./settings.ts";
import type { Surface } from "./surface.ts";
import { stanceAt, type Stance } from "./track.ts";

/** One profiler's mounting, beside the settings it shares with the others. */
export interface Mounting { readonly id: string; readonly skewDeg: number; readonly sideMm: number; readonly aheadMm: number }

/** The first as the settings say; the second and third look from 4 mm left and right, at other angles, a little apart along the path. */
export function mountingsOf(settings: RehearsalSettings): Mounting[] {
  const all: Mounting[] = [
    { id: "profiler-1", skewDeg: settings.skewDeg, sideMm: 0, aheadMm: 0 },
    { id: "profiler-2", skewDeg: -0.6 * settings.skewDeg + 7, sideMm: 4, aheadMm: 0.6 },
    { id: "profiler-3", skewDeg: 0.4 * settings.skewDeg - 11, sideMm: -4, aheadMm: -0.6 },
  ];
  return all.slice(0, settings.profilers);
}

/** x of sample 0. */
export function x0Mm(settings: RehearsalSettings): number {
  return -(settings.points - 1) / 2 * settings.dxMm;
}

/** Columns of a frame turned by an angle (degrees): a towards b. */
function turn(a: Vec3, b: Vec3, deg: number): [Vec3, Vec3] {
  const c = Math.cos(deg * Math.PI / 180), s = Math.sin(deg * Math.PI / 180);
  return [add(scale(a, c), scale(b, s)), add(scale(b, c), scale(a, -s))];
}

/** True pose of a profiler that aims at a stance of its way (its own `aheadMm` counted in already): skew about the normal, then pitch about the laser line, then roll about the travel. */
export function poseOver(settings: RehearsalSettings, mounting: Mounting, stance: Stance): Pose7 {
  let y = stance.tangent, x = scale(stance.lateral, -1), z = stance.normal;
  [x, y] = turn(x, y, mounting.skewDeg);
  [y, z] = turn(y, z, settings.pitchDeg);
  [z, x] = turn(z, x, settings.rollDeg);
  const aim = add(stance.point, scale(stance.lateral, mounting.sideMm));
  return poseOfAxes(x, y, z, add(aim, scale(z, settings.standoffMm)));
}

/** Error of the reported pose: `upMm` along the sensor's z and a small turn about its y through the aimed point. */
export function reportedPose(pose: Pose7, standoffMm: number, upMm: number, tiltRad: number): Pose7 {
  if (upMm === 0 && tiltRad === 0) return pose;
  const { x, y, z, t } = axesOfPose(pose);
  const aim = add(t, scale(z, -standoffMm));
  const [z2, x2] = turn(z, x, tiltRad * 180 / Math.PI);
  return poseOfAxes(x2, y, z2, add(add(aim, scale(z2, standoffMm)), scale(z, upMm)));
}

/** Slow drift in time, [mm in height, rad of tilt]: standard deviation driftMm in height, driftMm per 25 mm in tilt, over about three passes of `spanS` each. */
export function makeDrift(settings: RehearsalSettings, spanS: number): (tS: number) => [number, number] {
  if (settings.driftMm === 0) return () => [0, 0];
  const random = makeRandom(settings.seed, "drift");
  const up = smoothNoise(random, 2.5 * spanS + 1), tilt = smoothNoise(random, 2.5 * spanS + 1);
  return (tS) => [settings.driftMm * up(tS), settings.driftMm / 25 * tilt(tS)];
}

/** What drift faults add to the reported height at a length of a pass, mm. */
export function faultDriftMm(drifts: Pass["drifts"], alongMm: number): number {
  let sum = 0;
  for (const one of drifts) sum += one.slope * Math.max(0, Math.min(alongMm, one.toMm) - one.fromMm);
  return sum;
}

/** Where a profile is taken from, and where the cell says it was. */
export interface Sight { readonly device: number; readonly truePose: Pose7; readonly pose: Pose7; readonly tS: number; readonly layer: number | null }
/** One profiler head (all of its mountings): casts, disturbs and numbers profiles. `zMm` is reused from one profile to the next. */
export type Scanner = (bodies: readonly Body[], sight: Sight) => ProfileMessage;

/** A head on a target; its noise follows from the seed and the order of profiles. */
export function makeScanner(settings: RehearsalSettings, surface: Surface): Scanner {
  const caster = makeCaster(surface), mountings = mountingsOf(settings), { points, dxMm } = settings, x0 = x0Mm(settings);
  const z = new Float64Array(points), index = new Int32Array(points), cosIncidence = new Float32Array(points), zMm = new Float32Array(points);
  const randoms = mountings.map((mounting) => makeRandom(settings.seed, `noise ${mounting.id}`));
  const seqs = mountings.map(() => 0);
  return (bodies, { device, truePose, pose, tS, layer }) => {
    caster.aim(truePose, bodies, tS, x0, -x0, 0);
    caster.castRow(x0, dxMm, z, index, cosIncidence);
    disturb(settings, randoms[device] as Random, z, index, cosIncidence, zMm);
    const seq = seqs[device] as number;
    seqs[device] = seq + 1;
    return { kind: "profile", device: (mountings[device] as Mounting).id, frame: "plan", seq, tS, pose, zMm, xMm: null, layer };
  };
}

/** Whether profiles carry `layer`: as asked for, else where several layers have no progress. */
export function withLayerColumn(settings: RehearsalSettings): boolean {
  return settings.layerColumn ?? (!settings.progress && settings.layers > 1);
}

/** All profiles in order of time (several profilers take turns inside one spacing). `zMm` is reused from one to the next. */
export function* castProfiles(settings: RehearsalSettings, surface: Surface, bodies: readonly Body[], schedule: Schedule): Generator<ProfileMessage> {
  const scan = makeScanner(settings, surface), mountings = mountingsOf(settings), withLayer = withLayerColumn(settings);
  const drift = makeDrift(settings, schedule.passes.reduce((sum, pass) => sum + (pass.toMm - pass.fromMm) / pass.speedMmS, 0) / Math.max(1, schedule.passes.length));
  for (const pass of schedule.passes) {
    const stepMm = settings.profileSpacingMm, steps = Math.floor((pass.toMm - pass.fromMm) / stepMm + 1e-9);
    for (let step = 0; step <= steps; step++) {
      for (let device = 0; device < mountings.length; device++) {
        const mounting = mountings[device] as Mounting, alongMm = pass.fromMm + (step + device / mountings.length) * stepMm;
        const tS = pass.startS + (alongMm - pass.fromMm) / pass.speedMmS, [up, tilt] = drift(tS);
        const truePose = poseOver(settings, mounting, stanceAt(pass.track, alongMm + mounting.aheadMm));
        const pose = reportedPose(truePose, settings.standoffMm, up + faultDriftMm(pass.drifts, alongMm), tilt);
        yield scan(bodies, { device, truePose, pose, tS, layer: withLayer ? pass.layer : null });
      }
    }
  }
}

/** Noise, light inside the paste, losses (everywhere and on steep flanks) and spikes, from true heights to readings. */
function disturb(settings: RehearsalSettings, random: Random, z: Float64Array, index: Int32Array, cosIncidence: Float32Array, out: Float32Array): void {
  const { sigmaMm, dropoutFraction, spikeFraction, spikeMm, flankLoss } = settings, bias = settings.translucentBiasMm ?? 0;
  const cos70 = Math.cos(70 * Math.PI / 180);
  for (let i = 0; i < z.length; i++) {
    let value = z[i] as number;
    if (index[i] !== ON_TARGET) {
      value += bias;
      const cosine = cosIncidence[i] as number;
      if (cosine < cos70 && flankLoss > 0) {
        const angleDeg = Math.acos(cosine) * 180 / Math.PI;
        if (random.next() < flankLoss * Math.min(1, (angleDeg - 70) / 15)) value = Number.NaN;
      }
    }
    if (sigmaMm > 0) value += sigmaMm * random.gauss();
    if (dropoutFraction > 0 && random.next() < dropoutFraction) value = Number.NaN;
    if (spikeFraction > 0 && random.next() < spikeFraction) value += spikeMm * (random.next() < 0.5 ? -1 : 1) * (0.3 + 0.7 * random.next());
    out[i] = value;
  }
}
