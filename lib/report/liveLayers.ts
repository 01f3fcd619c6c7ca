/** A plan's strands unrolled with nothing measured on them yet: what a live picture begins with. */
import { FRAME_LENGTH } from "../kernel/path.ts";
import { tripleAt } from "../kernel/vec.ts";
import type { Plan } from "../model/plan.ts";
import { VERDICTS } from "../model/result.ts";
import type { LayerFrame, SheetLayer, SheetStrand } from "../model/sheet.ts";
import { NO_CAMERA, NO_SUPPORT } from "../model/sheet.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import { layerFrame, mapPoint } from "./layerFrame.ts";

function emptyStrand(strand: StrandStations, frame: LayerFrame): SheetStrand {
  const { count, layer, strand: number, lengthMm, path } = strand;
  const none = (): Float32Array => new Float32Array(count).fill(Number.NaN);
  const places = Array.from({ length: count }, (_, i) => mapPoint(frame, tripleAt(strand.frames, (FRAME_LENGTH / 3) * i)));
  return {
    layer, strand: number, lengthMm, closed: path.closed, attempt: new Uint16Array(count).fill(1), sMm: Float32Array.from(strand.sMm), laid: new Uint8Array(count),
    xMm: Float32Array.from(places, ([x]) => x), yMm: Float32Array.from(places, ([, y]) => y),
    plannedWidthMm: Float32Array.from(strand.widthMm), plannedHeightMm: Float32Array.from(strand.heightMm), plannedAreaMm2: Float32Array.from(strand.visibleAreaMm2),
    widthMm: none(), heightMm: none(), areaMm2: none(), offsetMm: none(), areaRatio: none(), uWidthMm: none(), uHeightMm: none(), uAreaMm2: none(), uOffsetMm: none(),
    coverage: none(), sagMm: none(), ageS: none(), support: new Uint8Array(count).fill(NO_SUPPORT),
    // whether a station is laid yet is not known here: it was not seen, which is true of both
    verdict: new Uint8Array(count).fill(VERDICTS.indexOf("unmeasured")), proven: new Uint8Array(count), limits: new Uint32Array(count),
    camera: new Uint8Array(count).fill(NO_CAMERA), cameraFrame: new Int32Array(count).fill(-1), cameraWidthMm: none(), uCameraWidthMm: none(),
  };
}

/** One layer after another, in the order of the plan. */
export function liveLayers(stations: StationPlan, plan: Pick<Plan, "strands">): SheetLayer[] {
  return [...new Set(stations.strands.map(({ layer }) => layer))].map((layer) => {
    const { frame, words } = layerFrame(plan.strands.filter((strand) => strand.layer === layer));
    return { layer, frame, frameWords: words, strands: stations.strands.filter((strand) => strand.layer === layer).map((strand) => emptyStrand(strand, frame)) };
  });
}
