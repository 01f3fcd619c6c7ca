/** The section at one station for the report: planned thin, measured thick, support thin and wavy, dimensions with ± U. */
import { countedAreaPx, cutSupportPx, cutWords, measuredCutPx } from "../../formula/cutView.ts";
import { beadOutlinePx, SECTION_HEIGHT_PX, SECTION_WIDTH_PX, sectionScale, sectionXPx, sectionYPx, type BeadSize, type SectionScale } from "../../formula/sectionView.ts";
import type { BeadShape } from "../../model/job.ts";
import type { Drawing, DrawingMark } from "../../model/report.ts";
import type { StationResult } from "../../model/result.ts";
import type { SectionCut } from "../../model/sectionCut.ts";
import { withExpandedU } from "../uWords.ts";
import { pathMark, textMark } from "./drawingPen.ts";
import { paperScale } from "./layerMapDrawing.ts";

/** Oblique strokes end a dimension line (ISO 129-1). */
function dimension(from: readonly [number, number], to: readonly [number, number], words: string, at: readonly [number, number], anchor: "start" | "middle"): DrawingMark[] {
  const stroke = ([x, y]: readonly [number, number]): DrawingMark[] => pathMark([x - 3, y + 3, x + 3, y - 3], "thin");
  return [...pathMark([...from, ...to], "thin"), ...stroke(from), ...stroke(to), textMark(at[0], at[1], words, { size: 12, anchor, bold: true })];
}

function widthMarks(station: StationResult, bead: BeadSize, scale: SectionScale): DrawingMark[] {
  const [left, right, y] = [sectionXPx(scale, bead.offsetMm + bead.widthMm / 2), sectionXPx(scale, bead.offsetMm - bead.widthMm / 2), scale.baseYPx + 24];
  return [
    ...pathMark([left, scale.baseYPx + 5, left, y + 5], "thin"), ...pathMark([right, scale.baseYPx + 5, right, y + 5], "thin"),
    ...dimension([left, y], [right, y], `${withExpandedU(station.measured?.widthMm ?? null, station.u?.widthMm ?? null)} mm`, [(left + right) / 2, y + 17], "middle"),
  ];
}

function heightMarks(station: StationResult, bead: BeadSize, scale: SectionScale): DrawingMark[] {
  const top = sectionYPx(scale, bead.heightMm), flank = Math.max(sectionXPx(scale, bead.offsetMm - bead.widthMm / 2), sectionXPx(scale, -station.planned.widthMm / 2)), x = flank + 26;
  return [
    ...pathMark([sectionXPx(scale, bead.offsetMm), top, x + 5, top], "thin"), ...pathMark([flank + 5, scale.baseYPx, x + 5, scale.baseYPx], "thin"),
    ...dimension([x, top], [x, scale.baseYPx], `${withExpandedU(station.measured?.heightMm ?? null, station.u?.heightMm ?? null)} mm`, [x + 8, (top + scale.baseYPx) / 2 + 4], "start"),
  ];
}

function centreMarks(offsetMm: number | null, scale: SectionScale): DrawingMark[] {
  const line = (mm: number): DrawingMark[] => { const x = sectionXPx(scale, mm); return pathMark([x, 24, x, scale.baseYPx + 12], "centre"); };
  if (offsetMm === null) return line(0);
  const size = Math.abs(offsetMm).toFixed(2), side = Number(size) === 0 ? "" : offsetMm > 0 ? " left" : " right";
  return [...line(0), ...line(offsetMm), textMark((sectionXPx(scale, 0) + sectionXPx(scale, offsetMm)) / 2, 18, `${size} mm${side}`, { size: 11, anchor: "middle" })];
}

/** Places of a line that lie inside the picture: a profile goes on beyond it. */
function inside(points: readonly number[]): number[] {
  return points.flatMap((x, i) => {
    const y = points[i + 1] as number;
    return i % 2 === 0 && x >= 0 && x <= SECTION_WIDTH_PX && y >= 0 && y <= SECTION_HEIGHT_PX ? [x, y] : [];
  });
}

/** As the profile saw it; without one, from the station's numbers. */
function beadMarks(shape: BeadShape, measured: BeadSize | null, hasFlanks: boolean, cut: SectionCut | null, scale: SectionScale): DrawingMark[] {
  if (cut !== null) {
    return [
      ...countedAreaPx(scale, cut).flatMap((area) => pathMark(inside(area), "none", { fill: "bone", closed: true })),
      ...pathMark(inside(cutSupportPx(scale, cut)), "thin"), ...measuredCutPx(scale, cut).flatMap((line) => pathMark(inside(line), "thick")),
    ];
  }
  const base = pathMark([40, scale.baseYPx, SECTION_WIDTH_PX - 100, scale.baseYPx], "thin");
  return measured === null ? base : [...base, ...pathMark(beadOutlinePx(scale, shape, measured), hasFlanks ? "thick" : "hidden", { fill: "bone" })];
}

/** `id`: unique in the report. `cut`: of the reading that stands; null: none is kept. */
export function sectionDrawing(id: string, station: StationResult, shape: BeadShape, cut: SectionCut | null): Drawing {
  const { planned: { widthMm, heightMm }, measured: read, layer, strand, sMm } = station;
  const planned: BeadSize = { widthMm, heightMm, offsetMm: 0 };
  const measured: BeadSize | null = read === null || read.heightMm === null || read.heightMm <= 0 ? null : { widthMm: read.widthMm ?? widthMm, heightMm: read.heightMm, offsetMm: read.offsetMm ?? 0 };
  const scale = sectionScale(measured === null ? [planned] : [planned, measured]), hasFlanks = read !== null && read.widthMm !== null;
  const place = `strand ${strand} of layer ${layer} at ${sMm.toFixed(1)} mm`;
  return {
    id, title: `Section, ${place}`, width: SECTION_WIDTH_PX, height: SECTION_HEIGHT_PX, scaleWords: paperScale(scale.pxPerMm),
    alt: `Section of ${place}, seen in the direction of travel: planned ${widthMm.toFixed(2)} × ${heightMm.toFixed(2)} mm; measured ${read === null ? "nothing" : `width ${withExpandedU(read.widthMm, station.u?.widthMm ?? null)} mm, height ${withExpandedU(read.heightMm, station.u?.heightMm ?? null)} mm`}. ${cut === null ? "Drawn from the numbers: no profile is kept of it." : `As ${cutWords(cut)}.`}`,
    marks: [
      ...beadMarks(shape, measured, hasFlanks, cut, scale), ...pathMark(beadOutlinePx(scale, shape, planned), "thin"), ...centreMarks(read?.offsetMm ?? null, scale),
      ...(measured === null || !hasFlanks ? [] : widthMarks(station, measured, scale)), ...(measured === null ? [] : heightMarks(station, measured, scale)),
    ].filter((mark) => mark.kind !== "path" || mark.points.every(Number.isFinite)),
  };
}
