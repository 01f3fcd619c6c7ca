/** A calibration as pictures: where boards were seen, how far their points lie off, and each picture's error. */
import type { BoardSeen, Calibration } from "../model/calibration.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark } from "../model/report.ts";
import { boxMark, lineMark, numberText, scaleOf, textMark } from "./plot.ts";

const FRAME_WIDTH = 420;
/** More errors are thinned evenly, so that each can still be seen. */
const MOST_ERRORS = 1500;
/** Length that the middle picture's error is drawn with, at least. */
const ERROR_LENGTH = 7;

interface Frame { readonly scale: number; readonly height: number }

function frameOf({ device }: Calibration): Frame {
  const scale = FRAME_WIDTH / device.widthPx;
  return { scale, height: device.heightPx * scale };
}

/** The picture's outline with its nine parts. */
function frameMarks({ height }: Frame): DrawingMark[] {
  const parts = [1, 2].flatMap((i) => [lineMark([FRAME_WIDTH * i / 3, 0, FRAME_WIDTH * i / 3, height], "grid"), lineMark([0, height * i / 3, FRAME_WIDTH, height * i / 3], "grid")]);
  return [...parts, boxMark({ x: 0, y: 0, width: FRAME_WIDTH, height }, "thin")];
}

const framed = ({ device }: Calibration, { scale }: Frame): string => `picture of ${device.widthPx} × ${device.heightPx} px, ${numberText(1 / scale, 2)} px a point`;

/** Each board's rows and columns as lines through its points; outline thick. */
function boardMarks({ pointsPx }: BoardSeen, { columns, rows }: Calibration["board"], scale: number): DrawingMark[] {
  const at = (c: number, r: number): readonly [number, number] => [(pointsPx[2 * (r * columns + c)]! + 0.5) * scale, (pointsPx[2 * (r * columns + c) + 1]! + 0.5) * scale];
  const row = (r: number): number[] => Array.from({ length: columns }, (_, c) => at(c, r)).flat(), column = (c: number): number[] => Array.from({ length: rows }, (_, r) => at(c, r)).flat();
  const inner = [...Array.from({ length: rows - 2 }, (_, i) => lineMark(row(i + 1), "grid")), ...Array.from({ length: columns - 2 }, (_, i) => lineMark(column(i + 1), "grid"))];
  return [...inner, lineMark(row(0), "thick"), lineMark(row(rows - 1), "thin"), lineMark(column(0), "thin"), lineMark(column(columns - 1), "thin")];
}

export function coverageDrawing(calibration: Calibration): Drawing {
  const frame = frameOf(calibration), { boards, board } = calibration;
  return {
    id: "calibration-boards", title: "Boards as they were found; each first row thick, nine parts of the picture faint",
    alt: `Outlines of ${boards.length} boards in the picture of ${calibration.device.widthPx} by ${calibration.device.heightPx} pixels. ${calibration.checks.find(({ name }) => name === "coverage")?.sentence ?? ""}`,
    width: FRAME_WIDTH, height: frame.height, scaleWords: framed(calibration, frame),
    marks: [...frameMarks(frame), ...boards.flatMap((each) => boardMarks(each, board, frame.scale))],
  };
}

/** 1, 2 or 5 times a power of ten, at least `value`. */
function roundUp(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return [1, 2, 5, 10].map((k) => k * power).find((each) => each >= value * 0.999999) as number;
}

/** Seen minus computed at every point, drawn many times as long as it is; a bar of known length beside it. */
export function errorsDrawing(calibration: Calibration): Drawing {
  const frame = frameOf(calibration), { boards, device: { calibration: { rmsPx } } } = calibration, factor = roundUp(ERROR_LENGTH / Math.max(1e-9, rmsPx * frame.scale));
  const all = boards.flatMap(({ pointsPx, residualsPx }) => Array.from({ length: pointsPx.length / 2 }, (_, i) => [pointsPx[2 * i]!, pointsPx[2 * i + 1]!, residualsPx[2 * i]!, residualsPx[2 * i + 1]!] as const));
  const every = Math.ceil(all.length / MOST_ERRORS), shown = all.filter((_, i) => i % every === 0), barPx = roundUp(Math.max(1e-9, rmsPx)), bar = barPx * factor * frame.scale, y = frame.height + 14;
  const marks = shown.map(([x, v, dx, dv]) => { const x0 = (x + 0.5) * frame.scale, y0 = (v + 0.5) * frame.scale; return lineMark([x0, y0, x0 + dx * factor * frame.scale, y0 + dv * factor * frame.scale], "thick"); });
  const words = `errors ${numberText(factor, 0)} times as long as they are${every === 1 ? "" : `, one point in ${every}`}`;
  return {
    id: "calibration-errors", title: `Where points were seen, less where the lens puts them: ${words}`,
    alt: `Error of ${shown.length} points in the picture, ${words}. Their root mean square is ${numberText(rmsPx, 3)} pixels; errors that point alike in one part of the picture would show a lens that the model does not fit.`,
    width: FRAME_WIDTH, height: y + 8, scaleWords: `${framed(calibration, frame)}; ${words}`,
    marks: [...frameMarks(frame), ...marks, lineMark([0, y - 3, 0, y + 3], "thin"), lineMark([0, y, bar, y], "thick"), lineMark([bar, y - 3, bar, y + 3], "thin"), textMark(bar + 6, y + 3, `${barPx} px`)],
  };
}

const BAR_TOP = 8, BAR_STEP = 15, NAME_WIDTH = 130;

/** A bar for each picture's rms; the whole's dash-dotted. Names that are too long are cut at their beginning. */
export function picturesDrawing({ boards, device: { calibration: { rmsPx } } }: Calibration): Drawing {
  const most = Math.max(...boards.map((each) => each.rmsPx), rmsPx), at = scaleOf(0, most, NAME_WIDTH, DRAWING_WIDTH - 60), end = BAR_TOP + boards.length * BAR_STEP;
  const marks = boards.flatMap(({ file, rmsPx: each }, i): DrawingMark[] => {
    const y = BAR_TOP + i * BAR_STEP;
    return [
      textMark(NAME_WIDTH - 6, y + 9, file.length > 24 ? `…${file.slice(-23)}` : file, { anchor: "end" }), boxMark({ x: NAME_WIDTH, y: y + 2, width: at(each) - NAME_WIDTH, height: BAR_STEP - 5 }, "thin", "bone"),
      textMark(at(each) + 5, y + 9, numberText(each, 3)),
    ];
  });
  return {
    id: "calibration-pictures", title: "Error of each picture, px rms; of all dash-dotted", alt: `Bars of ${boards.length} pictures, from ${numberText(Math.min(...boards.map((each) => each.rmsPx)), 3)} to ${numberText(Math.max(...boards.map((each) => each.rmsPx)), 3)} pixels rms; ${numberText(rmsPx, 3)} over all.`,
    width: DRAWING_WIDTH, height: end + 16, scaleWords: "not to scale",
    marks: [...marks, lineMark([NAME_WIDTH, BAR_TOP, NAME_WIDTH, end], "thin"), lineMark([at(rmsPx), BAR_TOP, at(rmsPx), end], "centre"), textMark(at(rmsPx), end + 11, `all ${numberText(rmsPx, 3)}`, { anchor: "middle", bold: true })],
  };
}
