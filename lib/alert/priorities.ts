/**
 * Priorities by IEC 60601-1-8, table 1: what could come of it if nobody did anything, and how soon. Loose or lifted paste can go where it does harm and
 * be dragged further at once; a print that nobody sees, or whose cell does not answer, can do anything meanwhile: high. What spoils a layer can be taken
 * off while the paste is soft, and paste at the nozzle that will be dragged over what is laid: medium. Where two sensors contradict each other, nobody knows
 * whether there is harm, and the worse of both answers is a gap: medium as that. What somebody ought to know: low. The assignment itself is ours, no source.
 */
import type { AlertKind, AlertPriority } from "../model/alert.ts";
import type { Severity } from "../model/result.ts";

const ACT: Readonly<Record<AlertKind, AlertPriority>> = {
  detachedStrand: "high", liftedStrand: "high", strayMaterial: "high",
  gap: "medium", underExtrusion: "medium", overExtrusion: "medium", displacedStrand: "medium", nozzleHang: "medium", sensorsDisagree: "medium",
  closedPore: "low", unmeasured: "low", cameraPose: "low",
  profilerSilent: "high", strandNotSeen: "high", cellSilent: "high", engineLost: "high", gateOverrun: "high", receiptOverdue: "high", workingTimeOver: "high",
  progressSilent: "medium", cameraSilent: "medium", clockJumped: "medium", commandRefused: "medium", backlog: "medium", diskLow: "medium", workingTimeLow: "medium",
  layerHeld: "low",
};

/** Of severity watch everything is low. */
export function priorityOf(kind: AlertKind, severity: Severity): AlertPriority {
  return severity === "watch" ? "low" : ACT[kind];
}

/** Not acknowledged for so long, an alert escalates, s; a low one never does. A medium one then sounds as a high one. No source: a cell's operator is never far. */
const ESCALATE_AFTER_S: Readonly<Record<AlertPriority, number>> = { high: 60, medium: 120, low: Infinity };
/** Each time it takes twice as long, and no more often than this: who is not there hears nothing the fourth time either, and a log is no clock. */
const MOST_ESCALATIONS = 3;

/** Unacknowledged for so long in this state, an alert escalates once more, s; Infinity: no more. */
export function escalateAfterS(priority: AlertPriority, escalations: number): number {
  return escalations >= MOST_ESCALATIONS ? Infinity : ESCALATE_AFTER_S[priority] * 2 ** escalations;
}
