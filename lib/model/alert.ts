/**
 * Alerts: findings and health events that somebody has to see, with their life. Priorities are those of IEC 60601-1-8, states those of IEC 62682;
 * "normal" is no state here: an alert that is back to normal and acknowledged has left the list.
 */
import type { Disposition } from "./disposition.ts";
import { FINDING_KINDS, type FindingKind, type Metric, type Severity } from "./result.ts";

/** Most urgent first. */
export const ALERT_PRIORITIES = ["high", "medium", "low"] as const;
export type AlertPriority = (typeof ALERT_PRIORITIES)[number];

/**
 * What can be wrong with watching itself, the cell or the paste.
 * `profilerSilent`, `cameraSilent`, `progressSilent`: nothing has come for too long by the server's clock. `strandNotSeen`: profiles come, and the strand being laid is
 * not in them though by the plan it must be. `clockJumped`: a device's stamps went on otherwise than the server's clock. `cellSilent`: the cell does
 * not ask for commands. `receiptOverdue`, `commandRefused`: a command without its receipt in time, and one that was not carried out.
 * `layerHeld`: the layer gate holds. `gateOverrun`: the cell began a layer over a gate that holds.
 */
export const HEALTH_KINDS = [
  "profilerSilent", "cameraSilent", "progressSilent", "strandNotSeen", "clockJumped", "cellSilent", "receiptOverdue", "commandRefused", "layerHeld", "gateOverrun",
  "diskLow", "backlog", "engineLost", "workingTimeLow", "workingTimeOver",
] as const;
export type HealthKind = (typeof HEALTH_KINDS)[number];

export const ALERT_KINDS = [...FINDING_KINDS, ...HEALTH_KINDS] as const;
export type AlertKind = FindingKind | HealthKind;

export const ALERT_STATES = ["unacknowledged", "acknowledged", "returned", "shelved"] as const;
/** `returned`: back to normal and not acknowledged; it stays listed until it is. `shelved`: silent until a stated time, for a reason. */
export type AlertState = (typeof ALERT_STATES)[number];

/** Where a finding lies; null: off the path, or of no stretch. */
export interface AlertPlace { readonly layer: number; readonly strand: number | null; readonly fromMm: number | null; readonly toMm: number | null }

/** Something that stands now and is to be an alert. */
export interface AlertCause {
  readonly kind: AlertKind;
  /** Of health: act. */
  readonly severity: Severity;
  /** Whose it is where several of a kind can stand at once: a device, a command's number; "": there is one alone. */
  readonly subject: string;
  /** null: it has no place in the plan. */
  readonly place: AlertPlace | null;
  /** Of a finding: its worst value against its limit. Of health: what was measured (s, a fraction), against the job's limit. null: there is none. */
  readonly worst: { readonly metric: Metric | "coverage" | "areaMm2" | "pasteFraction" | "poseErrorMm" | "s" | "fraction"; readonly value: number | null; readonly limit: number } | null;
}

/** What a person decided about the finding behind an alert while the print went on. */
export interface AlertDisposition { readonly disposition: Disposition; readonly reason: string; readonly note: string; readonly by: string; readonly at: string }

export interface Alert {
  /** From 1 in each run. */
  readonly n: number;
  /** As it stands, or stood last. */
  readonly cause: AlertCause;
  readonly priority: AlertPriority;
  readonly state: AlertState;
  /** The cause stands now. */
  readonly isOn: boolean;
  /** ISO 8601, UTC, by the server's clock. */
  readonly raisedAt: string;
  /** Since when it is in this state. */
  readonly since: string;
  /** null: nobody has. */
  readonly acknowledgedBy: string | null;
  readonly shelf: { readonly until: string; readonly reason: string; readonly by: string } | null;
  /** How often nobody acknowledged it in time. */
  readonly escalations: number;
  /** null: open. */
  readonly disposition: AlertDisposition | null;
}

/** A person has accepted the finding as it is, or called it false. Taken off, it is settled once it is gone. */
export function isSettled({ disposition }: Pick<Alert, "disposition">): boolean {
  return disposition !== null && disposition.disposition !== "takenOffAndLaidAgain";
}

/** Times to shelve for, s. */
export const SHELF_TIMES_S = [60, 300, 900] as const;

/** Longest time on the shelf, s. What is of high priority is never out of hearing for long. */
export const SHELF_LIMIT_S: Readonly<Record<AlertPriority, number>> = { high: 60, medium: 300, low: 900 };

/** How alerts came over a run or so far. Reported and never judged: the benchmarks of process plants are for months, not for a print. */
export interface AlertRates {
  readonly count: number;
  readonly byPriority: Readonly<Record<AlertPriority, number>>;
  /** Most alerts in any 10 minutes. */
  readonly peakPer10Min: number;
  /** Share of the run's time in flood: from more than 10 alerts in 10 minutes until fewer than 5, 0..1. */
  readonly floodFraction: number;
}

/** An alert as screens show it: with its words. */
export interface AlertLine extends Alert {
  /** "Strand 7 of layer 2 has a gap of 2.6 mm at 6.0 mm" */
  readonly title: string;
  /** What to do; null: nothing but to know. */
  readonly advice: string | null;
}
