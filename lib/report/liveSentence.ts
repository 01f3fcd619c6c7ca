/** What the page of a run that lives opens with, made from its state by this one function. Provisional: only a run that is over is called acceptable or not. */
import { isSettled, type AlertLine } from "../model/alert.ts";
import type { RunState } from "../model/liveRun.ts";
import { counted, wholeNumber } from "./words.ts";

export interface LiveNow {
  readonly state: RunState;
  /** Its end was asked for and is not written yet. */
  readonly isEnding: boolean;
  /** All of them, most urgent first. */
  readonly alerts: readonly Pick<AlertLine, "title" | "advice" | "state" | "isOn" | "disposition">[];
  /** What is seen before it is long enough to be a finding; null: nothing. */
  readonly early: string | null;
  /** null: there is no reading. */
  readonly newestAgeS: number | null;
  /** Where the nozzle is, and how far the newest reading lies behind it; null: no progress, or on another strand. */
  readonly nozzle: { readonly layer: number; readonly strand: number; readonly behindMm: number | null; readonly isLaying: boolean } | null;
  /** By the senders' stamps: how much of the print is kept and not measured yet, s. */
  readonly backlogS: number;
  readonly layerCount: number;
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

const sentence = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

/** Neither shelved nor decided about. */
function openAlerts({ alerts }: LiveNow): LiveNow["alerts"] {
  return alerts.filter((alert) => alert.state !== "shelved" && !isSettled(alert));
}

/** What stands now; what has gone is told apart. */
function firstAlert(now: LiveNow): LiveNow["alerts"][number] | null {
  return openAlerts(now).find(({ isOn }) => isOn) ?? null;
}

function whereWords({ nozzle, layerCount }: LiveNow): string {
  return nozzle === null || !nozzle.isLaying ? "" : ` Strand ${nozzle.strand}${layerCount > 1 ? ` of layer ${nozzle.layer}` : ""} is being laid.`;
}

function headlineOf(now: LiveNow, isOld: boolean): string {
  const { state, early, newestAgeS } = now, alert = firstAlert(now);
  if (early !== null) return `${early}.`;
  if (alert !== null) return `${alert.title}.`;
  if (state !== "live") return OPENING[state];
  if (newestAgeS === null) return "It is being laid. Nothing of it is measured yet.";
  return isOld ? `Nothing new has been seen for ${ageWords(newestAgeS)}.` : `Good so far.${whereWords(now)}`;
}

function seenWords({ newestAgeS, nozzle, stationCount, measuredCount }: LiveNow): string {
  if (newestAgeS === null) return `${wholeNumber(stationCount)} stations are planned.`;
  const behind = nozzle?.behindMm == null ? "" : `, ${nozzle.behindMm.toFixed(1)} mm behind the nozzle`;
  return `The newest reading is ${ageWords(newestAgeS)} old${behind}; ${wholeNumber(measuredCount)} of ${wholeNumber(stationCount)} stations measured.`;
}

function othersWords(now: LiveNow): string {
  const open = openAlerts(now), count = open.filter(({ isOn }) => isOn).length - (now.early === null ? 1 : 0), gone = open.filter(({ isOn }) => !isOn).length;
  const more = count > 0 ? ` ${sentence(`${counted(count, "more alert")} ${count === 1 ? "stands" : "stand"} below`)}` : "";
  return gone === 0 ? more : `${more} ${sentence(`${counted(gone, "alert")} ${gone === 1 ? "has gone by itself and waits" : "have gone by themselves and wait"} to be acknowledged`)}`;
}

/** Pure: the same state gives the same words. */
export function liveSentence(now: LiveNow): LiveSentence {
  const { state, isEnding, early, newestAgeS, backlogS, failure } = now, isOld = newestAgeS !== null && newestAgeS > OLD_S;
  if (failure !== null) return { headline: `${OPENING[state]} What came of it could not be measured.`, detail: `${sentence(failure)} Everything that came is kept and can be taken out as a run folder.`, advice: null, isOld: true };
  if (state === "finished" || state === "aborted") return { headline: OPENING[state], detail: "Its sheet stands at this address.", advice: null, isOld: true };
  if (isEnding) return { headline: "The end was asked for: all of it is being measured.", detail: "Its sheet follows here.", advice: null, isOld: true };
  const headline = headlineOf(now, isOld), opening = state === "live" || headline === OPENING[state] ? "" : `${OPENING[state]} `;
  const waits = backlogS > NO_BACKLOG_S ? ` ${ageWords(backlogS)} of the print wait to be measured.` : "";
  const advice = early !== null ? "Pause, and look at the nozzle." : firstAlert(now)?.advice ?? null;
  return { headline, detail: `${opening}${seenWords(now)}${waits}${othersWords(now)}`, advice, isOld };
}
