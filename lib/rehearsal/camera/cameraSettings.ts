/** What the rehearsal's camera is and does. Lengths mm, angles degrees, times s. */
import { InputError } from "../../base/errors.ts";
import { LOOK_NAMES, type LookName } from "./look.ts";

export interface CameraSettings {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly look: LookName;
  /** Between the view and the target's normal. */
  readonly angleDeg: number;
  /** Which side the camera stands on, seen along the normal: 0 along the chart's u. */
  readonly azimuthDeg: number;
  readonly distanceMm: number;
  /** Scale in the middle of the image: a bead's width in pixels. */
  readonly pxPerMm: number;
  /** Between frames while paste is laid. */
  readonly everyS: number;
  /** By how much the reported pose is wrong: moved across the view, and turned about it. */
  readonly poseOffMm: number;
  readonly poseOffDeg: number;
  /** A hand reaches into every second frame. */
  readonly hand: boolean;
  /** There is no profiler; paste.csv then says where a frame shows paste. */
  readonly alone: boolean;
}

export const DEFAULT_CAMERA: CameraSettings = {
  widthPx: 640, heightPx: 480, look: "standard", angleDeg: 42, azimuthDeg: -60, distanceMm: 85, pxPerMm: 18, everyS: 4, poseOffMm: 0, poseOffDeg: 0, hand: false, alone: false,
};

const RANGES: Readonly<Record<Exclude<keyof CameraSettings, "look" | "hand" | "alone">, readonly [number, number]>> = {
  widthPx: [64, 4096], heightPx: [64, 4096], angleDeg: [0, 65], azimuthDeg: [-360, 360], distanceMm: [20, 500], pxPerMm: [2, 100], everyS: [0.1, 3600],
  poseOffMm: [0, 50], poseOffDeg: [0, 45],
};

/** Defaults filled in and checked; InputError command.usage names the setting that cannot be. */
export function fillCamera(given: Partial<CameraSettings>): CameraSettings {
  const settings: CameraSettings = { ...DEFAULT_CAMERA, ...given };
  const refuse = (key: string, expected: string, got: unknown): never => { throw new InputError("command.usage", expected, JSON.stringify(got) ?? "nothing", { key }); };
  for (const [key, [least, most]] of Object.entries(RANGES) as [keyof typeof RANGES, readonly [number, number]][]) {
    const value = settings[key];
    if (typeof value !== "number" || !(value >= least && value <= most)) refuse(key, `a number from ${least} to ${most}`, value);
    if (key.endsWith("Px") && !Number.isInteger(value)) refuse(key, "a whole number", value);
  }
  if (!LOOK_NAMES.includes(settings.look)) refuse("look", `one of ${LOOK_NAMES.join(", ")}`, settings.look);
  return settings;
}
