/** The options of `rehearse`: what they set, what --help says of them, and reading them. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import type { CameraSettings } from "../rehearsal/camera/cameraSettings.ts";
import { LOOK_NAMES } from "../rehearsal/camera/look.ts";
import { CAUSE_KINDS } from "../rehearsal/liveCauses.ts";
import { JOB_PARTS } from "../rehearsal/liveJob.ts";
import { parseFault } from "../rehearsal/fault.ts";
import type { RehearsalSettings } from "../rehearsal/settings.ts";

/** Options that take a number: the setting, and what --help says. */
const NUMBERS = {
  seed: ["seed", "whole number; the same seed gives the same bytes (1)"],
  radius: ["radiusMm", "of cylinder, sphere and saddle, mm (45)"],
  layers: ["layers", "(1)"],
  strands: ["strands", "strands of the first layer, legs of a serpentine (6)"],
  pitch: ["pitchMm", "mm (open and lattice 2 w, serpentine 1.5 w, raster 0.9 w)"],
  "layer-angle": ["layerAngleDeg", "turn from layer to layer, degrees (lattice and raster 90, else 0)"],
  direction: ["directionDeg", "of the first layer, degrees (0)"],
  length: ["lengthMm", "of a strand; a ring's circumference, mm (20)"],
  width: ["widthMm", "w, mm (1)"],
  height: ["heightMm", "mm (0.5)"],
  speed: ["speedMmS", "mm/s (8)"],
  spacing: ["stationSpacingMm", "of stations, mm (0.5)"],
  variation: ["variationFraction", "natural variation of width and height, sd as a fraction (0.015)"],
  wander: ["wanderMm", "natural lateral wander, sd, mm (0.008)"],
  ramp: ["rampMm", "of faults, mm (0.3; a lift: one width)"],
  trail: ["trailMm", "profiler behind the nozzle, mm (8)"],
  skew: ["skewDeg", "laser plane turned about the normal, degrees (0)"],
  "pitch-angle": ["pitchDeg", "laser plane tilted forwards, degrees (0)"],
  "roll-angle": ["rollDeg", "sensor tilted sideways, degrees (0)"],
  profilers: ["profilers", "1 to 3 (1)"],
  "profile-spacing": ["profileSpacingMm", "on the surface, mm (0.25)"],
  points: ["points", "samples a profile (640)"],
  dx: ["dxMm", "between samples, mm (0.03)"],
  standoff: ["standoffMm", "mm (60)"],
  "scan-speed": ["scanSpeedMmS", "of scanning passes, mm/s (20)"],
  sigma: ["sigmaMm", "noise of heights, sd, mm (0.01)"],
  dropouts: ["dropoutFraction", "samples without return (0.01)"],
  spikes: ["spikeFraction", "samples that spike (0)"],
  "spike-size": ["spikeMm", "mm (1.5)"],
  "flank-loss": ["flankLoss", "chance of no return at 85° of incidence (0.9)"],
  drift: ["driftMm", "slow drift of the reported pose, sd, mm (0)"],
  "translucent-bias": ["translucentBiasMm", "the material is translucent and reads this much too high, mm (opaque)"],
} as const satisfies Record<string, readonly [keyof RehearsalSettings, string]>;

/** Options that take a word. */
const WORDS = {
  surface: ["surface", "plane, cylinder, sphere, saddle or mandibleAngle (plane)"],
  pattern: ["pattern", "open, raster, lattice, serpentine or ring (open)"],
  shape: ["shape", "stadium or segment (stadium)"],
  scan: ["scan", "trailing or later (trailing)"],
  "drag-when": ["dragWhen", "strandEnd or afterScan (strandEnd)"],
} as const satisfies Record<string, readonly [keyof RehearsalSettings, string]>;

/** Switches: the setting and the value that the switch gives it. */
const SWITCHES = {
  "no-progress": ["progress", false, "no progress.csv"],
  "no-support-scan": ["supportScan", false, "the bare target is not scanned first"],
  "final-scan": ["finalScan", true, "every finished layer is scanned once more"],
  "no-final-scan": ["finalScan", false, "not even where a drag asks for it"],
  "layer-column": ["layerColumn", true, "profiles carry `layer` (by default where several layers have no progress)"],
  "one-way": ["alternate", false, "all strands are laid in the same direction"],
  "bias-not-stated": ["biasStated", false, "the job does not state the translucent bias"],
} as const satisfies Record<string, readonly [keyof RehearsalSettings, boolean, string]>;

