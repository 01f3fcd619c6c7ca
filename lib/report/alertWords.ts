/** Alerts in the words of a calm colleague: what and where, and what to do. Total: a new kind does not compile until it has both. */
import { ALERT_KINDS, ALERT_PRIORITIES, isSettled, type Alert, type AlertCause, type AlertKind, type AlertLine, type AlertRates } from "../model/alert.ts";
import { causeTold, type AlertRaised } from "../model/log.ts";
import { ADVICE, mm } from "./findingWords.ts";
import { percent, wholeNumber } from "./words.ts";

type Says = (cause: AlertCause) => string;

function strandWords({ place }: AlertCause): string {
  return place === null ? "The print" : place.strand === null ? `Layer ${place.layer}` : `Strand ${place.strand} of layer ${place.layer}`;
}

function rangeWords({ place }: AlertCause): string {
  return place?.fromMm == null || place.toMm === null ? "" : `, ${mm(place.fromMm)} to ${mm(place.toMm)} mm`;
}

/** How a strand is laid too small or too large, by the metric that says so. */
function sizeWords(cause: AlertCause, [less, narrow, low]: readonly [string, string, string]): string {
  const value = cause.worst?.value ?? null;
  if (value === null) return `has too ${less}`;
  switch (cause.worst?.metric) {
    case "widthMm": return `is ${Math.abs(value).toFixed(2)} mm too ${narrow}`;
    case "heightMm": return `is ${Math.abs(value).toFixed(2)} mm too ${low}`;
    default: return `holds ${Math.abs(100 * (value - 1)).toFixed(0)}\u00a0% too ${less}`;
  }
}

function sideWords({ worst }: AlertCause): string {
  if (worst?.value == null) return "lies beside its path";
  return `lies ${Math.abs(worst.value).toFixed(2)} mm ${worst.value > 0 ? "left" : "right"} of its path`;
}

/** The camera's word against the profiler's: under its limit it sees no bead. */
function contradictionWords({ worst }: AlertCause): string {
  if (worst?.value == null) return "is another thing to each sensor";
  return worst.value < worst.limit ? "is bare to camera, laid to profiler" : "is laid to camera, bare to profiler";
}

/** "3 s", "0.8 s". */
const seconds = ({ worst }: AlertCause): string => (worst?.value == null ? "some time" : `${worst.value < 2 ? worst.value.toFixed(1) : worst.value.toFixed(0)} s`);
const device = ({ subject }: AlertCause): string => `${subject.charAt(0).toUpperCase()}${subject.slice(1)}`;

