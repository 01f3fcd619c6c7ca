/** The simulated cell, first half: settings in, a recorded run with its true answer out. Pure; every number follows from the settings and their seed. */
import { InputError } from "../base/errors.ts";
import type { PasteMarkMessage, ProfileMessage, ProgressMessage, ReworkMessage } from "../model/messages.ts";
import type { Body } from "./body.ts";
import { fillCamera, type CameraSettings } from "./camera/cameraSettings.ts";
import { makeShoot, type Shoot, type TakenFrame } from "./camera/shoot.ts";
import { makeCaster, type Caster } from "./caster.ts";
import { jobJson } from "./jobJson.ts";
import { layBodies, type Committed } from "./lay.ts";
import { planCsv, planStrands, type PlannedStrand } from "./planned.ts";
import { castProfiles } from "./profiler.ts";
import { makeSchedule, type Schedule } from "./schedule.ts";
import { fillSettings, type RehearsalSettings } from "./settings.ts";
import { makeSurface, type Surface } from "./surface.ts";
import { trueStations, type TrueStation } from "./truth.ts";

export interface Truth {
  readonly contract: "aslaid/1";
  readonly seed: number;
  readonly surface: string;
  readonly settings: RehearsalSettings;
  /** Only where there is one. */
  readonly camera?: CameraSettings;
  readonly units: string;
  readonly origin: "simulated; invented demonstration data";
  readonly stations: readonly TrueStation[];
  readonly faults: readonly Committed[];
}
export interface Rehearsal {
  readonly settings: RehearsalSettings;
  /** job.json as it is written. */
  readonly jobJson: Record<string, unknown>;
  readonly planCsv: string;
  /** A fresh run through all profiles in order of time; arrays are reused from one to the next. */
  profiles(): Generator<ProfileMessage>;
  readonly progress: readonly ProgressMessage[];
  readonly rework: readonly ReworkMessage[];
  /** Of a camera alone: where a frame shows paste, as a person would mark it. */
  readonly pasteMark: PasteMarkMessage | null;
  /** How many frames the camera takes. */
  readonly shotCount: number;
  /** A fresh run through the camera's frames in order of time, each with its truth: those whose number, from 0, is asked for. */
  frames(isWanted?: (index: number) => boolean): Generator<TakenFrame>;
  readonly truth: Truth;
}

/** What a rehearsal consists of before anybody looks at it. */
export interface LaidOut {
  readonly settings: RehearsalSettings;
  readonly surface: Surface;
  readonly strands: readonly PlannedStrand[];
  readonly schedule: Schedule;
  readonly caster: Caster;
  readonly bodies: readonly Body[];
  readonly committed: readonly Committed[];
}

/** Plans and lays. InputError command.usage for settings that cannot be, or faults and rework on strands that are not planned. */
export function layOut(given: Partial<RehearsalSettings>): LaidOut {
  const settings = fillSettings(given);
  const surface = makeSurface(settings.surface, settings.radiusMm);
  const strands = planStrands(settings, surface);
  checkPlaces(settings, strands);
  const schedule = makeSchedule(settings, surface, strands);
  const caster = makeCaster(surface);
  return { settings, surface, strands, schedule, caster, ...layBodies(settings, strands, schedule, caster) };
}

/** Runs the rehearsal that the settings describe, with a camera where one is described (null: none). InputError command.usage as for `layOut` and `fillCamera`. */
export function simulate(given: Partial<RehearsalSettings>, camera: Partial<CameraSettings> | null = null): Rehearsal {
  const cameraSettings = camera === null ? null : fillCamera(camera), world = layOut(given), { settings, surface, strands, schedule, caster, bodies, committed } = world;
  const shoot = cameraSettings === null ? null : makeShoot(world, cameraSettings), isAlone = cameraSettings?.alone === true;
  const stations = trueStations(settings, strands, schedule, bodies, caster, makeCaster(surface));
  return {
    settings,
    jobJson: jobJson(settings, shoot === null ? null : { device: shoot.device, isAlone }),
    planCsv: planCsv(settings, strands),
    *profiles() { if (!isAlone) yield* castProfiles(settings, surface, bodies, schedule); },
    shotCount: shoot?.shots.length ?? 0,
    *frames(isWanted = () => true) { for (const [i, shot] of (shoot?.shots ?? []).entries()) if (isWanted(i)) yield (shoot as Shoot).take(shot); },
    progress: settings.progress ? schedule.progress : [],
    rework: schedule.rework,
    pasteMark: shoot !== null && isAlone ? shoot.pasteMark() : null,
    truth: {
      contract: "aslaid/1", seed: settings.seed, surface: settings.surface, settings, ...(cameraSettings === null ? {} : { camera: cameraSettings }), units: "mm, mm², s", origin: "simulated; invented demonstration data", stations, faults: committed,
    },
  };
}

/** Faults and rework must lie on planned strands; InputError command.usage. */
export function checkPlaces(settings: RehearsalSettings, strands: readonly PlannedStrand[]): void {
  if (strands.length === 0) throw new InputError("command.usage", "settings that leave at least one strand", "none", { key: "lengthMm" });
  const places = [...settings.faults.map((one) => ({ ...one, key: "--fault" })), ...settings.rework.map((one) => ({ ...one, kind: "rework", key: "--rework" }))];
  for (const { kind, layer, strand, fromMm, toMm, key } of places) {
    const planned = strands.find((one) => one.layer === layer && one.strand === strand);
    const text = `${kind}@${layer}/${strand}/${fromMm}-${toMm}`;
    if (planned === undefined) {
      const most = strands.filter((one) => one.layer === layer).length;
      throw new InputError("command.usage", most > 0 ? `a strand from 1 to ${most} in layer ${layer}` : `a layer from 1 to ${settings.layers}`, text, { key });
    }
    if (!(fromMm < planned.lengthMm)) throw new InputError("command.usage", `FROM before the strand's end at ${planned.lengthMm.toFixed(2)} mm`, text, { key });
  }
}
