/** `rehearse`: a run folder made by the simulated cell, with its true answer. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import { parseFault } from "../rehearsal/fault.ts";
import type { RehearsalSettings } from "../rehearsal/settings.ts";
import { simulate } from "../rehearsal/simulate.ts";
import { writeRunFolder } from "../rehearsal/write.ts";
import type { Io } from "./io.ts";

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

function help(): string {
  const line = (name: string, about: string): string => `  --${name.padEnd(18)} ${about}`;
  const more = (about: string): string => `${" ".repeat(23)}${about}`;
  return [
    "npm run --silent rehearse -- --out FOLDER [--seed N] [--surface NAME] [--fault KIND@LAYER/STRAND/FROM-TO[=SIZE]]…",
    "",
    "Writes a run folder made by the simulated cell, with truth.json beside the plan, and prints the folder. Invented data for tests and demonstration.",
    "",
    line("out FOLDER", "new or empty folder (required)"),
    line("fault …", "gap, under (area ratio, 0.7), over (1.4), lift (mm, h/2), shift (mm, left positive, 0.45 w), drag (mm aside, left positive, 2.5 w), blob (diameter, 1.6 w),"),
    more("drift (µm per 10 mm, 60); FROM and TO in mm along the strand, e.g. --fault gap@1/3/7-9.5 --fault under@1/2/4-8=0.6"),
    line("rework …", "LAYER/STRAND/FROM-TO: taken off after the layer was seen, and laid again"),
    line("format", "arrow or ndjson (arrow)"),
    ...Object.entries(WORDS).map(([name, [, about]]) => line(name, about)),
    ...Object.entries(NUMBERS).map(([name, [, about]]) => line(name, about)),
    ...Object.entries(SWITCHES).map(([name, [, , about]]) => line(name, about)),
    "",
    "A negative number is written with an equals sign: --skew=-20. Exit 0: written; 2: bad usage, with one error.",
    "",
  ].join("\n");
}

type Values = Record<string, string | boolean | (string | boolean)[] | undefined>;

function parse(argv: readonly string[]): Values {
  const options: Record<string, { type: "string" | "boolean"; multiple?: boolean }> = {
    out: { type: "string" }, format: { type: "string" }, fault: { type: "string", multiple: true }, rework: { type: "string", multiple: true }, help: { type: "boolean" },
  };
  for (const name of [...Object.keys(NUMBERS), ...Object.keys(WORDS)]) options[name] = { type: "string" };
  for (const name of Object.keys(SWITCHES)) options[name] = { type: "boolean" };
  try {
    return parseArgs({ args: [...argv], options, allowPositionals: false, strict: true }).values;
  } catch (cause) {
    throw new InputError("command.usage", "the options that --help lists", cause instanceof Error ? (cause.message.split("\n")[0] as string) : String(cause), {}, cause);
  }
}

/** LAYER/STRAND/FROM-TO. */
function parseRework(text: string): RehearsalSettings["rework"][number] {
  const match = /^(\d+)\/(\d+)\/([\d.]+)-([\d.]+)$/.exec(text);
  if (match === null) throw new InputError("command.usage", "LAYER/STRAND/FROM-TO, such as 1/3/7-9.5", JSON.stringify(text), { key: "--rework" });
  return { layer: Number(match[1]), strand: Number(match[2]), fromMm: Number(match[3]), toMm: Number(match[4]) };
}

/** Settings as the options give them; what is not given is left to the defaults. */
function settingsOf(values: Values): Partial<RehearsalSettings> {
  const settings: Record<string, unknown> = {};
  for (const [name, [key]] of Object.entries(NUMBERS)) {
    const text = values[name];
    if (text === undefined) continue;
    const value = parseDecimal(String(text));
    if (Number.isNaN(value)) throw new InputError("command.usage", "a number", JSON.stringify(text), { key: `--${name}` });
    settings[key] = value;
  }
  for (const [name, [key]] of Object.entries(WORDS)) if (values[name] !== undefined) settings[key] = values[name];
  for (const [name, [key, value]] of Object.entries(SWITCHES)) if (values[name] === true) settings[key] = value;
  settings.faults = ((values.fault ?? []) as string[]).map(parseFault);
  settings.rework = ((values.rework ?? []) as string[]).map(parseRework);
  return settings;
}

/** The setting's name in an error becomes the option that the caller typed. */
function asTyped(error: InputError): string {
  const named = [...Object.entries(NUMBERS), ...Object.entries(WORDS)].find(([, [key]]) => key === error.place.key);
  return `${error.code}: ${named === undefined ? error.message : error.message.replace(`key ${named[1][0]}`, `key --${named[0]}`)}`;
}

/** Runs the command; 0 when the folder is written, 2 after one clear error. */
export async function rehearse(argv: readonly string[], io: Io): Promise<number> {
  try {
    const values = parse(argv);
    if (values.help === true) {
      await io.out(help());
      return 0;
    }
    const { out, format = "arrow" } = values;
    if (typeof out !== "string" || out === "") throw new InputError("command.usage", "--out FOLDER", "none", { key: "--out" });
    if (format !== "arrow" && format !== "ndjson") throw new InputError("command.usage", "arrow or ndjson", JSON.stringify(format), { key: "--format" });
    const settings = settingsOf(values), began = io.nowMs();
    let said = began;
    const rehearsal = simulate(settings);
    writeRunFolder(rehearsal, out, format, {
      onProfiles(count) {
        if (io.nowMs() - said < 1000) return;
        said = io.nowMs();
        io.err(`${count} profiles after ${Math.round((said - began) / 1000)} s`);
      },
    });
    await io.out(`${out}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    io.err(asTyped(error));
    return 2;
  }
}
