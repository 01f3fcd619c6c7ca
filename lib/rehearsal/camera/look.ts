/** How a frame of the rehearsal looks: colours, grain, light, lens and sensor; and a named set of looks for tests and training. All invented. */
import type { Vec3 } from "../../kernel/vec.ts";
import type { Lens } from "./lens.ts";

/** Linear sRGB primaries, 0..1 (albedo). */
export type Rgb = readonly [number, number, number];
/** Relative standard deviation of the albedo, and the size of a grain. */
export interface Grain { readonly sdFraction: number; readonly lengthMm: number }
/** Far light: unit direction towards it in `plan`, irradiance on a facing surface (1: an albedo of 1 reaches full scale). */
export interface Light { readonly toward: Vec3; readonly strength: number }

export interface Look {
  readonly paste: Rgb;
  readonly target: Rgb;
  readonly hand: Rgb;
  readonly pasteGrain: Grain;
  readonly targetGrain: Grain;
  /** Slope of the paste's own fine relief, sd, rad. */
  readonly pasteRelief: number;
  /** Blinn–Phong on wet paste: strength of the highlight and its exponent. */
  readonly gloss: { readonly strength: number; readonly exponent: number };
  readonly lights: readonly Light[];
  readonly ambient: number;
  /** Bodies, nozzle and hand cast shadows of the lights. */
  readonly shadows: boolean;
  /** Something out of view keeps the first light off beyond this plane: direction in `plan` and place along it, mm. */
  readonly shadowEdge: { readonly toward: Vec3; readonly atMm: number } | null;
  /** Light falls off across the target: change of irradiance over 10 mm along a direction of `plan`, as a fraction. */
  readonly slope: { readonly toward: Vec3; readonly per10MmFraction: number };
  /** Loss in the image's corners. */
  readonly vignetteFraction: number;
  readonly blurPx: number;
  /** The camera's way in the picture during the exposure. */
  readonly motionPx: readonly [number, number];
  readonly exposure: number;
  /** Electrons at full scale: shot noise is √signal of them; sd of read noise as a fraction of full scale. */
  readonly fullWell: number;
  readonly readFraction: number;
  readonly distortion: Pick<Lens, "k1" | "k2" | "p1" | "p2" | "k3">;
}

function toward(x: number, y: number, z: number): Vec3 {
  const n = Math.sqrt(x * x + y * y + z * z);
  return [x / n, y / n, z / n];
}

/** Off-white paste on tan foam under a lamp from the left and a weaker one from the right. */
const STANDARD: Look = {
  paste: [0.74, 0.70, 0.62], target: [0.42, 0.27, 0.12], hand: [0.05, 0.16, 0.42],
  pasteGrain: { sdFraction: 0.03, lengthMm: 0.12 }, targetGrain: { sdFraction: 0.14, lengthMm: 0.16 }, pasteRelief: 0.06,
  gloss: { strength: 0.35, exponent: 60 },
  lights: [{ toward: toward(-0.55, 0.45, 0.8), strength: 0.62 }, { toward: toward(0.7, -0.2, 0.9), strength: 0.16 }],
  ambient: 0.24, shadows: true, shadowEdge: null, slope: { toward: [1, 0, 0], per10MmFraction: -0.04 }, vignetteFraction: 0.18,
  blurPx: 0.7, motionPx: [0, 0], exposure: 1, fullWell: 9000, readFraction: 0.004, distortion: { k1: -0.03, k2: 0.01, p1: 0.0003, p2: -0.0002, k3: 0 },
};

export const LOOK_NAMES = ["standard", "lowContrast", "glossy", "uneven", "shadow", "textured", "distorted", "blurred", "dark", "overexposed", "sameColour"] as const;
export type LookName = (typeof LOOK_NAMES)[number];

/** The named looks; what each differs in from `standard`. */
const DIFFERENCES: Readonly<Record<LookName, Partial<Look>>> = {
  standard: {},
  lowContrast: { paste: [0.52, 0.46, 0.37], target: [0.44, 0.37, 0.27], targetGrain: { sdFraction: 0.06, lengthMm: 0.16 } },
  glossy: { gloss: { strength: 3, exponent: 45 }, pasteRelief: 0.12 },
  uneven: { slope: { toward: toward(0.9, 0.5, 0), per10MmFraction: -0.35 }, vignetteFraction: 0.45 },
  shadow: { shadowEdge: { toward: toward(0.8, 0.6, 0), atMm: 1.5 }, lights: [{ toward: toward(-0.8, 0.5, 0.75), strength: 0.8 }], ambient: 0.16 },
  textured: { targetGrain: { sdFraction: 0.35, lengthMm: 0.45 }, pasteGrain: { sdFraction: 0.1, lengthMm: 0.2 } },
  distorted: { distortion: { k1: -0.25, k2: 0.08, p1: 0.001, p2: -0.0008, k3: 0 } },
  blurred: { blurPx: 6, motionPx: [14, 5] },
  dark: { exposure: 0.006 },
  overexposed: { exposure: 12 },
  sameColour: { paste: [0.55, 0.48, 0.38], target: [0.55, 0.48, 0.38], targetGrain: { sdFraction: 0.1, lengthMm: 0.16 }, pasteGrain: { sdFraction: 0.1, lengthMm: 0.16 } },
};

/** The look of a name. */
export function lookOf(name: LookName): Look {
  return { ...STANDARD, ...DIFFERENCES[name] };
}
