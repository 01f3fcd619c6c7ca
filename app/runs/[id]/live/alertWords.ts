/** Alerts as the list shows them. */
import { ALERT_PRIORITIES, isSettled, type Alert, type AlertLine, type AlertPriority } from "../../../../lib/model/alert.ts";
import { SHELF_REASONS } from "../../../../lib/model/reason.ts";
import type { StrandPlace } from "../../../../lib/model/liveSheet.ts";

/** "09:14:12" of an ISO text in UTC. */
export function timeWords(iso: string): string {
  return iso.slice(11, 19);
}

/** "not acknowledged", "over, not acknowledged", "shelved until 09:20:00: waits for the cell". */
export function stateWords({ state, shelf, acknowledgedBy }: Pick<Alert, "state" | "shelf" | "acknowledgedBy">): string {
  switch (state) {
    case "unacknowledged": return "not acknowledged";
    case "acknowledged": return acknowledgedBy === null ? "acknowledged" : `acknowledged by ${acknowledgedBy}`;
    case "returned": return "over, not acknowledged";
    case "shelved": return shelf === null ? "shelved" : `shelved until ${timeWords(shelf.until)}: ${SHELF_REASONS.find(({ code }) => code === shelf.reason)?.label ?? shelf.reason}`;
  }
}

/** Somebody still has to say that they have seen it. */
export function waits({ state }: Pick<Alert, "state">): boolean {
  return state === "unacknowledged" || state === "returned";
}

/** The one that a key acknowledges; null: none waits. */
export function topmost(alerts: readonly AlertLine[]): AlertLine | null {
  return alerts.find(waits) ?? null;
}

/** Where it leads; null: it has no place along a strand. */
export function placeOf({ cause: { place } }: Pick<Alert, "cause">): StrandPlace | null {
  if (place === null || place.strand === null) return null;
  const { layer, strand, fromMm, toMm } = place;
  return { layer, strand, sMm: ((fromMm ?? toMm ?? 0) + (toMm ?? fromMm ?? 0)) / 2 };
}

/** The light of the page: of the first alert that stands and is not decided (they come in the order in which they matter), else of one that has gone and waits; it flashes while that stands and is not acknowledged. null: none. */
export function lightOf(alerts: readonly Alert[]): { readonly priority: AlertPriority; readonly isFlashing: boolean } | null {
  const shown = alerts.filter((alert) => alert.state !== "shelved" && !isSettled(alert)), first = shown.find(({ isOn }) => isOn) ?? shown[0];
  return first === undefined ? null : { priority: first.priority, isFlashing: first.isOn && first.state === "unacknowledged" };
}

/** The sound of the page: that of the most urgent alert which nobody has acknowledged and which stands; null: silence. */
export function soundOf(alerts: readonly Alert[]): AlertPriority | null {
  return ALERT_PRIORITIES.find((each) => alerts.some(({ priority, state, isOn }) => priority === each && state === "unacknowledged" && isOn)) ?? null;
}