const TITLES: Readonly<Record<AlertKind, Says>> = {
  gap: (cause) => `${strandWords(cause)} has a gap${cause.place?.fromMm == null || cause.place.toMm === null ? "" : ` of ${mm(cause.place.toMm - cause.place.fromMm)} mm at ${mm(cause.place.fromMm)} mm`}`,
  underExtrusion: (cause) => `${strandWords(cause)} ${sizeWords(cause, ["little", "narrow", "low"])}${rangeWords(cause)}`,
  overExtrusion: (cause) => `${strandWords(cause)} ${sizeWords(cause, ["much", "wide", "high"])}${rangeWords(cause)}`,
  liftedStrand: (cause) => `${strandWords(cause)} stands ${cause.worst?.value == null ? "too" : `${Math.abs(cause.worst.value).toFixed(2)} mm too`} high${rangeWords(cause)}`,
  displacedStrand: (cause) => `${strandWords(cause)} ${sideWords(cause)}${rangeWords(cause)}`,
  unmeasured: (cause) => `${strandWords(cause)} was not seen${rangeWords(cause)}`,
  detachedStrand: (cause) => `A piece has come off its strand on layer ${cause.place?.layer ?? 1}`,
  strayMaterial: (cause) => `Paste lies off the path on layer ${cause.place?.layer ?? 1}`,
  closedPore: (cause) => `A pore beside strand ${cause.place?.strand ?? 1} of layer ${cause.place?.layer ?? 1} is closed`,
  nozzleHang: (cause) => `Paste hangs at the nozzle over layer ${cause.place?.layer ?? 1}${cause.worst?.value == null ? "" : `, ${cause.worst.value.toFixed(1)} mm² of it in sight`}`,
  sensorsDisagree: (cause) => `${strandWords(cause)} ${contradictionWords(cause)}${rangeWords(cause)}`,
  cameraPose: (cause) => `${device(cause)} shows beads ${cause.worst?.value == null ? "off" : `${cause.worst.value.toFixed(1)} mm off`} their place`,
  profilerSilent: (cause) => `${device(cause)} has sent nothing for ${seconds(cause)}`,
  cameraSilent: (cause) => `${device(cause)} has sent no frame for ${seconds(cause)}`,
  progressSilent: (cause) => `Nobody has said for ${seconds(cause)} where the nozzle is`,
  strandNotSeen: (cause) => `${strandWords(cause)} is not in the profiles, though it must be by now`,
  clockJumped: (cause) => `The clock of ${cause.subject} jumped by ${seconds(cause)}`,
  cellSilent: (cause) => (cause.worst?.value == null ? "The cell has not asked for commands yet" : `The cell has not asked for commands for ${seconds(cause)}`),
  receiptOverdue: (cause) => `The cell has not answered command ${cause.subject} for ${seconds(cause)}`,
  commandRefused: (cause) => `The cell did not carry out command ${cause.subject}`,
  layerHeld: (cause) => `Layer ${cause.place?.layer ?? 1} is held: the next one must not cover it yet`,
  gateOverrun: (cause) => `The cell lays over layer ${cause.place?.layer ?? 1}, which is held`,
  diskLow: (cause) => `The disk is ${cause.worst?.value == null ? "nearly full" : `full but for ${(100 * cause.worst.value).toFixed(1)}\u00a0%`}`,
  backlog: (cause) => `Measuring is ${seconds(cause)} behind the print`,
  engineLost: () => "Measuring stopped and is being started again",
  workingTimeLow: (cause) => `The paste works for ${seconds(cause)} more`,
  workingTimeOver: () => "The paste's working time is over",
};

const STOP_AT_CELL = "Stop it at the cell itself, by its own stop.";
const HEALTH_ADVICE: Readonly<Record<Exclude<AlertKind, keyof typeof ADVICE>, string>> = {
  profilerSilent: "Pause: the print is not seen. Look at the profiler's cable, window and power.",
  cameraSilent: "Look at the camera's cable and power: what only it sees is not seen.",
  progressSilent: "Look at the cell: it should say where its nozzle is. If it stands by itself, have it resume.",
  strandNotSeen: "Pause: this strand is not seen. Look whether the profiler points at it.",
  clockJumped: "Look at that device's clock; readings around the jump may lie at a wrong place.",
  cellSilent: `A pause from here may not reach it. ${STOP_AT_CELL}`,
  receiptOverdue: `Do not wait for it. ${STOP_AT_CELL}`,
  commandRefused: `See why below, and ask again or act at the cell.`,
  layerHeld: "Decide about what is open, or have it scanned or laid again; then resume.",
  gateOverrun: "Pause now: what is open is being buried.",
  diskLow: "Make room on the disk of the data folder: a full disk keeps nothing.",
  backlog: "Findings come late. Lay more slowly, or stop other work on this machine.",
  engineLost: "Nothing is measured until it has caught up. Pause if that takes long.",
  workingTimeLow: "See whether what is left can still be laid.",
  workingTimeOver: "Stop laying this paste, unless its own instructions allow more.",
};

const ALL_ADVICE = { ...ADVICE, ...HEALTH_ADVICE };
const adviceOf = (alert: Alert): string | null => (isSettled(alert) ? null : ALL_ADVICE[alert.cause.kind]);

/** What stands; then what has gone by itself, what is decided, and the shelf. */
function rankOf(alert: Alert): number {
  return alert.state === "shelved" ? 3 : isSettled(alert) ? 2 : alert.isOn ? 0 : 1;
}

/** Within a rank most urgent first, also where it is known already (IEC 60601-1-8 shows the most urgent that stands); then what is to be acknowledged, and the newest. */
function inOrder(a: Alert, b: Alert): number {
  return rankOf(a) - rankOf(b) || ALERT_PRIORITIES.indexOf(a.priority) - ALERT_PRIORITIES.indexOf(b.priority) || Number(a.state === "acknowledged") - Number(b.state === "acknowledged") || b.n - a.n;
}

