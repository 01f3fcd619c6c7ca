/** A camera frame in words: whether it counts and why not, what it shows, and what it cannot. */
import type { CameraState, FrameResult, StationCamera, UnusedReason } from "../model/frame.ts";
import type { StationResult } from "../model/result.ts";
import type { Fact } from "../model/sheet.ts";
import { withU } from "./valueWords.ts";
import { capital, counted } from "./words.ts";

/** Of the job's tolerance. */
export interface FrameLimits { readonly separability: number; readonly poseErrorMm: number }

type Judged = Pick<FrameResult, "reason" | "separability" | "poseErrorMm">;

const REASONS: Readonly<Record<UnusedReason, (frame: Judged, limits: FrameLimits) => string>> = {
  notSeparable: ({ separability }, limits) => separability !== null && separability >= limits.separability ? "light sets off what looks like paste in it, and not its colour: beads are not as wide there as the profiler knows them" : `paste and target look too alike in it${separability === null ? "" : `, separability ${separability.toFixed(2)}`}: at least ${limits.separability} is asked`,
  poseDisagrees: ({ poseErrorMm }, limits) => `its beads lie ${poseErrorMm === null ? "too far" : `${poseErrorMm.toFixed(2)} mm`} from where they ought to: at most ${limits.poseErrorMm} mm is allowed`,
  nothingLearned: () => "nobody knew by then how the paste looks: no profile had found a strand good, and nobody had marked paste",
  blurred: () => "it is blurred", badExposure: () => "it is too dark or too bright", unreadable: () => "no picture of this camera’s size can be read from it",
};

/** "used", "not used: it is blurred". */
export function usedWords(frame: Judged, limits: FrameLimits): string {
  return frame.reason === null ? "used" : `not used: ${REASONS[frame.reason](frame, limits)}`;
}

/** In few words, and for counting: "four blurred". */
export const REASON_LABELS: Readonly<Record<UnusedReason, string>> = {
  notSeparable: "paste not told from target", poseDisagrees: "camera off its place", nothingLearned: "look of the paste not known", blurred: "blurred", badExposure: "too dark or too bright", unreadable: "not to be read",
};

/** Length of the stretches in a state, mm. */
export function stateMm({ stretches }: Pick<FrameResult, "stretches">, state: CameraState): number {
  return stretches.reduce((sum, stretch) => sum + (stretch.state === state ? stretch.toMm - stretch.fromMm : 0), 0);
}

const mm = (value: number): string => `${value.toFixed(1)} mm`;
const hangWords = (area: number | null): string => (area === null ? "nozzle not in view" : area === 0 ? "clean" : `${area.toFixed(1)} mm² of paste hang at it`);

/** Time, whether it counts, and what it rests on. */
export function frameFacts(frame: FrameResult, limits: FrameLimits): Fact[] {
  const { tS, separability, poseErrorMm, nozzleHangMm2, bodies, used } = frame;
  const shows = used ? [
    { name: "shows", value: `${mm(stateMm(frame, "present"))} present, ${mm(stateMm(frame, "absent"))} absent, ${mm(stateMm(frame, "hidden"))} hidden` },
    { name: "off the path", value: bodies.length === 0 ? "nothing" : `${counted(bodies.length, "body", "bodies")}: ${bodies.map(({ areaMm2 }) => `${areaMm2.toFixed(1)} mm²`).join(", ")}` }, { name: "nozzle", value: hangWords(nozzleHangMm2) },
  ] : [];
  return [
    { name: "taken at", value: `${tS.toFixed(2)} s` }, { name: "frame", value: usedWords(frame, limits) },
    { name: "separability", value: separability === null ? "not known" : `${separability.toFixed(3)}, at least ${limits.separability} asked` },
    { name: "off its place", value: poseErrorMm === null ? "not estimated" : `${poseErrorMm.toFixed(2)} mm, at most ${limits.poseErrorMm} mm allowed` }, ...shows,
  ];
}

/** Absent stretches named, the rest summed up: for those who do not see the picture. */
export function frameAlt(frame: FrameResult, limits: FrameLimits): string {
  const opening = `Camera frame ${frame.file}, taken at ${frame.tS.toFixed(2)} s`;
  if (!frame.used) return `${opening}, ${usedWords(frame, limits)}. Only planned centre lines are drawn over it.`;
  const absent = frame.stretches.filter(({ state }) => state === "absent"), most = 6;
  const gaps = absent.slice(0, most).map(({ layer, strand, fromMm, toMm }) => `strand ${strand} of layer ${layer} from ${fromMm.toFixed(1)} to ${toMm.toFixed(1)} mm`).join("; ");
  return [
    `${opening}: ${mm(stateMm(frame, "present"))} of strands are seen, ${mm(stateMm(frame, "hidden"))} are hidden.`,
    absent.length === 0 ? "None is absent." : `Absent: ${gaps}${absent.length > most ? `; and ${absent.length - most} more stretches` : ""}.`,
    frame.bodies.length === 0 ? "" : `${capital(counted(frame.bodies.length, "body", "bodies"))} off the path.`, frame.nozzleHangMm2 === null || frame.nozzleHangMm2 === 0 ? "" : `Paste hangs at the nozzle, ${frame.nozzleHangMm2.toFixed(1)} mm².`,
  ].filter((part) => part !== "").join(" ");
}

/** "one blurred, two too dark or too bright"; "" for none. */
export function unusedCounts(frames: readonly FrameResult[]): string {
  return (Object.keys(REASON_LABELS) as UnusedReason[]).flatMap((reason) => {
    const count = frames.filter((frame) => frame.reason === reason).length;
    return count === 0 ? [] : [`${counted(count, "", "").trim()} ${REASON_LABELS[reason]}`];
  }).join(", ");
}

/** "present, width 0.98 ± 0.04 mm": ± one standard uncertainty. */
export function cameraWords({ state, widthMm, u }: Pick<StationCamera, "state" | "widthMm" | "u">): string {
  return widthMm === null ? state : `${state}, width ${withU(widthMm, u.widthMm)} mm`;
}

/** Laid stations that no profile measured and a camera saw. */
export interface CameraAlone { readonly present: number; readonly absent: number }

export function cameraAlone(stations: readonly StationResult[]): CameraAlone {
  const alone = stations.filter(({ laid, measured, camera }) => laid && measured === null && camera !== null), present = alone.filter(({ camera }) => camera?.state === "present").length;
  return { present, absent: alone.length - present };
}
