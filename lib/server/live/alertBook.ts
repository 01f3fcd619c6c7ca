/** The alerts of one run: what stands becomes alerts, each change goes into the log, and screens are told. A full disk silences none: what cannot be written is written later. */
import { alertEntry, alertsFromLog, changedEntries, noteTold, type Told } from "../../alert/alertLog.ts";
import { reduceAlerts, type AlertInput, type AlertsState } from "../../alert/alerts.ts";
import type { LogDraft } from "../../log/entries.ts";
import { portableText } from "../../log/portable.ts";
import type { Alert } from "../../model/alert.ts";
import type { LogEntry } from "../../model/log.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";
import type { EventRing } from "./eventRing.ts";
import type { RunRecord } from "./runRecord.ts";

export interface AlertPorts {
  readonly record: RunRecord;
  readonly events: EventRing;
  readonly nowIso: () => string;
}

export class AlertBook {
  private state: AlertsState;
  private unwritten: LogDraft[] = [];
  private readonly told: Told = new Map();

  /** `entries`: the log so far. */
  constructor(entries: Iterable<LogEntry>, private readonly ports: AlertPorts) {
    const log = [...entries].filter(({ kind }) => kind.startsWith("alert."));
    this.state = alertsFromLog(log);
    for (const entry of log) noteTold(this.told, entry);
  }

  /** Alerts that are not back to normal, by number. */
  get standing(): readonly Alert[] {
    return this.state.alerts;
  }

  /** Takes what stands now, or what a person did. InputError alert.badDeed for a deed that the alert does not allow. */
  take(input: AlertInput): void {
    const at = this.ports.nowIso(), { state, changes } = reduceAlerts(this.state, input, at);
    this.state = state;
    const drafts = changes.map((change) => alertEntry(change, at, portableText));
    for (const draft of drafts) noteTold(this.told, draft);
    for (const draft of input.do === "conditions" ? changedEntries(this.told, state.alerts, at) : []) {
      noteTold(this.told, draft);
      drafts.push(draft);
    }
    if (drafts.length === 0) return;
    this.unwritten.push(...drafts);
    this.write();
    for (const { alert: { n } } of changes) this.ports.events.push("alert", { n, alert: state.alerts.find((alert) => alert.n === n) ?? null });
  }

  /** Writes what the log has not been told; to be called again where the disk refused. */
  write(): void {
    const drafts = this.unwritten;
    if (drafts.length > 0 && unlessDiskRefuses(() => { this.ports.record.write(() => ({ drafts, value: null })); })) this.unwritten = [];
  }
}
