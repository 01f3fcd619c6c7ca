/** What the page of a run that lives opens with, made from its state by this one function. Provisional: only a run that is over is called acceptable or not. */
import type { RunState } from "../model/liveRun.ts";
import type { Finding } from "../model/result.ts";
import { ADVICE, findingClause } from "./findingWords.ts";
import { rankFindings } from "./ranking.ts";
import { counted, wholeNumber } from "./words.ts";

export interface LiveNow {
  readonly state: RunState;
  /** Its end was asked for and is not written yet. */
  readonly isEnding: boolean;
  readonly findings: readonly Finding[];
  /** null: there is no reading. */
  readonly newestAgeS: number | null;
  /** By the senders' stamps: how much of the print is kept and not measured yet, s. */
  readonly backlogS: number;
  /** Commands that the cell has not answered. */
  readonly openCommandCount: number;
  readonly stationCount: number;
  readonly measuredCount: number;
  /** Why what came could not be measured, where it could not. */
  readonly failure: string | null;
}

export interface LiveSentence {
  readonly headline: string;
  readonly detail: string;
  /** null: nothing to do. */
  readonly advice: string | null;
  readonly isOld: boolean;
}

/** A reading older than this is told in the first sentence while the print goes on, and the picture loses its ink, s. */
export const OLD_S = 5;
/** What waits less than this is measured as it comes, s. */
const NO_BACKLOG_S = 0.3;

/** "0.4 s", "42 s", "3 min", "2.5 h", "4 days": two digits are enough to judge an age. */
export function ageWords(ageS: number): string {
  if (ageS < 9.95) return `${ageS.toFixed(1)} s`;
  if (ageS < 119.5) return `${ageS.toFixed(0)} s`;
  const minutes = ageS / 60;
  if (minutes < 119.5) return `${minutes.toFixed(0)} min`;
  const hours = minutes / 60;
  return hours < 47.5 ? `${hours.toFixed(hours < 9.95 ? 1 : 0)} h` : `${(hours / 24).toFixed(0)} days`;
}

const OPENING: Readonly<Record<RunState, string>> = {
  recorded: "The run was brought in as a folder.", prepared: "Prepared: nothing has come of it yet.", live: "It is being laid.",
  paused: "The print is paused.", onHold: "The print is on hold, the nozzle drawn back.", finished: "The run is over.", aborted: "The print was aborted.",
};

function sentence(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}

function foundWords(findings: readonly Finding[]): string {
  const worst = findings[rankFindings(findings)[0] ?? -1];
  if (worst === undefined) return "Nothing is found against it so far.";
  const others = findings.length - 1, more = others === 0 ? "" : `, and ${counted(others, "more finding")}`;
  return `${sentence(findingClause(worst)).slice(0, -1)}${more}.`;
}

function waitingWords({ backlogS, openCommandCount }: LiveNow): string {
  const requests = openCommandCount === 0 ? "" : ` ${sentence(`${counted(openCommandCount, "request")} ${openCommandCount === 1 ? "waits" : "wait"} for the cell’s answer`)}`;
  return `${backlogS > NO_BACKLOG_S ? `${ageWords(backlogS)} of the print wait to be measured.` : "Nothing waits to be measured."}${requests}`;
}

/** Pure: the same state gives the same words. */
export function liveSentence(now: LiveNow): LiveSentence {
  const { state, isEnding, findings, newestAgeS, stationCount, measuredCount, failure } = now;
  const isOld = newestAgeS !== null && newestAgeS > OLD_S;
  const worst = findings[rankFindings(findings)[0] ?? -1];
  if (failure !== null) return { headline: `${OPENING[state]} What came of it could not be measured.`, detail: `${failure.charAt(0).toUpperCase()}${failure.slice(1)}. Everything that came is kept and can be taken out as a run folder.`, advice: null, isOld: true };
  if (state === "finished" || state === "aborted") return { headline: OPENING[state], detail: "Its sheet stands at this address.", advice: null, isOld: true };
  if (isEnding) return { headline: "The end was asked for: all of it is being measured.", detail: `${foundWords(findings)} Its sheet follows here.`, advice: null, isOld: true };
  const seen = `${wholeNumber(measuredCount)} of ${wholeNumber(stationCount)} stations have been measured`;
  if (newestAgeS === null) {
    const opening = state === "prepared" ? OPENING.prepared : `${OPENING[state]} Nothing of it has been measured yet.`;
    return { headline: opening, detail: `${wholeNumber(stationCount)} stations are planned. ${waitingWords(now)}`, advice: null, isOld: false };
  }
  const blind = state === "live" && isOld ? ` Nothing new has been seen for ${ageWords(newestAgeS)}.` : "";
  return { headline: `${OPENING[state]}${blind} ${foundWords(findings)}`, detail: `The newest reading is ${ageWords(newestAgeS)} old; ${seen}. ${waitingWords(now)}`, advice: worst === undefined ? null : ADVICE[worst.kind], isOld };
}
