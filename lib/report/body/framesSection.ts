/** The camera's part of a report: how many frames came and counted, how sure they were over time, what the cameras are worth. */
import type { FrameResult } from "../../model/frame.ts";
import type { Camera, CameraCalibration } from "../../model/job.ts";
import { DRAWING_WIDTH, type Drawing, type DrawingMark, type ReportBlock, type ReportSection } from "../../model/report.ts";
import type { Fact } from "../../model/sheet.ts";
import { roundTicks } from "../../kernel/histogram.ts";
import { stateMm, unusedCounts, usedWords, type FrameLimits } from "../frameWords.ts";
import { boxMark, lineMark, scaleOf, textMark } from "../plot.ts";
import { capital, counted, wholeNumber } from "../words.ts";
import type { BodyInput } from "./bodyInput.ts";

const LEFT = 40, RIGHT = DRAWING_WIDTH - 44, TALL = 74, TOP = 14, GAP = 24;

interface Panel { readonly title: string; readonly top: number; readonly values: readonly (number | null)[]; readonly low: number; readonly high: number; readonly limit: number }

/** Values over time as squares, open where the frame was not used; the limit dashed. */
function panelMarks({ title, top, values, low, high, limit }: Panel, frames: readonly FrameResult[], x: (tS: number) => number): DrawingMark[] {
  const y = scaleOf(low, high, top + TALL, top), half = frames.length > 80 ? 1 : 1.6;
  return [
    textMark(LEFT, top - 4, title), lineMark([LEFT, top, LEFT, top + TALL, RIGHT, top + TALL], "thin"),
    ...roundTicks(low, high, 3).flatMap((tick) => [lineMark([LEFT, y(tick), RIGHT, y(tick)], "grid"), textMark(LEFT - 4, y(tick) + 2.7, String(Number(tick.toFixed(3))), { size: 7.5, anchor: "end", quiet: true })]),
    lineMark([LEFT, y(limit), RIGHT, y(limit)], "hidden"), textMark(RIGHT + 3, y(limit) + 2.7, `limit ${limit}`, { size: 7.5 }),
    ...values.flatMap((value, i): DrawingMark[] => {
      const frame = frames[i] as FrameResult, size = frame.used ? half : half + 1;
      return value === null ? [] : [boxMark({ x: x(frame.tS) - size, y: y(value) - size, width: 2 * size, height: 2 * size }, frame.used ? "thick" : "thin", frame.used ? "bone" : "none")];
    }),
  ];
}

function overTime(frames: readonly FrameResult[], limits: FrameLimits): Drawing | null {
  const separabilities = frames.map(({ separability }) => separability), errors = frames.map(({ poseErrorMm }) => poseErrorMm);
  if ([...separabilities, ...errors].every((value) => value === null)) return null;
  const times = frames.map(({ tS }) => tS), [first, last] = [Math.min(...times), Math.max(...times)], x = scaleOf(first, last, LEFT + 6, RIGHT - 6), below = TOP + TALL + GAP;
  const known = (values: readonly (number | null)[]): number[] => values.filter((value) => value !== null);
  const marks = [
    ...panelMarks({ title: "separability", top: TOP, values: separabilities, low: Math.min(0.5, ...known(separabilities)), high: 1.04, limit: limits.separability }, frames, x),
    ...panelMarks({ title: "off its place, mm", top: below, values: errors, low: 0, high: 1.15 * Math.max(limits.poseErrorMm, ...known(errors)), limit: limits.poseErrorMm }, frames, x),
    ...roundTicks(first, last, 8).filter((tick) => tick >= first && tick <= last).map((tick) => textMark(x(tick), below + TALL + 10, `${Number(tick.toFixed(3))}`, { size: 7.5, anchor: "middle", quiet: true })),
    textMark(RIGHT, below + TALL + 20, "taken at, s", { size: 7.5, anchor: "end", quiet: true }),
  ];
  const range = (values: readonly (number | null)[], digits: number): string => { const all = known(values); return all.length === 0 ? "not known" : `${Math.min(...all).toFixed(digits)} to ${Math.max(...all).toFixed(digits)}`; };
  return {
    id: "frames-over-time", title: "How sure the frames were: used ones filled, others open, limits dashed", width: DRAWING_WIDTH, height: below + TALL + 24, scaleWords: "not to scale", marks,
    alt: `${capital(counted(frames.length, "frame"))} over time: separability ${range(separabilities, 3)}, ${limits.separability} asked; off their place ${range(errors, 2)} mm, ${limits.poseErrorMm} mm allowed.`,
  };
}