/** Where there is no room for all, those that wait to be acknowledged are listed before any other: they light and sound by the list. */
function split(alerts: readonly Alert[], most: number): { readonly listed: readonly Alert[]; readonly rest: readonly Alert[] } {
  const ordered = alerts.toSorted((a, b) => Number(b.state === "unacknowledged") - Number(a.state === "unacknowledged") || inOrder(a, b));
  return { listed: ordered.slice(0, most).toSorted(inOrder), rest: ordered.slice(most) };
}

/** At most `most` of them, with their words. */
export function alertLines(alerts: readonly Alert[], most: number): AlertLine[] {
  return split(alerts, most).listed.map((alert) => ({ ...alert, title: TITLES[alert.cause.kind](alert.cause), advice: adviceOf(alert) }));
}

/** One of them, and several. */
const COUNTED: Readonly<Record<AlertKind, readonly [string, string]>> = {
  gap: ["gap", "gaps"], underExtrusion: ["stretch with too little", "stretches with too little"], overExtrusion: ["stretch with too much", "stretches with too much"],
  liftedStrand: ["lifted stretch", "lifted stretches"], displacedStrand: ["displaced stretch", "displaced stretches"], unmeasured: ["stretch not seen", "stretches not seen"],
  detachedStrand: ["piece come off", "pieces come off"], strayMaterial: ["body off the path", "bodies off the path"], closedPore: ["closed pore", "closed pores"],
  nozzleHang: ["drop at the nozzle", "drops at the nozzle"], sensorsDisagree: ["contradiction of sensors", "contradictions of sensors"], cameraPose: ["camera off its place", "cameras off their places"],
  profilerSilent: ["silent profiler", "silent profilers"], cameraSilent: ["silent camera", "silent cameras"], progressSilent: ["silence of progress", "silences of progress"], strandNotSeen: ["strand not seen", "strands not seen"],
  clockJumped: ["jump of a clock", "jumps of clocks"], cellSilent: ["silence of the cell", "silences of the cell"], receiptOverdue: ["overdue answer", "overdue answers"],
  commandRefused: ["command not carried out", "commands not carried out"], layerHeld: ["layer held", "layers held"], gateOverrun: ["layer laid over", "layers laid over"],
  diskLow: ["disk nearly full", "disks nearly full"], backlog: ["delay", "delays"], engineLost: ["stop of measuring", "stops of measuring"],
  workingTimeLow: ["working time nearly over", "working times nearly over"], workingTimeOver: ["working time over", "working times over"],
};

/** "gap", "gaps". */
export function alertNoun(kind: AlertKind, count: number): string {
  return COUNTED[kind][count === 1 ? 0 : 1];
}

/** The title of an alert as the log told of it when it was raised. */
export function alertTitle(raised: AlertRaised): string {
  return TITLES[raised.alertKind](causeTold(raised));
}

/** "312 more: 290 gaps, 22 lifted stretches", of those beyond `most`; "": there are none. So a flood stays readable. */
export function moreAlertsWords(alerts: readonly Alert[], most: number): string {
  const { rest } = split(alerts, most);
  if (rest.length === 0) return "";
  const counts = ALERT_KINDS.map((kind) => ({ kind, count: rest.filter(({ cause }) => cause.kind === kind).length })).filter(({ count }) => count > 0).toSorted((a, b) => b.count - a.count);
  return `${wholeNumber(rest.length)} more: ${counts.map(({ kind, count }) => `${wholeNumber(count)} ${alertNoun(kind, count)}`).join(", ")}`;
}

/** "11 (2 high, 5 medium, 4 low); at most 9 in 10 min; 12 % of the time in flood": reported, and no verdict. */
export function alertRateWords({ count, byPriority, peakPer10Min, floodFraction }: AlertRates): string {
  if (count === 0) return "none";
  const parts = ALERT_PRIORITIES.filter((priority) => byPriority[priority] > 0).map((priority) => `${wholeNumber(byPriority[priority])} ${priority}`);
  return `${wholeNumber(count)} (${parts.join(", ")}); at most ${wholeNumber(peakPer10Min)} in 10\u00a0min; ${floodFraction === 0 ? "no time in flood" : `${percent(floodFraction, 0)} of the time in flood, which is over 10 in 10\u00a0min`}`;
}