/** Options of the camera. `--camera` alone gives it; the others say how it is. */
export const CAMERA_OPTIONS = {
  "camera-size": "WIDTHxHEIGHT, pixels (640x480)",
  "camera-every": "s between frames; one more after each layer's scan and each removal (4)",
  "camera-look": `${LOOK_NAMES.join(", ")} (standard)`,
  "camera-angle": "between view and normal, degrees (42)",
  "camera-side": "where it stands, degrees from the first layer's direction (-60)",
  "camera-distance": "mm (85)",
  "camera-scale": "pixels a mm in the middle of the picture (18)",
  "camera-pose-off": "MM,DEG: the reported pose is moved across the view and turned by so much (0,0)",
} as const;
const CAMERA_SWITCHES = { "camera-hand": "a hand reaches into every second frame", "no-profiler": "the camera alone; paste.csv says where a frame shows paste (not with --live)" } as const;

/** Options of a live rehearsal. */
export const LIVE_OPTIONS = {
  "token-file": "file that holds the device token (else the environment variable ASLAID_TOKEN)",
  pace: "simulated seconds a second, 1 to 20 (1); profiles are thinned above 4",
  control: "port of the training desk on 127.0.0.1, 0: any free one (no desk)",
  syringe: "paste in the syringe, mm³ (3000)",
  job: `JSON file with parts of the job: ${JOB_PARTS.join(", ")}`,
} as const;
/** Options of a cause sent to a cell that runs. */
export const CAUSE_OPTIONS = { cell: "address of its training desk, as it printed it", undo: "the cause is put right" } as const;

/** What --help prints. */
export function helpText(): string {
  const line = (name: string, about: string): string => `  --${name.padEnd(18)} ${about}`;
  const more = (about: string): string => `${" ".repeat(23)}${about}`;
  return [
    "npm run --silent rehearse -- --out FOLDER [--seed N] [--surface NAME] [--fault KIND@LAYER/STRAND/FROM-TO[=SIZE]]…",
    "npm run --silent rehearse -- --live URL [--token-file FILE] [--pace 1..20] [--control PORT] [the same options]",
    "npm run --silent rehearse -- --cause KIND --cell URL [--undo]",
    "",
    "A simulated cell. With --out it writes a run folder with truth.json beside the plan, and prints the folder. With --live it prints on a running server as a",
    "real cell would, and prints the run's id; with --cause something goes wrong in such a cell. Invented data for tests, training and demonstration.",
    "",
    line("out FOLDER", "new or empty folder"),
    line("live URL", "the server, such as http://127.0.0.1:4312"),
    ...Object.entries(LIVE_OPTIONS).map(([name, about]) => line(name, about)),
    line("cause KIND", `${CAUSE_KINDS.join(", ")} (this one with @LAYER/STRAND/FROM-TO)`),
    ...Object.entries(CAUSE_OPTIONS).map(([name, about]) => line(name, about)),
    line("fault …", "gap, under (area ratio, 0.7), over (1.4), lift (mm, h/2), shift (mm, left positive, 0.45 w), drag (mm aside, left positive, 2.5 w), blob (diameter, 1.6 w),"),
    more("drift (µm per 10 mm, 60), tear (gone after its scan), hang (mm² of paste at the nozzle while it is there, 4; the camera sees it); FROM and TO in mm along the strand, e.g. --fault gap@1/3/7-9.5 --fault under@1/2/4-8=0.6"),
    line("rework …", "LAYER/STRAND/FROM-TO: taken off after the layer was seen, and laid again (not with --live)"),
    line("format", "arrow or ndjson (arrow)"),
    ...Object.entries(WORDS).map(([name, [, about]]) => line(name, about)),
    ...Object.entries(NUMBERS).map(([name, [, about]]) => line(name, about)),
    ...Object.entries(SWITCHES).map(([name, [, , about]]) => line(name, about)),
    line("camera", "a camera looks too: frames, their poses and their truth"),
    ...Object.entries({ ...CAMERA_OPTIONS, ...CAMERA_SWITCHES }).map(([name, about]) => line(name, about)),
    "",
    "A negative number is written with an equals sign: --skew=-20. Exit 0: written, or the live run is finished, or caused; 1: the live run was aborted, refused or stopped,",
    "or nothing could be caused; 2: bad usage, with one error.",
    "",
  ].join("\n");
}

/** Options as they were typed. */
export type Values = Record<string, string | boolean | (string | boolean)[] | undefined>;

/** InputError command.usage for what is no option. */
export function parseOptions(argv: readonly string[]): Values {
  const options: Record<string, { type: "string" | "boolean"; multiple?: boolean }> = {
    out: { type: "string" }, live: { type: "string" }, cause: { type: "string" }, cell: { type: "string" }, undo: { type: "boolean" }, format: { type: "string" }, fault: { type: "string", multiple: true }, rework: { type: "string", multiple: true }, help: { type: "boolean" },
  };
  for (const name of [...Object.keys(NUMBERS), ...Object.keys(WORDS), ...Object.keys(LIVE_OPTIONS), ...Object.keys(CAMERA_OPTIONS)]) options[name] = { type: "string" };
  for (const name of [...Object.keys(SWITCHES), "camera", ...Object.keys(CAMERA_SWITCHES)]) options[name] = { type: "boolean" };
  try {
    return parseArgs({ args: [...argv], options, allowPositionals: false, strict: true }).values;
  } catch (cause) {
    throw new InputError("command.usage", "the options that --help lists", cause instanceof Error ? (cause.message.split("\n")[0] as string) : String(cause), {}, cause);
  }
}

