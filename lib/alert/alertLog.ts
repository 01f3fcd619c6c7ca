/** Alerts in the run's log: each change is an entry, and the entries give the alerts again. Between two of them an alert grows with its cause; what doubled is told. */
import { causeTold, PROGRAM_ACTOR, type AlertRaised, type LogEntry, type LogKind, type LogPayloads } from "../model/log.ts";
import { NO_ALERTS, type AlertChange, type AlertsState } from "./alerts.ts";
import { afresh, again, cleared, decided, escalated, offShelf, onShelf, raised, seenBy, withOne, type Sourced } from "./life.ts";

type AlertKinds = Extract<LogKind, `alert.${string}`>;
/** What the log is told of a change. */
export type AlertEntry = { [K in AlertKinds]: { readonly actor: string; readonly at: string; readonly kind: K; readonly payload: LogPayloads[K] } }[AlertKinds];

/** A number as the log can say it: none so small that it needs an exponent. */
const inLog = (value: number | null): number | null => (value === null || !Number.isFinite(value) ? null : Math.round(1000 * value) / 1000 + 0);

function raisedPayload({ n, source, priority, cause: { kind, severity, subject, place, worst } }: Sourced): AlertRaised {
  return {
    n, source, alertKind: kind, severity, priority, subject, layer: place?.layer ?? null, strand: place?.strand ?? null, fromMm: inLog(place?.fromMm ?? null), toMm: inLog(place?.toMm ?? null),
    metric: worst?.metric ?? null, value: inLog(worst?.value ?? null), limit: inLog(worst?.limit ?? null),
  };
}

/** Shortest stretch whose doubling is told, mm: a finding of one station has no length yet. */
const LEAST_MM = 0.5;

const lengthOf = (fromMm: number | null, toMm: number | null): number | null => (fromMm === null || toMm === null ? null : Math.max(LEAST_MM, toMm - fromMm));

/** Whether an alert that stands is another than the log said last: of another severity, twice as long or half. So growth is told in few entries. */
function isAnother(told: AlertRaised, { isOn, cause: { severity, place } }: Sourced): boolean {
  const before = lengthOf(told.fromMm, told.toMm), now = lengthOf(place?.fromMm ?? null, place?.toMm ?? null);
  return isOn && (severity !== told.severity || (before !== null && now !== null && (now >= 2 * before || now <= before / 2)));
}

/** What the log was told last of each alert, by number. */
export type Told = Map<number, AlertRaised>;
const TELLS: ReadonlySet<string> = new Set(["alert.raised", "alert.urgent", "alert.changed"]);

/** Takes note of an entry. */
export function noteTold(told: Told, { kind, payload }: { readonly kind: LogKind; readonly payload: LogPayloads[LogKind] }): void {
  if (TELLS.has(kind)) told.set((payload as AlertRaised).n, payload as AlertRaised);
}

/** An entry for each alert that has become another since. */
export function changedEntries(told: Told, alerts: readonly Sourced[], at: string): AlertEntry[] {
  return alerts.flatMap((alert) => {
    const before = told.get(alert.n);
    return before === undefined || !isAnother(before, alert) ? [] : [{ actor: PROGRAM_ACTOR, at, kind: "alert.changed" as const, payload: raisedPayload(alert) }];
  });
}

/** `text`: makes of what a person typed what everybody prints alike. */
export function alertEntry({ kind, alert, by, note }: AlertChange, at: string, text: (typed: string) => string): AlertEntry {
  const actor = by ?? PROGRAM_ACTOR, { n } = alert;
  switch (kind) {
    case "raised": case "urgent": return { actor, at, kind: `alert.${kind}`, payload: raisedPayload(alert) };
    case "again": case "returned": case "acknowledged": case "unshelved": return { actor, at, kind: `alert.${kind}`, payload: { n } };
    case "escalated": return { actor, at, kind: "alert.escalated", payload: { n, priority: alert.priority } };
    case "shelved": return { actor, at, kind: "alert.shelved", payload: { n, until: alert.shelf?.until ?? at, reason: text(alert.shelf?.reason ?? ""), note: text(note) } };
    case "noted": return { actor, at, kind: "alert.noted", payload: { n, note: text(note) } };
    case "disposed": return { actor, at, kind: "alert.disposed", payload: { n, disposition: alert.disposition?.disposition ?? "false", reason: text(alert.disposition?.reason ?? ""), note: text(note) } };
  }
}

/** What an entry does to the alert that it is about; entries of other kinds do nothing. */
function applied(alert: Sourced, { kind, payload, actor, at }: LogEntry): Sourced | null {
  switch (kind) {
    case "alert.urgent": return { ...afresh(alert, at), cause: causeTold(payload as AlertRaised), priority: (payload as AlertRaised).priority };
    case "alert.changed": return { ...alert, cause: causeTold(payload as AlertRaised) };
    case "alert.again": return again(alert, at);
    case "alert.returned": return cleared(alert, at);
    case "alert.escalated": return escalated(alert, at);
    case "alert.acknowledged": return seenBy(alert, actor, at);
    case "alert.shelved": {
      const { until, reason } = payload as LogPayloads["alert.shelved"];
      return onShelf(alert, { until, reason, by: actor }, at);
    }
    case "alert.unshelved": return offShelf(alert, at);
    case "alert.disposed": {
      const { disposition, reason, note } = payload as LogPayloads["alert.disposed"];
      return decided(alert, { disposition, reason, note, by: actor, at });
    }
    default: return alert;
  }
}

/** The alerts that the log leaves standing. */
export function alertsFromLog(entries: Iterable<LogEntry>): AlertsState {
  let { alerts, lastN } = NO_ALERTS;
  for (const entry of entries) {
    if (!entry.kind.startsWith("alert.")) continue;
    const payload = entry.payload as { readonly n: number };
    if (entry.kind === "alert.raised") {
      const told = entry.payload as AlertRaised;
      alerts = [...alerts, raised({ n: told.n, source: told.source, cause: causeTold(told), priority: told.priority }, entry.at)];
      lastN = told.n;
    } else alerts = withOne(alerts, payload.n, (alert) => applied(alert, entry));
  }
  return { alerts, lastN };
}
