/**
 * What leads an alert from one state to another, by IEC 62682 (ISA-18.2): normal → unacknowledged → acknowledged → normal; unacknowledged → returned →
 * normal once acknowledged, or unacknowledged again; shelved for a stated time. null: back to normal, off the list.
 */
import type { Alert, AlertCause, AlertDisposition, AlertPriority } from "../model/alert.ts";

/** An alert and where its cause comes from: each source says again and again all that stands of it now. */
export interface Sourced extends Alert { readonly source: string }

export interface Raised { readonly n: number; readonly source: string; readonly cause: AlertCause; readonly priority: AlertPriority }

export function raised({ n, source, cause, priority }: Raised, at: string): Sourced {
  return { n, source, cause, priority, state: "unacknowledged", isOn: true, raisedAt: at, since: at, acknowledgedBy: null, shelf: null, escalations: 0, disposition: null };
}

/** To be acknowledged, whatever was so before; what a person decided about it was decided about something else. */
export function afresh(alert: Sourced, at: string): Sourced {
  return { ...alert, state: "unacknowledged", isOn: true, since: at, acknowledgedBy: null, shelf: null, disposition: null };
}

/** It stands again; on the shelf it stays there. */
export function again(alert: Sourced, at: string): Sourced {
  return alert.state === "shelved" ? { ...alert, isOn: true } : afresh(alert, at);
}

/** Its cause is gone. On the shelf it stays until its time is over, so that it is seen. */
export function cleared(alert: Sourced, at: string): Sourced | null {
  if (alert.state === "acknowledged") return null;
  return alert.state === "shelved" ? { ...alert, isOn: false } : { ...alert, state: "returned", isOn: false, since: at };
}

/** Nobody acknowledged it in time; `since` begins again, so that it comes about once more. */
export function escalated(alert: Sourced, at: string): Sourced {
  return { ...alert, priority: alert.priority === "medium" ? "high" : alert.priority, escalations: alert.escalations + 1, since: at };
}

/** A person has seen it. */
export function seenBy(alert: Sourced, by: string, at: string): Sourced | null {
  if (alert.state === "returned") return null;
  return alert.state === "unacknowledged" ? { ...alert, state: "acknowledged", since: at, acknowledgedBy: by } : alert;
}

export function onShelf(alert: Sourced, shelf: { readonly until: string; readonly reason: string; readonly by: string }, at: string): Sourced {
  return { ...alert, state: "shelved", since: at, shelf };
}

/** To be acknowledged anew, whoever did so before. */
export function offShelf(alert: Sourced, at: string): Sourced {
  return { ...alert, state: alert.isOn ? "unacknowledged" : "returned", since: at, acknowledgedBy: null, shelf: null };
}

/** Whoever decides about an alert has seen it. */
export function decided(alert: Sourced, disposition: AlertDisposition): Sourced | null {
  return seenBy({ ...alert, disposition }, disposition.by, disposition.at);
}

/** `alerts` with one of them changed. */
export function withOne(alerts: readonly Sourced[], n: number, change: (alert: Sourced) => Sourced | null): readonly Sourced[] {
  return alerts.flatMap((alert) => (alert.n === n ? change(alert) ?? [] : [alert]));
}
