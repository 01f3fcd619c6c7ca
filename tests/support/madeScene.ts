import type { Profiler } from "../../lib/model/job.ts";
import type { ProfileMessage } from "../../lib/model/messages.ts";

/** Height of the ground over z = 0 at plan (x, y), mm. */
export type Ground = (xMm: number, yMm: number) => number;

export const PROFILER: Profiler = { id: "profiler-1", kind: "profiler", points: 200, x0Mm: -5, dxMm: 0.05, sigmaZMm: 0.01, surfaceBiasMm: null, clockOffsetS: null };

/**
 * One profile looking straight down from z = 60 mm at plan x, its line along plan +y about `yMm`; NaN of the ground is no return.
 * `noise` is added to every height.
 */
export function profileOver(ground: Ground, xMm: number, options: { yMm?: number; tS?: number; seq?: number; noise?: () => number; device?: Profiler; layer?: number | null } = {}): ProfileMessage {
  const { yMm = 0, tS = 1, seq = 0, noise = () => 0, device = PROFILER, layer = null } = options;
  const zMm = Float32Array.from({ length: device.points }, (_, i) => ground(xMm, yMm + device.x0Mm + i * device.dxMm) - 60 + noise());
  return { kind: "profile", device: device.id, frame: "plan", seq, tS, pose: [xMm, yMm, 60, 0, 0, Math.SQRT1_2, Math.SQRT1_2], zMm, xMm: null, layer };
}
