/** A strand of a sheet from a few columns; what is not given was not measured. */
import { CAMERA_STATES } from "../../lib/model/frame.ts";
import type { Verdict } from "../../lib/model/result.ts";
import { VERDICTS } from "../../lib/model/result.ts";
import type { SheetStrand } from "../../lib/model/sheet.ts";
import { NO_CAMERA, NO_SUPPORT } from "../../lib/model/sheet.ts";

export interface MadeAt {
  readonly s: number;
  readonly w?: number | null; readonly ratio?: number | null; readonly h?: number | null; readonly offset?: number | null; readonly uArea?: number;
  readonly x?: number; readonly y?: number; readonly verdict?: Verdict; readonly camera?: "present" | "absent"; readonly cameraW?: number;
}

/** Planned bead 2 × 0.7 mm, area 1.3 mm²; the map's x is s and its y 0 unless said. */
export function madeStrand(stations: readonly MadeAt[], { layer = 1, strand = 3 }: { readonly layer?: number; readonly strand?: number } = {}): SheetStrand {
  const floats = (of: (at: MadeAt) => number | null | undefined): Float32Array => Float32Array.from(stations, (at) => of(at) ?? Number.NaN);
  const none = (): Float32Array => floats(() => null);
  return {
    layer, strand, lengthMm: stations.at(-1)?.s ?? 0, closed: false, attempt: Uint16Array.from(stations, () => 1), sMm: floats((at) => at.s), laid: Uint8Array.from(stations, () => 1),
    xMm: floats((at) => at.x ?? at.s), yMm: floats((at) => at.y ?? 0), plannedWidthMm: floats(() => 2), plannedHeightMm: floats(() => 0.7), plannedAreaMm2: floats(() => 1.3),
    widthMm: floats((at) => at.w), heightMm: floats((at) => at.h), areaMm2: none(), offsetMm: floats((at) => at.offset), areaRatio: floats((at) => at.ratio),
    uWidthMm: none(), uHeightMm: none(), uAreaMm2: floats((at) => at.uArea), uOffsetMm: none(), coverage: none(), sagMm: none(), support: Uint8Array.from(stations, () => NO_SUPPORT), ageS: none(),
    verdict: Uint8Array.from(stations, (at) => VERDICTS.indexOf(at.verdict ?? "inBand")), proven: Uint8Array.from(stations, () => 1), limits: Uint32Array.from(stations, () => 0),
    camera: Uint8Array.from(stations, (at) => (at.camera === undefined ? NO_CAMERA : CAMERA_STATES.indexOf(at.camera))), cameraFrame: Int32Array.from(stations, () => -1), cameraWidthMm: floats((at) => at.cameraW), uCameraWidthMm: none(),
  };
}