/** The number that an option was given. InputError command.usage. */
export function numberOf(values: Values, name: string): number {
  const text = String(values[name]), value = parseDecimal(text);
  if (Number.isNaN(value)) throw new InputError("command.usage", "a number", JSON.stringify(text), { key: `--${name}` });
  return value;
}

/** LAYER/STRAND/FROM-TO. */
function parseRework(text: string): RehearsalSettings["rework"][number] {
  const match = /^(\d+)\/(\d+)\/([\d.]+)-([\d.]+)$/.exec(text);
  if (match === null) throw new InputError("command.usage", "LAYER/STRAND/FROM-TO, such as 1/3/7-9.5", JSON.stringify(text), { key: "--rework" });
  return { layer: Number(match[1]), strand: Number(match[2]), fromMm: Number(match[3]), toMm: Number(match[4]) };
}

/** Settings as the options give them; what is not given is left to the defaults. InputError command.usage. */
export function settingsOf(values: Values): Partial<RehearsalSettings> {
  const settings: Record<string, unknown> = {};
  for (const [name, [key]] of Object.entries(NUMBERS)) if (values[name] !== undefined) settings[key] = numberOf(values, name);
  for (const [name, [key]] of Object.entries(WORDS)) if (values[name] !== undefined) settings[key] = values[name];
  for (const [name, [key, value]] of Object.entries(SWITCHES)) if (values[name] === true) settings[key] = value;
  settings.faults = ((values.fault ?? []) as string[]).map(parseFault);
  settings.rework = ((values.rework ?? []) as string[]).map(parseRework);
  return settings;
}

const CAMERA_NUMBERS = { "camera-every": "everyS", "camera-angle": "angleDeg", "camera-side": "azimuthDeg", "camera-distance": "distanceMm", "camera-scale": "pxPerMm" } as const satisfies Record<string, keyof CameraSettings>;

/** Two numbers with `between` in the middle. */
function pairOf(values: Values, name: string, between: "x" | ","): [number, number] {
  const text = String(values[name]), parts = text.split(between).map(parseDecimal);
  if (parts.length !== 2 || parts.some(Number.isNaN)) throw new InputError("command.usage", between === "x" ? "WIDTHxHEIGHT, such as 640x480" : "MM,DEG, such as 2,0.5", JSON.stringify(text), { key: `--${name}` });
  return parts as [number, number];
}

/** The camera that the options give; null: none. InputError command.usage, also for its options without --camera. */
export function cameraOf(values: Values): Partial<CameraSettings> | null {
  if (values.camera !== true) {
    const stray = [...Object.keys(CAMERA_OPTIONS), ...Object.keys(CAMERA_SWITCHES)].find((name) => values[name] !== undefined);
    if (stray !== undefined) throw new InputError("command.usage", `--camera with --${stray}`, "none", { key: `--${stray}` });
    return null;
  }
  const camera: Record<string, unknown> = { hand: values["camera-hand"] === true, alone: values["no-profiler"] === true };
  for (const [name, key] of Object.entries(CAMERA_NUMBERS)) if (values[name] !== undefined) camera[key] = numberOf(values, name);
  if (values["camera-size"] !== undefined) [camera.widthPx, camera.heightPx] = pairOf(values, "camera-size", "x");
  if (values["camera-pose-off"] !== undefined) [camera.poseOffMm, camera.poseOffDeg] = pairOf(values, "camera-pose-off", ",");
  if (values["camera-look"] !== undefined) camera.look = values["camera-look"];
  return camera;
}

/** An error as a line; the setting's name becomes the option that the caller typed. */
export function asTyped(error: InputError): string {
  const options: [string, string][] = [
    ...[...Object.entries(NUMBERS), ...Object.entries(WORDS)].map(([name, [key]]): [string, string] => [name, key]),
    ...Object.entries(CAMERA_NUMBERS), ["camera-size", "widthPx"], ["camera-size", "heightPx"], ["camera-pose-off", "poseOffMm"], ["camera-pose-off", "poseOffDeg"], ["camera-look", "look"],
  ];
  const named = options.find(([, key]) => key === error.place.key);
  return `${error.code}: ${named === undefined ? error.message : error.message.replace(`key ${named[1]}`, `key --${named[0]}`)}`;
}
