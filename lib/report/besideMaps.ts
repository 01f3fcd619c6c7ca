/** The layers of two results beside each other, each layer to one scale on both sides. Pure. */
import { MAP_VERDICTS, barMm, discMm, mapScale, placeLetters, traceFlanks, traceMapBody, traceVerdict, type MapRoom, type MapScale } from "../formula/layerMap.ts";
import type { BesideMaps } from "../model/beside.ts";
import { FINDING_MARKS } from "../model/marks.ts";
import type { Drawing, DrawingMark } from "../model/report.ts";
import type { FindingKind, Verdict } from "../model/result.ts";
import type { Sheet, SheetFinding, SheetLayer } from "../model/sheet.ts";
import { pointPen } from "./pointPen.ts";
import { counted } from "./words.ts";

/** Half of the text's width, less what parts the two. */
const ROOM: MapRoom = { widthPx: 240, marginPx: 24, leastHeightPx: 90, mostHeightPx: 300 };
/** More strands than this are not numbered: figures would cover them. */
const MOST_NUMBERS = 24;
const NUMBER_SIZE = 6.5;
/** Corners of a body's outline. */
const DISC_CORNERS = 24;

/** The verdict in whose ink a finding's letter stands. */
const TAG_VERDICTS: Readonly<Record<FindingKind, Verdict>> = {
  gap: "gap", underExtrusion: "under", overExtrusion: "over", liftedStrand: "lifted", displacedStrand: "displaced", unmeasured: "unmeasured",
  detachedStrand: "gap", strayMaterial: "over", closedPore: "over",
};

/** The same picture, smaller about its middle. */
function shrunk(scale: MapScale, pxPerMm: number): MapScale {
  const by = pxPerMm / scale.pxPerMm, { widthPx, heightPx } = scale;
  return { ...scale, pxPerMm, x: (xMm) => widthPx / 2 + (scale.x(xMm) - widthPx / 2) * by, y: (yMm) => heightPx / 2 + (scale.y(yMm) - heightPx / 2) * by };
}

function discMark({ kind, xMm, yMm, areaMm2 }: SheetFinding, scale: MapScale): DrawingMark {
  const radius = Math.max(2, discMm(areaMm2) * scale.pxPerMm);
  const points = Array.from({ length: DISC_CORNERS }, (_, i) => 2 * Math.PI * i / DISC_CORNERS).flatMap((angle) => [scale.x(xMm) + radius * Math.cos(angle), scale.y(yMm) + radius * Math.sin(angle)]);
  return { kind: "path", points, look: "hidden", fill: kind === "closedPore" ? "none" : TAG_VERDICTS[kind], closed: true };
}

function marksOf({ strands }: SheetLayer, findings: readonly SheetFinding[], scale: MapScale): DrawingMark[] {
  const traced = (trace: (pen: ReturnType<typeof pointPen>) => void): ReturnType<typeof pointPen> => {
    const pen = pointPen();
    trace(pen);
    return pen;
  };
  const each = (trace: (pen: ReturnType<typeof pointPen>, strand: SheetLayer["strands"][number]) => void): ReturnType<typeof pointPen> => traced((pen) => strands.forEach((strand) => trace(pen, strand)));
  const numbers = strands.length > MOST_NUMBERS ? [] : strands.filter(({ sMm }) => sMm.length > 0).map((strand): DrawingMark => ({
    kind: "text", x: scale.x(strand.xMm[0] as number) - 2, y: scale.y(strand.yMm[0] as number) + NUMBER_SIZE / 3, text: String(strand.strand), size: NUMBER_SIZE, anchor: "end", bold: false, quiet: true,
  }));
  return [
    ...each((pen, strand) => traceMapBody(pen, strand, scale)).marks("none", "bone"),
    ...(Object.keys(MAP_VERDICTS) as Verdict[]).flatMap((verdict) => each((pen, strand) => traceVerdict(pen, strand, scale, verdict)).marks("none", verdict)),
    ...each((pen, strand) => traceFlanks(pen, strand, scale, "planned")).marks("thin", "none"),
    ...each((pen, strand) => traceFlanks(pen, strand, scale, "seen")).marks("thick", "none"),
    ...each((pen, strand) => traceFlanks(pen, strand, scale, "hidden")).marks("hidden", "none"),
    ...findings.filter(({ offPath }) => offPath).map((finding) => discMark(finding, scale)),
    ...numbers,
    ...placeLetters(findings, scale).map(({ rank, xPx, yPx }): DrawingMark => {
      const { kind } = findings.find((finding) => finding.rank === rank) as SheetFinding;
      return { kind: "tag", x: xPx, y: yPx, verdict: TAG_VERDICTS[kind], letter: FINDING_MARKS[kind].letter };
    }),
  ];
}

function barMarks(scale: MapScale): DrawingMark[] {
  const mm = barMm(scale), right = scale.widthPx - 6, left = right - mm * scale.pxPerMm, y = scale.heightPx - 5;
  return [
    { kind: "path", points: [left, y - 3, left, y, right, y, right, y - 3], look: "thin", fill: "none", closed: false },
    { kind: "text", x: (left + right) / 2, y: y - 2.5, text: `${mm} mm`, size: NUMBER_SIZE, anchor: "middle", bold: false, quiet: true },
  ];
}

function drawingOf(side: "A" | "B", layer: SheetLayer, findings: readonly SheetFinding[], scale: MapScale): Drawing {
  const { strands } = layer;
  return {
    id: `beside-${side.toLowerCase()}-${layer.layer}`, title: `${side} · layer ${layer.layer}`,
    alt: `Layer ${layer.layer} of ${side}, ${layer.frameWords}: ${counted(strands.length, "strand")}, ${counted(findings.length, "finding")}.`,
    width: scale.widthPx, height: scale.heightPx, scaleWords: "see bar", marks: [...marksOf(layer, findings, scale), ...barMarks(scale)],
  };
}

type Side = Pick<Sheet, "layers" | "findings">;

/** Every layer that one of the two has. */
export function besideMaps(a: Side, b: Side): BesideMaps[] {
  const layers = [...new Set([...a.layers, ...b.layers].map(({ layer }) => layer))].sort((p, q) => p - q);
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
