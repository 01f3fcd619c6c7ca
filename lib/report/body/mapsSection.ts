/** A map of every layer. */
import { VERDICT_MARKS } from "../../model/marks.ts";
import type { ReportSection } from "../../model/report.ts";
import { layerMapDrawing } from "../draw/layerMapDrawing.ts";
import { cameraAlone } from "../frameWords.ts";
import type { BodyInput } from "./bodyInput.ts";

const SHOWN = ["gap", "under", "over", "lifted", "displaced"] as const;

export function mapsSection({ sheet: { layers, findings }, stations }: BodyInput): ReportSection {
  const key = SHOWN.map((verdict) => `${VERDICT_MARKS[verdict].letter} ${VERDICT_MARKS[verdict].label.toLowerCase()}`).join(", ");
  const byCamera = cameraAlone(stations).present === 0 ? "" : ", dotted is seen by the camera alone";
  return {
    id: "maps", title: "Maps",
    blocks: [
      { kind: "words", text: `Planned flanks are thin lines, measured ones thick, flanks hidden by a neighbour dashed; blank is not seen${byCamera}. Letters: ${key}, T detached strand, S stray material, P closed pore.` },
      ...layers.map((layer) => ({ kind: "drawing", drawing: layerMapDrawing(layer, findings, layer.layer < layers.length) } as const)),
    ],
  };
}
