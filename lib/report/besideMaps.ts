/** The layers of two results beside each other, each layer to one scale on both sides. Pure. */
import { mapScale, placeLetters, type MapRoom, type MapScale } from "../formula/layerMap.ts";
import type { BesideMaps } from "../model/beside.ts";
import type { Drawing } from "../model/report.ts";
import type { Sheet, SheetFinding, SheetLayer } from "../model/sheet.ts";
import { layerMapMarks } from "./draw/layerMapDrawing.ts";
import { counted } from "./words.ts";

/** Half of the text's width, less what parts the two. */
const ROOM: MapRoom = { widthPx: 240, marginPx: 24, leastHeightPx: 90, mostHeightPx: 300 };

/** The same picture, smaller about its middle. */
function shrunk(scale: MapScale, pxPerMm: number): MapScale {
  const by = pxPerMm / scale.pxPerMm, { widthPx, heightPx } = scale;
  return { ...scale, pxPerMm, x: (xMm) => widthPx / 2 + (scale.x(xMm) - widthPx / 2) * by, y: (yMm) => heightPx / 2 + (scale.y(yMm) - heightPx / 2) * by };
}

function drawingOf(side: "A" | "B", layer: SheetLayer, findings: readonly SheetFinding[], scale: MapScale): Drawing {
  const { strands } = layer;
  return {
    id: `beside-${side.toLowerCase()}-${layer.layer}`, title: `${side} · layer ${layer.layer}`,
    alt: `Layer ${layer.layer} of ${side}, ${layer.frameWords}: ${counted(strands.length, "strand")}, ${counted(findings.length, "finding")}.`,
    width: scale.widthPx, height: scale.heightPx, scaleWords: "see bar", marks: layerMapMarks(strands, findings, placeLetters(findings, scale), scale),
  };
}

type Side = Pick<Sheet, "layers" | "findings">;

/** Of so many layers all are drawn; of more, one at a time: a page of twenty layers would weigh tens of megabytes. */
const MOST_AT_ONCE = 4;

/** Every layer that one of the two has, ascending. */
export function besideLayers(a: Side, b: Side): number[] {
  return [...new Set([...a.layers, ...b.layers].map(({ layer }) => layer))].sort((p, q) => p - q);
}

/** The layer whose findings differ most in number, else the first. */
function mostDiffering(a: Side, b: Side, layers: readonly number[]): readonly number[] {
  const countOf = ({ findings }: Side, layer: number): number => findings.filter((finding) => finding.layer === layer).length;
  return layers.toSorted((p, q) => Math.abs(countOf(a, q) - countOf(b, q)) - Math.abs(countOf(a, p) - countOf(b, p))).slice(0, 1);
}

/** `asked`: the layer to draw where not all are drawn; null or one that is not there: the one that differs most. */
export function besideMaps(a: Side, b: Side, asked: number | null): BesideMaps[] {
  const all = besideLayers(a, b), chosen = all.filter((layer) => layer === asked);
  const layers = all.length <= MOST_AT_ONCE ? all : chosen.length > 0 ? chosen : mostDiffering(a, b, all);
  return layers.map((layer) => {
    const sides = [a, b].map((side) => {
      const of = side.layers.find((each) => each.layer === layer), findings = side.findings.filter((finding) => finding.layer === layer);
      return of === undefined ? null : { of, findings, scale: mapScale(of.strands, findings, ROOM) };
    });
    const pxPerMm = Math.min(...sides.map((side) => side?.scale.pxPerMm ?? Infinity));
    const [left = null, right = null] = sides.map((side, i) => (side === null ? null : drawingOf(i === 0 ? "A" : "B", side.of, side.findings, shrunk(side.scale, pxPerMm))));
    return { layer, a: left, b: right };
  });
}
