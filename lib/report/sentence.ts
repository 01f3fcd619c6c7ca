/** The sentence that every screen opens with, made from the state by this one function. */
import type { FrameResult } from "../model/frame.ts";
import type { Acceptance } from "../model/job.ts";
import type { Finding, Summary } from "../model/result.ts";
import { ADVICE, findingClause } from "./findingWords.ts";
import type { CameraAlone } from "./frameWords.ts";
import { rankFindings } from "./ranking.ts";
import { capital, counted, percent, percentAsked, wholeNumber } from "./words.ts";

export interface RunState {
  readonly summary: Summary;
  readonly acceptance: Acceptance;
  readonly findings: readonly Finding[];
  /** Laid stations that a camera alone saw; absent: not counted, or none. */
  readonly cameraAlone?: CameraAlone;
  /** Camera frames of the run; absent: not counted, or none. */
  readonly frames?: readonly Pick<FrameResult, "used" | "reason">[];
}

/** `acceptable`: the job's own acceptance is met; null: nothing was laid or nothing was measured, so nothing can be said. */
export interface StateWords {
  readonly acceptable: boolean | null;
  /** What is so. */
  readonly headline: string;
  /** How much was seen, how much was laid, and the worst finding; one sentence each. */
  readonly detail: string;
  /** What to do about the worst finding; null: nothing to do. */
  readonly advice: string | null;
}

function actFindingCount(findings: readonly Finding[]): number {
  return findings.filter((finding) => finding.severity === "act").length;
}

function headlineOf({ summary, acceptance, findings }: RunState, inBandFraction: number): { acceptable: boolean; headline: string } {
  const actCount = actFindingCount(findings);
  const measuredFraction = summary.measured / summary.laid;
  const seenEnough = measuredFraction >= acceptance.minMeasuredFraction;
  const bandEnough = inBandFraction >= acceptance.minInBandFraction;
  const acceptable = actCount <= acceptance.maxActFindings && seenEnough && bandEnough;
  const whole = summary.laid === summary.stations;
  const opening = acceptable ? (whole ? "Acceptable" : "Acceptable so far") : (whole ? "Not acceptable" : "Not acceptable so far");
  const band = bandEnough
    ? `${inBandFraction === 1 ? "All" : percent(inBandFraction)} of the laid length is in band.`
    : `Only ${percent(inBandFraction)} of the laid length is in band; ${percentAsked(acceptance.minInBandFraction)} is asked.`;
  const seen = seenEnough ? "" : ` Only ${percent(measuredFraction)} of it was measured; ${percentAsked(acceptance.minMeasuredFraction)} is asked.`;
  return { acceptable, headline: `${opening}: ${counted(actCount, "act finding")}. ${band}${seen}` };
}

/** "Seen from above, 109.8 mm³ lie where 113.0 were planned, 2.8 % less.": both volumes are visible area × length over measured stations. */
function volumeWords({ plannedVolumeMm3, measuredVolumeMm3 }: Summary): string {
  const change = measuredVolumeMm3 / plannedVolumeMm3 - 1;
  const amount = Math.abs(change);
  const [measured, planned] = [measuredVolumeMm3.toFixed(1), plannedVolumeMm3.toFixed(1)];
  const compared = amount < 0.0005 || measured === planned ? "just as much" : `${percent(amount)} ${change < 0 ? "less" : "more"}`;
  return `Seen from above, ${measured} mm³ lie where ${planned} were planned, ${compared}.`;
}

/** The state of a run in words. Pure: the same state gives the same words. */
export function stateSentence(state: RunState): StateWords {
  const { summary, findings, cameraAlone = { present: 0, absent: 0 } } = state, byCamera = cameraAlone.present + cameraAlone.absent;
  const worst = findings[rankFindings(findings)[0] ?? -1], worstWords = worst === undefined ? "" : ` The worst: ${findingClause(worst)}.`;
  if (summary.laid === 0) {
    return { acceptable: null, headline: "Nothing has been laid yet.", detail: `${wholeNumber(summary.stations)} stations are planned.`, advice: null };
  }
  if (summary.measured === 0 && byCamera > 0) {
    const unseen = summary.laid - byCamera, others = unseen === 0 ? "" : `; ${wholeNumber(unseen)} it did not see`;
    return {
      acceptable: null, headline: "Seen by the camera alone, so nothing can be called good.",
      detail: `Of ${wholeNumber(summary.laid)} laid stations the camera saw paste at ${wholeNumber(cameraAlone.present)} and none at ${wholeNumber(cameraAlone.absent)}${others}. Height, area and volume are not known, and nothing is in band on area.${worstWords}`,
      advice: worst === undefined ? "Measure it with a profiler before anybody relies on it." : ADVICE[worst.kind],
    };
  }
  if (summary.measured === 0 || summary.inBandLengthFraction === null) {
    const { frames = [] } = state, unseen = `None of the ${wholeNumber(summary.laid)} stations that were laid was seen by a profiler`;
    const detail = frames.length === 0 ? `${unseen}.` : `${unseen}, and of ${counted(frames.length, "camera frame")} none could be used.`;
    const isUnlearned = frames.some(({ reason }) => reason === "nothingLearned");
    return {
      acceptable: null, headline: "Nothing was measured, so nothing can be said.", detail,
      advice: isUnlearned ? "Mark a rectangle of paste in one frame, so that the camera can tell paste from target." : frames.length > 0 ? "See at each frame why it could not be used." : "Check that profiles and plan are in the same frame of reference.",
    };
  }
  const { acceptable, headline } = headlineOf(state, summary.inBandLengthFraction);
  const more = byCamera === 0 ? "" : `; the camera alone saw ${wholeNumber(byCamera)} more, paste at ${wholeNumber(cameraAlone.present)} of them`;
  const seen = `${wholeNumber(summary.measured)} of ${wholeNumber(summary.laid)} laid stations measured${more}.`;
  return { acceptable, headline, detail: `${seen} ${volumeWords(summary)}${worstWords}`, advice: worst === undefined ? null : ADVICE[worst.kind] };
}

/** The register's sentence: "No runs are kept yet.", "Twelve runs are kept. The newest is not acceptable." `newest`: that of the newest run. */
export function registerSentence(runCount: number, newest: boolean | null): string {
  return `${capital(counted(runCount, "run"))} ${runCount === 1 ? "is" : "are"} kept${runCount === 0 ? " yet" : ""}.${runCount === 0 || newest === null ? "" : ` The newest is ${newest ? "" : "not "}acceptable.`}`;
}

/** What stands before the register's sentence: "One run is being laid, two runs are prepared."; "" for none. `states`: of every run that is not over. */
export function openSentence(states: readonly string[]): string {
  const said = [["live", "being laid"], ["paused", "paused"], ["onHold", "on hold"], ["ending", "being ended"], ["prepared", "prepared"]] as const;
  const parts = said.flatMap(([state, words]) => {
    const count = states.filter((each) => each === state).length;
    return count === 0 ? [] : [`${counted(count, "run")} ${count === 1 ? "is" : "are"} ${words}`];
  });
  return parts.length === 0 ? "" : `${capital(parts.join(", "))}.`;
}
