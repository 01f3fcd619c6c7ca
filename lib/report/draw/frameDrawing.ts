/** The part of a camera frame round a finding, for the report: kept pixels, and the lines over them each on a casing. */
import { FINDING_MARKS } from "../../model/marks.ts";
import type { FrameLine, FrameLook } from "../../model/frameView.ts";
import type { CropPx, Drawing, DrawingMark, Fill, LineLook } from "../../model/report.ts";
import type { FrameResult } from "../../model/frame.ts";
import type { Finding } from "../../model/result.ts";
import type { FramedPicture } from "../body/bodyInput.ts";
import { pathMark } from "./drawingPen.ts";
import { VERDICT_OF_KIND } from "./layerMapDrawing.ts";

/** Of the drawing on paper, and the least that it shows, px of the picture. */
const WIDTH = 340, SHARE = 0.7, LEAST_PX = 220;
/** A stretch takes up no more than this of the width. */
const FILLED = 0.6;

const LOOKS: Readonly<Record<FrameLook, { readonly look: LineLook; readonly fill: Fill }>> = {
  planned: { look: "thin", fill: "none" }, mask: { look: "thin", fill: "none" }, hidden: { look: "hidden", fill: "none" }, present: { look: "thick", fill: "none" },
  absent: { look: "none", fill: "gap" }, body: { look: "thick", fill: "none" }, chosen: { look: "centre", fill: "none" },
};

/** Whole pixels round a place that lie in the picture. */
function cropAround([x, y]: readonly [number, number], widePx: number, [pictureWide, pictureHigh]: readonly [number, number]): CropPx {
  const wide = Math.min(pictureWide, Math.max(LEAST_PX, Math.ceil(widePx))), high = Math.min(pictureHigh, Math.round(SHARE * wide));
  const held = (middle: number, size: number, whole: number): number => Math.max(0, Math.min(whole - size, Math.round(middle - size / 2)));
  return [held(x, wide, pictureWide), held(y, high, pictureHigh), wide, high];
}

function lengthPx({ points }: FrameLine): number {
  let sum = 0;
  for (let i = 2; i < points.length; i += 2) sum += Math.hypot((points[i] as number) - (points[i - 2] as number), (points[i + 1] as number) - (points[i - 1] as number));
  return sum;
}

/**
 * `id`: unique in the report. `lengthMm` of the finding, `barMm`: length of the line across its station. null: its place lies outside the picture.
 */
export function frameCropDrawing(id: string, frame: FrameResult, finding: Finding, { drawing, sha256 }: FramedPicture, { lengthMm, barMm }: { readonly lengthMm: number; readonly barMm: number }): Drawing | null {
  const { letter, label } = FINDING_MARKS[finding.kind], at = drawing.tags.find(({ text }) => text === letter), bar = drawing.lines.find(({ look }) => look === "chosen");
  if (at === undefined) return null;
  const pxPerMm = bar === undefined ? 0 : lengthPx(bar) / barMm, picturePx = [drawing.widthPx, drawing.heightPx] as const, cropPx = cropAround([at.x, at.y], lengthMm * pxPerMm / FILLED, picturePx);
  const [left, top, wide, high] = cropPx, scale = WIDTH / wide, height = Math.round(high * scale), x = (px: number): number => (px - left + 0.5) * scale, y = (px: number): number => (px - top + 0.5) * scale;
  const lines = drawing.lines.flatMap((line): DrawingMark[] => {
    const points = line.points.map((px, i) => (i % 2 === 0 ? x(px) : y(px))), { look, fill } = LOOKS[line.look];
    if (!touches(points, height)) return [];
    return [...pathMark(points, "casing", { closed: line.closed }), ...pathMark(points, look, { fill, closed: line.closed })];
  });
  const [tagX, tagY] = [Math.min(WIDTH - 10, Math.max(10, x(at.x) + 14)), Math.min(height - 10, Math.max(10, y(at.y) - 16))];
  return {
    id, title: `Frame ${frame.file}, taken at ${frame.tS.toFixed(2)} s`, width: WIDTH, height, scaleWords: "not to scale, in perspective",
    alt: `Part of camera frame ${frame.file}, taken at ${frame.tS.toFixed(2)} s, round the finding “${label}”: present strands thick, absent ones outlined dashed, hidden ones dashed, planned ones thin.${frame.used ? "" : " The frame was not used for measuring."}`,
    marks: [{ kind: "image", x: 0, y: 0, width: WIDTH, height, file: frame.file, sha256, picturePx, cropPx }, ...lines, ...pathMark([x(at.x), y(at.y), tagX, tagY], "casing"), ...pathMark([x(at.x), y(at.y), tagX, tagY], "thin"), { kind: "tag", x: Math.round(tagX), y: Math.round(tagY), verdict: VERDICT_OF_KIND[finding.kind], letter }],
  };
}

/** Whether the box round the points has a part in the drawing. */
function touches(points: readonly number[], height: number): boolean {
  const xs = points.filter((_, i) => i % 2 === 0), ys = points.filter((_, i) => i % 2 === 1);
  return Math.max(...xs) >= 0 && Math.min(...xs) <= WIDTH && Math.max(...ys) >= 0 && Math.min(...ys) <= height;
}
