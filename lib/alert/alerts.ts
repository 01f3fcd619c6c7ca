/** Alerts as a reducer: what stands now and what people do goes in, alerts and their changes come out. Time is passed in. */
import { InputError } from "../base/errors.ts";
import { isFindingKind } from "../model/result.ts";
import { SHELF_LIMIT_S, type AlertCause, type AlertDisposition, type AlertPriority } from "../model/alert.ts";
import { isSameCause, isUnmoved } from "./causes.ts";
import { afresh, again, cleared, decided, escalated, offShelf, onShelf, raised, seenBy, withOne, type Sourced } from "./life.ts";
import { escalateAfterS, priorityOf } from "./priorities.ts";

export interface AlertsState {
  /** Those that are not back to normal, by number. */
  readonly alerts: readonly Sourced[];
  readonly lastN: number;
}
export const NO_ALERTS: AlertsState = { alerts: [], lastN: 0 };

type ByPerson = { readonly n: number; readonly by: string };
export type AlertInput =
  /** All that stands now of a source. */
  | { readonly do: "conditions"; readonly source: string; readonly causes: readonly AlertCause[] }
  | ({ readonly do: "acknowledge" | "unshelve" } & ByPerson)
  | ({ readonly do: "shelve"; readonly forS: number; readonly reason: string; readonly note: string } & ByPerson)
  | ({ readonly do: "note"; readonly note: string } & ByPerson)
  | ({ readonly do: "dispose" } & Pick<AlertDisposition, "disposition" | "reason" | "note"> & ByPerson)
  /** Time goes on. */
  | { readonly do: "tick" };

/** What came about: each is an entry of the log. `alert` as it is from then on, or was last. `by` null: the program. */
export interface AlertChange {
  readonly kind: "raised" | "urgent" | "again" | "returned" | "escalated" | "acknowledged" | "shelved" | "unshelved" | "noted" | "disposed";
  readonly alert: Sourced;
  readonly by: string | null;
  readonly note: string;
}

export interface Reduced { readonly state: AlertsState; readonly changes: readonly AlertChange[] }

/** `at`: now, ISO 8601, UTC. InputError alert.badDeed where a person does what the alert's state does not allow. */
export function reduceAlerts(state: AlertsState, input: AlertInput, at: string): Reduced {
  switch (input.do) {
    case "conditions": return takeCauses(state, input, at);
    case "tick": return tick(state, at);
    default: return takeDeed(state, input, at);
  }
}

const programDid = (kind: AlertChange["kind"], alert: Sourced): AlertChange => ({ kind, alert, by: null, note: "" });

function takeCauses({ alerts: before, lastN }: AlertsState, { source, causes }: Extract<AlertInput, { do: "conditions" }>, at: string): Reduced {
  const changes: AlertChange[] = [], known = knownOf(before.filter((alert) => alert.source === source), causes), standing = new Map<number, Sourced>(), fresh: Sourced[] = [];
  for (const [i, cause] of causes.entries()) {
    const old = known[i];
    const { alert, kind } = old === undefined ? { alert: raised({ n: ++lastN, source, cause, priority: priorityOf(cause.kind, cause.severity) }, at), kind: "raised" as const } : standsOn(old, cause, at);
    if (old === undefined) fresh.push(alert);
    else standing.set(alert.n, alert);
    if (kind !== null) changes.push(programDid(kind, alert));
  }
  const alerts = before.flatMap((alert) => {
    if (alert.source !== source) return [alert];
    const stands = standing.get(alert.n);
    if (stands !== undefined || !alert.isOn) return [stands ?? alert];
    const gone = cleared(alert, at);
    changes.push(programDid("returned", gone ?? { ...alert, isOn: false }));
    return gone ?? [];
  });
  return { state: { alerts: [...alerts, ...fresh], lastN }, changes };
}

/**
 * Which alert each cause is known by, in their order: one where it is just where it was, else near by, and one that stands before one that has gone. Each
 * alert is of one cause, so that nothing that was decided goes over to a neighbour.
 */
