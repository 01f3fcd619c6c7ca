/** What a rehearsal is made of. Every setting has a default; lengths mm, angles degrees, times s. */
import { InputError } from "../base/errors.ts";
import type { BeadShape } from "../model/job.ts";
import { checkFault, type Fault } from "./fault.ts";
import { SURFACE_NAMES, type SurfaceName } from "./surface.ts";

export const PATTERNS = ["open", "raster", "lattice", "serpentine", "ring"] as const;
export type Pattern = (typeof PATTERNS)[number];
/** When a dragged stretch goes: as the nozzle leaves the strand, or only after the first scan that saw all of it. */
export const DRAG_TIMES = ["strandEnd", "afterScan"] as const;

/** A stretch taken off after its layer was seen, seen again, and laid a second time. */
export interface Rework { readonly layer: number; readonly strand: number; readonly fromMm: number; readonly toMm: number }

export interface RehearsalSettings {
  readonly seed: number;
  readonly surface: SurfaceName;
  /** Of cylinder, sphere, saddle. */
  readonly radiusMm: number;
  readonly pattern: Pattern;
  readonly layers: number;
  /** Strands (serpentine: legs) of layers laid in the first direction; turned layers fill the same field. */
  readonly strands: number;
  /** null: open and lattice 2 w, serpentine 1.5 w, raster 0.9 w. */
  readonly pitchMm: number | null;
  /** Turn from each layer to the next. null: lattice and raster 90, else 0. */
  readonly layerAngleDeg: number | null;
  /** Direction of the first layer in the chart, 0 along u. */
  readonly directionDeg: number;
  /** Length of a strand (serpentine: of a leg; ring: its circumference). */
  readonly lengthMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly shape: BeadShape;
  readonly speedMmS: number;
  /** Every second strand is laid backwards. */
  readonly alternate: boolean;
  readonly stationSpacingMm: number;
  /** Smooth natural variation of width and height along strands, standard deviation as a fraction. */
  readonly variationFraction: number;
  /** Smooth natural lateral wander, standard deviation. */
  readonly wanderMm: number;
  /** Length over which a fault begins and ends (a lift: one width). */
  readonly rampMm: number;
  readonly scan: "trailing" | "later";
  /** Distance of the trailing profiler behind the nozzle. */
  readonly trailMm: number;
  /** Turn of the laser plane about the normal, 0: square across the path. */
  readonly skewDeg: number;
  /** Tilt of the laser plane forwards. */
  readonly pitchDeg: number;
  /** Tilt of the sensor sideways. */
  readonly rollDeg: number;
  /** How many; the second and third look from other places at other angles. */
  readonly profilers: number;
  readonly profileSpacingMm: number;
  readonly points: number;
  readonly dxMm: number;
  readonly standoffMm: number;
  readonly scanSpeedMmS: number;
  readonly sigmaMm: number;
  readonly dropoutFraction: number;
  readonly spikeFraction: number;
  readonly spikeMm: number;
  /** Probability of no return at 85° of incidence and beyond; it grows from 0 at 70°. */
  readonly flankLoss: number;
  /** Slow drift of the reported pose: standard deviation along the normal; the tilt that goes with it is this over 25 mm. */
  readonly driftMm: number;
  readonly supportScan: boolean;
  /** One more scan over each finished layer in trailing mode. null: where a drag or a rework asks for one. */
  readonly finalScan: boolean | null;
  readonly progress: boolean;
  /** The profiles' own `layer`. null: where it is needed (several layers without progress). */
  readonly layerColumn: boolean | null;
  /** The material lets light in; readings on paste are this much too high (negative: too low). null: opaque. */
  readonly translucentBiasMm: number | null;
  /** Whether the job states that bias. */
  readonly biasStated: boolean;
  readonly faults: readonly Fault[];
  readonly dragWhen: (typeof DRAG_TIMES)[number];
  readonly rework: readonly Rework[];
}

export const DEFAULT_SETTINGS: RehearsalSettings = {
  seed: 1, surface: "plane", radiusMm: 45, pattern: "open", layers: 1, strands: 6, pitchMm: null, layerAngleDeg: null, directionDeg: 0,
  lengthMm: 20, widthMm: 1, heightMm: 0.5, shape: "stadium", speedMmS: 8, alternate: true, stationSpacingMm: 0.5,
  variationFraction: 0.015, wanderMm: 0.008, rampMm: 0.3, scan: "trailing", trailMm: 8, skewDeg: 0, pitchDeg: 0, rollDeg: 0, profilers: 1,
  profileSpacingMm: 0.25, points: 640, dxMm: 0.03, standoffMm: 60, scanSpeedMmS: 20, sigmaMm: 0.01, dropoutFraction: 0.01, spikeFraction: 0,
  spikeMm: 1.5, flankLoss: 0.9, driftMm: 0, supportScan: true, finalScan: null, progress: true, layerColumn: null, translucentBiasMm: null,
  biasStated: true, faults: [], dragWhen: "strandEnd", rework: [],
};

