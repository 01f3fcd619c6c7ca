/** job.json of a rehearsal, in the contract's own form. */
import { mountingsOf, x0Mm } from "./profiler.ts";
import type { RehearsalSettings } from "./settings.ts";

/** Uncertainty that the job states for the bias of a translucent material, mm. */
const BIAS_U_MM = 0.005;

/** The nozzle of every rehearsal, as job.json says it. */
export const NOZZLE_SHAPE = { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20, lengthMm: 12.7 } as const;

/** What the job says of a camera: the device, and whether it is alone. */
export interface CameraPart { readonly device: Record<string, unknown>; readonly isAlone: boolean }

/** The job; the name and the specimen say that it is invented. */
export function jobJson(settings: RehearsalSettings, camera: CameraPart | null = null): Record<string, unknown> {
  const bias = settings.translucentBiasMm, stated = bias !== null && settings.biasStated;
  return {
    contract: "aslaid/1",
    name: `rehearsal ${settings.seed}: ${settings.pattern} on ${settings.surface === "mandibleAngle" ? "a mandible-angle foam phantom" : `a ${settings.surface}`}, simulated`,
    specimen: "machined foam phantom (invented demonstration data)",
    plan: { file: "plan.csv" },
    stationSpacingMm: settings.stationSpacingMm,
    nozzle: NOZZLE_SHAPE,
    material: { name: "calcium-phosphate paste (simulated)", beadShape: settings.shape, translucent: bias !== null },
    devices: [...(camera?.isAlone === true ? [] : mountingsOf(settings).map(({ id }) => ({
      id, kind: "profiler", points: settings.points, x0Mm: Math.round(x0Mm(settings) * 1e9) / 1e9, dxMm: settings.dxMm, sigmaZMm: settings.sigmaMm,
      ...(stated ? { surfaceBiasMm: { value: bias, u: BIAS_U_MM } } : {}),
    }))), ...(camera === null ? [] : [camera.device])],
  };
}