function knownOf(alerts: readonly Sourced[], causes: readonly AlertCause[]): readonly (Sourced | undefined)[] {
  const known: (Sourced | undefined)[] = causes.map(() => undefined), taken = new Set<number>(), ordered = alerts.toSorted((a, b) => Number(b.isOn) - Number(a.isOn));
  for (const isSame of [isUnmoved, isSameCause]) {
    causes.forEach((cause, i) => {
      const alert = known[i] ?? ordered.find(({ n, cause: was }) => !taken.has(n) && isSame(was, cause));
      if (alert !== undefined) taken.add(alert.n);
      known[i] = alert;
    });
  }
  return known;
}

const URGENCY: Readonly<Record<AlertPriority, number>> = { high: 2, medium: 1, low: 0 };

/** An alert whose cause stands: as it was, here again, or more urgent than before. It grows and shrinks with its cause. */
function standsOn(before: Sourced, cause: AlertCause, at: string): { readonly alert: Sourced; readonly kind: "again" | "urgent" | null } {
  const alert = { ...before, cause }, priority = priorityOf(cause.kind, cause.severity);
  if (URGENCY[priority] > URGENCY[before.priority]) return { alert: { ...afresh(alert, at), priority }, kind: "urgent" };
  return before.isOn ? { alert, kind: null } : { alert: again(alert, at), kind: "again" };
}

/** An alert from the future: the clock was set back. Nothing waits an hour more for that: it comes off its shelf, and escalates. */
const SET_BACK_MS = 1000;

function tick(state: AlertsState, at: string): Reduced {
  const changes: AlertChange[] = [], nowMs = Date.parse(at);
  const alerts = state.alerts.map((alert) => {
    const sinceMs = nowMs - Date.parse(alert.since), isSetBack = sinceMs < -SET_BACK_MS;
    if (alert.shelf !== null && (isSetBack || nowMs >= Date.parse(alert.shelf.until))) {
      const off = offShelf(alert, at);
      changes.push(programDid("unshelved", off));
      return off;
    }
    const afterS = escalateAfterS(alert.priority, alert.escalations);
    if (alert.state !== "unacknowledged" || afterS === Infinity || (sinceMs < 1000 * afterS && !isSetBack)) return alert;
    const more = escalated(alert, at);
    changes.push(programDid("escalated", more));
    return more;
  });
  return { state: changes.length === 0 ? state : { ...state, alerts }, changes };
}

function badDeed(expected: string, got: string): never {
  throw new InputError("alert.badDeed", expected, got, {});
}

type Deed = Exclude<AlertInput, { do: "conditions" | "tick" }>;

function takeDeed(state: AlertsState, deed: Deed, at: string): Reduced {
  const alert = state.alerts.find(({ n }) => n === deed.n) ?? badDeed("the number of an alert that stands", String(deed.n));
  const done = (kind: AlertChange["kind"], changed: Sourced | null, last: Sourced = alert): Reduced => ({
    state: { ...state, alerts: withOne(state.alerts, alert.n, () => changed) }, changes: [{ kind, alert: changed ?? last, by: deed.by, note: "note" in deed ? deed.note : "" }],
  });
  switch (deed.do) {
    case "acknowledge":
      if (alert.state === "acknowledged" || alert.state === "shelved") badDeed("an alert that waits to be acknowledged", `one that is ${alert.state}`);
      return done("acknowledged", seenBy(alert, deed.by, at));
    case "shelve": {
      const mostS = SHELF_LIMIT_S[alert.priority];
      if (!alert.isOn || alert.state === "shelved") badDeed("an alert that stands and is not shelved", `one that is ${alert.state}`);
      if (!(deed.forS > 0 && deed.forS <= mostS)) badDeed(`at most ${mostS} s for an alert of ${alert.priority} priority`, `${deed.forS} s`);
      return done("shelved", onShelf(alert, { until: new Date(Date.parse(at) + 1000 * deed.forS).toISOString(), reason: deed.reason, by: deed.by }, at));
    }
    case "unshelve":
      if (alert.state !== "shelved") badDeed("an alert that is shelved", `one that is ${alert.state}`);
      return done("unshelved", offShelf(alert, at));
    case "note": return done("noted", alert);
    case "dispose": {
      if (!isFindingKind(alert.cause.kind)) badDeed("an alert about a finding", `one about ${alert.cause.kind}`);
      const disposition: AlertDisposition = { disposition: deed.disposition, reason: deed.reason, note: deed.note, by: deed.by, at };
      return done("disposed", decided(alert, disposition), { ...alert, disposition });
    }
  }
}
