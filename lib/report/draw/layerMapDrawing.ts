/** The map of a layer for the report: what was planned, what lies there, and where it deviates. */
import { barMm, discMm, MAP_VERDICTS, mapScale, placeLetters, traceFlanks, traceMapBody, traceVerdict, type MapRoom, type MapScale, type PlacedLetter } from "../../formula/layerMap.ts";
import { FINDING_MARKS } from "../../model/marks.ts";
import type { Drawing, DrawingMark } from "../../model/report.ts";
import { DRAWING_WIDTH } from "../../model/report.ts";
import type { FindingKind, Verdict } from "../../model/result.ts";
import type { SheetFinding, SheetLayer, SheetStrand } from "../../model/sheet.ts";
import { counted } from "../words.ts";
import { DrawingPen, pathMark, textMark } from "./drawingPen.ts";

export const PAPER_ROOM: MapRoom = { widthPx: DRAWING_WIDTH, marginPx: 22, leastHeightPx: 120, mostHeightPx: 290 };
/** Points a millimetre on paper. */
const PT_PER_MM = 72 / 25.4;
/** More strands than this are not numbered at their beginning: numbers would cover each other. */
const MOST_NUMBERED = 40;

/** Verdict whose pattern and colour a finding's kind is tagged in. */
export const VERDICT_OF_KIND: Readonly<Record<FindingKind, Verdict>> = {
  gap: "gap", underExtrusion: "under", overExtrusion: "over", liftedStrand: "lifted", displacedStrand: "displaced", unmeasured: "unmeasured",
  detachedStrand: "gap", strayMaterial: "over", closedPore: "over", nozzleHang: "over", sensorsDisagree: "watch", cameraPose: "unmeasured",
};

/** "3.2 : 1", "1 : 2.4": how large it is on paper at its full width. */
export function paperScale(ptPerMm: number): string {
  const scale = ptPerMm / PT_PER_MM;
  return scale >= 1 ? `${scale.toFixed(1)} : 1` : `1 : ${(1 / scale).toFixed(1)}`;
}

function traced(look: ConstructorParameters<typeof DrawingPen>[0], fill: ConstructorParameters<typeof DrawingPen>[1], draw: (pen: DrawingPen) => void): DrawingMark[] {
  const pen = new DrawingPen(look, fill);
  draw(pen);
  return pen.marks();
}

/** A disc of a body's footprint, as a polygon. */
function discMarks(finding: SheetFinding, scale: MapScale): DrawingMark[] {
  const radius = Math.max(3, discMm(finding.areaMm2) * scale.pxPerMm), corners = 24;
  const points = Array.from({ length: corners }, (_, i) => [scale.x(finding.xMm) + radius * Math.cos(2 * Math.PI * i / corners), scale.y(finding.yMm) + radius * Math.sin(2 * Math.PI * i / corners)]).flat();
  return pathMark(points, "thick", { closed: true });
}

function barMarks(scale: MapScale): DrawingMark[] {
  const mm = barMm(scale), x = 12, y = scale.heightPx - 8, to = x + mm * scale.pxPerMm;
  return [...pathMark([x, y - 4, x, y, to, y, to, y - 4], "thin"), textMark(to + 5, y, `${mm} mm`, { size: 8, quiet: true })];
}

function numberMarks(strands: readonly SheetStrand[], scale: MapScale): DrawingMark[] {
  if (strands.length > MOST_NUMBERED) return [];
  return strands.flatMap((strand) => {
    const x = strand.xMm[0], y = strand.yMm[0];
    return x === undefined || y === undefined ? [] : [textMark(scale.x(x) - 4, scale.y(y) + 2.5, String(strand.strand), { size: 7, anchor: "end", quiet: true })];
  });
}

const VERDICTS_SHOWN = Object.keys(MAP_VERDICTS) as (keyof typeof MAP_VERDICTS)[];

/** What a layer's map shows at this scale. `here`: findings of that layer; `letters`: where each is tagged. */
export function layerMapMarks(strands: readonly SheetStrand[], here: readonly SheetFinding[], letters: readonly PlacedLetter[], scale: MapScale): DrawingMark[] {
  const each = (look: ConstructorParameters<typeof DrawingPen>[0], fill: ConstructorParameters<typeof DrawingPen>[1], trace: (pen: DrawingPen, strand: SheetStrand) => void): DrawingMark[] =>
    traced(look, fill, (pen) => { for (const strand of strands) trace(pen, strand); });
  return [
    ...each("none", "bone", (pen, strand) => traceMapBody(pen, strand, scale)),
    ...VERDICTS_SHOWN.flatMap((verdict) => each("none", verdict, (pen, strand) => traceVerdict(pen, strand, scale, verdict))),
    ...each("thin", "none", (pen, strand) => traceFlanks(pen, strand, scale, "planned")),
    ...each("hidden", "none", (pen, strand) => traceFlanks(pen, strand, scale, "hidden")),
    ...each("thick", "none", (pen, strand) => traceFlanks(pen, strand, scale, "seen")),
    ...each("dotted", "none", (pen, strand) => traceFlanks(pen, strand, scale, "camera")),
    ...here.filter(({ offPath }) => offPath).flatMap((finding) => discMarks(finding, scale)),
    ...numberMarks(strands, scale),
    ...letters.flatMap(({ rank, xPx, yPx }): DrawingMark[] => {
      const finding = here.find((one) => one.rank === rank);
      return finding === undefined ? [] : [{ kind: "tag", x: Math.round(xPx), y: Math.round(yPx), verdict: VERDICT_OF_KIND[finding.kind], letter: FINDING_MARKS[finding.kind].letter }];
    }),
    ...barMarks(scale),
  ];
}

/** `isBuried`: a later layer covers it. */
export function layerMapDrawing({ layer, strands, frameWords }: SheetLayer, findings: readonly SheetFinding[], isBuried: boolean): Drawing {
  const here = findings.filter((finding) => finding.layer === layer), scale = mapScale(strands, here, PAPER_ROOM), { heightPx } = scale;
  const letters = placeLetters(here, scale);
  return {
    id: `map-${layer}`, title: `Layer ${layer}, ${frameWords}`, width: DRAWING_WIDTH, height: Math.ceil(heightPx), scaleWords: paperScale(scale.pxPerMm),
    alt: `Map of layer ${layer}${isBuried ? ", as it was before the next layer covered it" : ""}: ${counted(strands.length, "strand")}, ${here.length === 0 ? "no findings" : counted(here.length, "finding")}${letters.length < here.length ? `, ${letters.length} of them tagged` : ""}. Planned flanks are thin, measured ones thick, hidden ones dashed; what was not seen is blank.`,
    marks: layerMapMarks(strands, here, letters, scale),
  };
}
