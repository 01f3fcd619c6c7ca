/** Alerts and their causes made by hand, and a way of doing several things to them one after another. */
import { alertEntry } from "../../lib/alert/alertLog.ts";
import { reduceAlerts, NO_ALERTS, type AlertChange, type AlertInput, type AlertsState } from "../../lib/alert/alerts.ts";
import { raised, type Sourced } from "../../lib/alert/life.ts";
import { priorityOf } from "../../lib/alert/priorities.ts";
import type { AlertCause, AlertKind } from "../../lib/model/alert.ts";
import type { LogEntry } from "../../lib/model/log.ts";

const START_MS = Date.parse("2026-02-03T09:12:00.000Z");
/** ISO 8601, so many seconds after the tests' own beginning. */
export const atS = (s: number): string => new Date(START_MS + 1000 * s).toISOString();

/** A gap on strand 7 of layer 2 from 6 to 8.6 mm, act, unless said otherwise. */
export function madeCause(change: Partial<AlertCause> = {}): AlertCause {
  return { kind: "gap", severity: "act", subject: "", place: { layer: 2, strand: 7, fromMm: 6, toMm: 8.6 }, worst: { metric: "areaRatio", value: 0.03, limit: 0.25 }, ...change };
}

/** An alert as it stands when it was just raised at 4 s. */
export function madeAlert(n: number, cause: Partial<AlertCause> = {}, change: Partial<Sourced> = {}): Sourced {
  const whole = madeCause(cause);
  return { ...raised({ n, source: "strand/2/7", cause: whole, priority: priorityOf(whole.kind, whole.severity) }, atS(4)), ...change };
}

/** Health of one kind; of the job's own limits nothing is known. */
export function madeHealth(kind: AlertKind, subject = ""): AlertCause {
  return { kind, severity: "act", subject, place: null, worst: null };
}

/** The log's line of a change, numbered and hashed by nobody: those are the store's. */
export function lineOf(change: AlertChange, at: string): LogEntry {
  return { ...alertEntry(change, at, (text) => text), hash: "", prev: "", runId: "run-3", seq: 1 };
}

/** Takes inputs one after another, each at its own second. */
export class MadeAlerts {
  state: AlertsState = NO_ALERTS;
  readonly changes: AlertChange[] = [];
  readonly log: LogEntry[] = [];

  take(input: AlertInput, s: number): this {
    const { state, changes } = reduceAlerts(this.state, input, atS(s));
    this.state = state;
    this.changes.push(...changes);
    this.log.push(...changes.map((change) => lineOf(change, atS(s))));
    return this;
  }

  stands(causes: readonly AlertCause[], s: number, source = "strand/2/7"): this {
    return this.take({ do: "conditions", source, causes }, s);
  }

  /** Kinds of all changes so far, in order. */
  get kinds(): string[] {
    return this.changes.map(({ kind }) => kind);
  }
}
