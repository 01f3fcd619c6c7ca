/** Light that a hit sends to the camera: grain on the albedo, Lambert, Blinn–Phong on wet paste, shadows; a mirror of a plain room on metal. */
import { dot, unit, type Vec3 } from "../../kernel/vec.ts";
import { grainAt, solidNoise } from "./grain.ts";
import type { Look, Rgb } from "./look.ts";
import { HAND, HANG, NOTHING, NOZZLE, TARGET } from "./scene.ts";
import type { Hit, Tracer } from "./tracer.ts";

/** Shadow rays begin this far off the surface, mm. */
const LIFT_MM = 2e-3;
const NO_GRAIN = { sdFraction: 0.02, lengthMm: 1 };
/** What is behind everything: a dark bench. */
const BENCH: Rgb = [0.02, 0.02, 0.022];
const METAL: Rgb = [0.62, 0.63, 0.66];

export interface Shader {
  /** Radiance of the hit seen along unit `d` into `out[0..2]`, linear; gives which of the lights are kept off, as bits. */
  shade(hit: Readonly<Hit>, o: Vec3, d: Vec3, out: Float64Array): number;
}

/** A shader of a scene's tracer; `seed` settles the grain. */
export function makeShader(tracer: Tracer, look: Look, seed: number): Shader {
  const salt = Math.imul(seed | 0, 0x9e3779b1), { lights, gloss, shadowEdge } = look;

  /** Bits of the lights that do not reach p. */
  function shadowsAt(p: Vec3, n: Vec3): number {
    let bits = shadowEdge !== null && dot(p, shadowEdge.toward) > shadowEdge.atMm ? 1 : 0;
    if (!look.shadows) return bits;
    const from: Vec3 = [p[0] + LIFT_MM * n[0], p[1] + LIFT_MM * n[1], p[2] + LIFT_MM * n[2]];
    for (let i = 0; i < lights.length; i++) {
      const { toward } = lights[i]!;
      if ((bits >> i & 1) === 0 && dot(n, toward) > 0 && tracer.blocked(from, toward)) bits |= 1 << i;
    }
    return bits;
  }

  /** The normal with the paste's fine relief on it. */
  function ruffled(n: Vec3, p: Vec3): Vec3 {
    if (look.pasteRelief === 0) return n;
    const k = 1 / (1.5 * look.pasteGrain.lengthMm), at = (turn: number): number => look.pasteRelief * solidNoise(k * p[0], k * p[1], k * p[2], salt + turn);
    return unit([n[0] + at(11), n[1] + at(12), n[2] + at(13)]);
  }

  function mirror(n: Vec3, d: Vec3, out: Float64Array): void {
    const turn = -2 * dot(n, d), r: Vec3 = [d[0] + turn * n[0], d[1] + turn * n[1], d[2] + turn * n[2]];
    let room = 0.1 + 0.5 * look.ambient + 0.35 * Math.max(0, r[2]) ** 2;
    for (const light of lights) room += light.strength * (0.25 * Math.max(0, dot(n, light.toward)) + 2 * Math.max(0, dot(r, light.toward)) ** 40);
    for (let c = 0; c < 3; c++) out[c] = METAL[c]! * room;
  }

  return {
    shade(hit, o, d, out) {
      const { what } = hit;
      if (what === NOTHING) { out.set(BENCH); return 0; }
      const smooth: Vec3 = [hit.nx, hit.ny, hit.nz], l = hit.lambdaMm, p: Vec3 = [o[0] + l * d[0], o[1] + l * d[1], o[2] + l * d[2]];
      if (what === NOZZLE) { mirror(smooth, d, out); return 0; }
      const isPaste = what >= 0 || what === HANG, n = isPaste ? ruffled(smooth, p) : smooth;
      const albedo = isPaste ? look.paste : what === HAND ? look.hand : look.target;
      const grain = isPaste ? look.pasteGrain : what === TARGET ? look.targetGrain : NO_GRAIN;
      const bits = shadowsAt(p, smooth), uneven = Math.max(0.05, 1 + look.slope.per10MmFraction / 10 * dot(p, look.slope.toward));
      let diffuse = look.ambient * (0.7 + 0.3 * n[2]), shine = 0;
      for (let i = 0; i < lights.length; i++) {
        if ((bits >> i & 1) === 1) continue;
        const { toward, strength } = lights[i]!, facing = dot(n, toward);
        if (!(facing > 0)) continue;
        diffuse += strength * facing;
        if (!isPaste) continue;
        const half = unit([toward[0] - d[0], toward[1] - d[1], toward[2] - d[2]]);
        shine += strength * gloss.strength * Math.max(0, dot(n, half)) ** gloss.exponent;
      }
      const speckle = Math.max(0.1, 1 + grain.sdFraction * grainAt(p[0], p[1], p[2], grain.lengthMm, salt + (isPaste ? 3 : 5)));
      for (let c = 0; c < 3; c++) out[c] = uneven * (albedo[c]! * speckle * diffuse + shine);
      return bits;
    },
  };
}
