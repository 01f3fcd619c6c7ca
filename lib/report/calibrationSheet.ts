/** A calibration as a sheet: the judgement in a sentence, what it rests on, boards and errors as pictures, and the job's blocks. */
import { type Calibration, type CalibrationCheck, type CalibrationSheet, type HandEyeSaid, jobBlocksOf, LENS_NAMES } from "../model/calibration.ts";
import type { ReportBlock, ReportSection } from "../model/report.ts";
import { coverageDrawing, errorsDrawing, picturesDrawing } from "./calibrationDrawings.ts";
import { numberText } from "./plot.ts";
import { capital, counted } from "./words.ts";

export function calibrationSheet(calibration: Calibration): CalibrationSheet {
  const { device, leftOut, handEye } = calibration, { verdict, why, pictures } = device.calibration;
  const mountWords = handEye === null ? "" : ` Its place on the tool is ${handEye.verdict === "bad" && handEye.mount === null ? "not determined" : handEye.verdict}.`;
  return {
    headline: `The calibration of ${device.id} is ${verdict}.`,
    detail: `${why[0] ?? ""} ${leftOut.length === 0 ? `All ${pictures} pictures were used.` : `${capital(counted(leftOut.length, "picture"))} of ${pictures + leftOut.length} left out.`}${mountWords}`,
    camera: device.id, verdict, rmsWords: `${numberText(device.calibration.rmsPx, 3)} px`, at: device.calibration.at, pictureCount: pictures,
    sections: [judgedSection(calibration), ...(handEye === null ? [] : [mountSection(handEye)]), numbersSection(calibration), boardsSection(calibration), picturesSection(calibration)],
    blocksText: JSON.stringify(jobBlocksOf(calibration), null, 1),
  };
}

function checksTable(caption: string, checks: readonly CalibrationCheck[]): ReportBlock {
  return { kind: "table", table: { caption, columns: [{ title: "what", isNumber: false }, { title: "verdict", isNumber: false }, { title: "because", isNumber: false }], rows: checks.map(({ name, verdict, sentence }) => [name, verdict, sentence]) } };
}

function judgedSection({ checks, warnings }: Calibration): ReportSection {
  const cautions = warnings.map((text): ReportBlock => ({ kind: "caution", text }));
  return { id: "judged", title: "How far it can be trusted", blocks: [
    checksTable("Each thing by its own limits; the worst is the verdict", checks), ...cautions,
    { kind: "words", text: "Uncertainties are one standard uncertainty, from the scatter of the points. A board that is not flat, or whose pitch is not what was given, does not show in them: a wrong pitch alters distances and the place on the tool, and not the lens." },
  ] };
}

function mountSection({ checks, mount, pictures, rmsMm, rmsDeg }: HandEyeSaid): ReportSection {
  const facts = mount === null ? [] : [
    { name: "origin of the camera in tool, mm", value: mount.pose.slice(0, 3).map((v) => numberText(v, 3)).join(", ") }, { name: "turn, quaternion x y z w", value: mount.pose.slice(3).map((v) => numberText(v, 6)).join(", ") },
    { name: "u", value: mount.u === null ? "not determined" : `${numberText(mount.u.mm, 3)} mm, ${numberText(mount.u.deg, 3)}°` },
    { name: `left over a picture and axis, ${pictures} pictures`, value: `${numberText(rmsMm ?? Number.NaN, 3)} mm, ${numberText(rmsDeg ?? Number.NaN, 3)}°` },
  ];
  return { id: "mount", title: "Place on the tool", blocks: [checksTable("Poses of the arm against what the pictures say", checks), ...(facts.length === 0 ? [] : [{ kind: "facts" as const, facts }])] };
}

const UNITS = { fx: "px", fy: "px", cx: "px", cy: "px", k1: "", k2: "", p1: "", p2: "", k3: "" } as const;

function numbersSection({ device }: Calibration): ReportSection {
  const decimals = (name: (typeof LENS_NAMES)[number]): number => (UNITS[name] === "px" ? 3 : 6);
  const rows = LENS_NAMES.map((name) => { const u = device.calibration.u[name]; return [name, numberText(device[name], decimals(name)), u === null ? "not determined" : u === 0 ? "held" : numberText(u, decimals(name)), UNITS[name]]; });
  return { id: "numbers", title: "Numbers of the lens", blocks: [{ kind: "table", table: {
    caption: `Pinhole with Brown–Conrady distortion, ${device.widthPx} × ${device.heightPx} px; pixel (0, 0) is the middle of the upper left one`,
    columns: [{ title: "number", isNumber: false }, { title: "value", isNumber: true }, { title: "u", isNumber: true }, { title: "unit", isNumber: false }], rows,
  } }] };
}

function boardsSection(calibration: Calibration): ReportSection {
  return { id: "boards", title: "Boards and errors", blocks: [{ kind: "drawing", drawing: coverageDrawing(calibration) }, { kind: "drawing", drawing: errorsDrawing(calibration) }] };
}

function picturesSection(calibration: Calibration): ReportSection {
  const { boards, leftOut } = calibration;
  return { id: "pictures", title: "Pictures", blocks: [
    { kind: "drawing", drawing: picturesDrawing(calibration) },
    { kind: "table", table: {
      caption: "Pictures that were used", columns: [{ title: "picture", isNumber: false }, { title: "error, px rms", isNumber: true }, { title: "tilt, °", isNumber: true }, { title: "distance, mm", isNumber: true }],
      rows: boards.map(({ file, rmsPx, tiltDeg, distanceMm }) => [file, numberText(rmsPx, 3), numberText(tiltDeg, 1), numberText(distanceMm, 1)]),
    } },
    { kind: "table", table: { caption: "Pictures that were left out", columns: [{ title: "picture", isNumber: false }, { title: "because", isNumber: false }], rows: leftOut.map(({ file, why }) => [file, why]) } },
  ] };
}