/** "± 1.2"; what was held at its value, and what the pictures do not determine. */
function uWords(u: number | null): string {
  return u === null ? "not determined" : u === 0 ? "held" : `u ${u < 0.01 ? u.toExponential(1) : u.toFixed(u < 1 ? 3 : 1)}`;
}

/** A calibration's own numbers, and its judgement in its own sentences. */
function calibrationFacts(id: string, { at, pictures, points, rmsPx, u, verdict, why }: CameraCalibration): Fact[] {
  return [
    { name: `${id}, calibration`, value: `${verdict}: ${counted(pictures, "picture")}, ${wholeNumber(points)} points, ${rmsPx.toFixed(3)} px from where they ought to be (root mean square); ${at}` },
    { name: `${id}, lens`, value: Object.entries<number | null>(u).map(([name, own]) => `${name} ${uWords(own)}`).join(", ") },
    ...(why.length === 0 ? [] : [{ name: `${id}, judged`, value: why.join(" ") }]),
  ];
}

/** What a camera's own description says of it. */
function cameraFacts({ id, widthPx, heightPx, fx, fy, maskPx, calibration }: Camera): Fact[] {
  return [
    { name: id, value: `${widthPx} × ${heightPx} px, focal lengths ${fx.toFixed(1)} and ${fy.toFixed(1)} px${maskPx.length === 0 ? "" : `, ${counted(maskPx.length, "masked rectangle")}`}` },
    ...(calibration === null ? [{ name: `${id}, calibration`, value: "no calibration stated: nobody says how well lens and focal lengths are known" }] : calibrationFacts(id, calibration)),
  ];
}

/** Rows of a table that would not end. */
const MOST_ROWS = 200;

function framesTable(frames: readonly FrameResult[], limits: FrameLimits): ReportBlock {
  const titles = ["frame", "taken at, s", "counts", "separability", "off its place, mm", "present, mm", "absent, mm", "hidden, mm", "bodies", "at the nozzle, mm²"];
  const rows = frames.slice(0, MOST_ROWS).map((frame) => [
    frame.file, frame.tS.toFixed(2), usedWords(frame, limits), frame.separability?.toFixed(3) ?? "–", frame.poseErrorMm?.toFixed(2) ?? "–",
    ...(["present", "absent", "hidden"] as const).map((state) => (frame.used ? stateMm(frame, state).toFixed(1) : "–")), frame.used ? String(frame.bodies.length) : "–", frame.nozzleHangMm2?.toFixed(1) ?? "–",
  ]);
  return { kind: "table", table: { caption: `Frames in the order of time${frames.length > MOST_ROWS ? `, the first ${MOST_ROWS} of ${frames.length}` : ""}`, columns: titles.map((title, i) => ({ title, isNumber: i === 1 || i > 2 })), rows } };
}

/** null where the job has no camera and no frame came. */
export function framesSection({ frames, job, stations }: Pick<BodyInput, "frames" | "job" | "stations">): ReportSection | null {
  const cameras = job?.devices.filter((device) => device.kind === "camera") ?? [], title = "Camera frames";
  if (frames.length === 0 && cameras.length === 0) return null;
  const facts: ReportBlock[] = cameras.length === 0 ? [] : [{ kind: "facts", facts: cameras.flatMap(cameraFacts) }];
  if (frames.length === 0) return { id: "frames", title, blocks: [{ kind: "words", text: "No frame came." }, ...facts] };
  const limits = job?.tolerance.camera ?? { separability: Number.NaN, poseErrorMm: Number.NaN }, used = frames.filter((frame) => frame.used).length, drawing = overTime(frames, limits);
  const alone = stations.filter(({ measured, camera }) => measured === null && camera !== null).length;
  return {
    id: "frames", title,
    blocks: [
      { kind: "words", text: `${capital(counted(frames.length, "frame"))} came, ${used === frames.length ? "and all were used" : `${counted(used, "", "").trim()} ${used === 1 ? "was" : "were"} used; not used: ${unusedCounts(frames)}`}.` },
      ...(alone === 0 ? [] : [{ kind: "caution", text: `${wholeNumber(alone)} ${alone === 1 ? "station was" : "stations were"} seen by a camera alone. It says whether paste lies there and how wide; height, area and volume are not known there, and nothing there is called good.` } as const]),
      ...(drawing === null ? [] : [{ kind: "drawing", drawing } as const]), ...facts, framesTable(frames, limits),
      { kind: "words", text: "Separability is the area under the ROC curve of paste against support, on pixels that were not used to choose how they are told apart; 1 is perfect, 0.5 is a guess. Off its place is how far the beads in a frame lie from where profiles, else the plan, put them, before any correction." },
    ],
  };
}