/** Closed ranges of the numbers, [least, most]; whole ones are listed in WHOLE. */
const RANGES: Readonly<Partial<Record<keyof RehearsalSettings, readonly [number, number]>>> = {
  seed: [0, Number.MAX_SAFE_INTEGER], radiusMm: [5, 1e5], layers: [1, 20], strands: [1, 500], pitchMm: [0.1, 50], layerAngleDeg: [-360, 360],
  directionDeg: [-360, 360], lengthMm: [0.2, 500], widthMm: [0.2, 4], heightMm: [0.05, 4], speedMmS: [0.1, 500], stationSpacingMm: [0.01, 50],
  variationFraction: [0, 0.2], wanderMm: [0, 0.5], rampMm: [0.01, 5], trailMm: [0, 50], skewDeg: [-60, 60], pitchDeg: [-50, 50],
  rollDeg: [-50, 50], profilers: [1, 3], profileSpacingMm: [0.01, 5], points: [16, 8192], dxMm: [0.001, 1], standoffMm: [5, 500],
  scanSpeedMmS: [0.1, 2000], sigmaMm: [0, 1], dropoutFraction: [0, 1], spikeFraction: [0, 1], spikeMm: [0, 20], flankLoss: [0, 1], driftMm: [0, 1],
  translucentBiasMm: [-1, 1],
};
const WHOLE: readonly (keyof RehearsalSettings)[] = ["seed", "layers", "strands", "profilers", "points"];

/** Defaults filled in and checked; InputError command.usage names the setting that cannot be. */
export function fillSettings(given: Partial<RehearsalSettings>): RehearsalSettings {
  const settings: RehearsalSettings = { ...DEFAULT_SETTINGS, ...given };
  const refuse = (key: string, expected: string, got: unknown): never => { throw new InputError("command.usage", expected, JSON.stringify(got) ?? "nothing", { key }); };
  for (const [key, range] of Object.entries(RANGES) as [keyof RehearsalSettings, readonly [number, number]][]) {
    const value = settings[key];
    if (value === null && DEFAULT_SETTINGS[key] === null) continue;
    if (typeof value !== "number" || !(value >= range[0] && value <= range[1])) refuse(key, `a number from ${range[0]} to ${range[1]}`, value);
    if (WHOLE.includes(key) && !Number.isInteger(value)) refuse(key, "a whole number", value);
  }
  if (!SURFACE_NAMES.includes(settings.surface)) refuse("surface", `one of ${SURFACE_NAMES.join(", ")}`, settings.surface);
  if (!PATTERNS.includes(settings.pattern)) refuse("pattern", `one of ${PATTERNS.join(", ")}`, settings.pattern);
  if (settings.shape !== "stadium" && settings.shape !== "segment") refuse("shape", "stadium or segment", settings.shape);
  if (settings.scan !== "trailing" && settings.scan !== "later") refuse("scan", "trailing or later", settings.scan);
  if (settings.shape === "stadium" && settings.widthMm < settings.heightMm) refuse("widthMm", "a stadium at least as wide as high", settings.widthMm);
  if (!DRAG_TIMES.includes(settings.dragWhen)) refuse("dragWhen", `one of ${DRAG_TIMES.join(", ")}`, settings.dragWhen);
  for (const fault of settings.faults) checkFault(fault, `${fault.kind}@${fault.layer}/${fault.strand}/${fault.fromMm}-${fault.toMm}`);
  for (const one of settings.rework) if (!(one.fromMm >= 0 && one.toMm > one.fromMm)) refuse("rework", "0 ≤ fromMm < toMm", one);
  return settings;
}

const PITCH_PER_WIDTH: Readonly<Record<Pattern, number>> = { open: 2, raster: 0.9, lattice: 2, serpentine: 1.5, ring: 2 };

/** Pitch in force. */
export function pitchOf(settings: RehearsalSettings): number {
  if (settings.pitchMm !== null) return settings.pitchMm;
  return settings.widthMm * (PITCH_PER_WIDTH[settings.pattern]);
}

/** Turn between layers in force, degrees. */
export function layerAngleOf(settings: RehearsalSettings): number {
  return settings.layerAngleDeg ?? (settings.pattern === "lattice" || settings.pattern === "raster" ? 90 : 0);
}
