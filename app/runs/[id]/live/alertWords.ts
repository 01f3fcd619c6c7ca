/** Alerts as the list shows them. */
import { FINDING_KINDS, type FindingKind } from "../../../../lib/model/result.ts";
import { SHELF_REASONS, type Alert, type AlertLine, type AlertPriority } from "../../../../lib/model/alert.ts";
import type { StrandPlace } from "../../../../lib/model/liveSheet.ts";

export const PRIORITY_MARKS: Readonly<Record<AlertPriority, { readonly letter: string; readonly words: string }>> = {
  high: { letter: "H", words: "high priority" }, medium: { letter: "M", words: "medium priority" }, low: { letter: "L", words: "low priority" },
};

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

/** Only what was found in the paste is decided about. */
export function isFinding(kind: Alert["cause"]["kind"]): kind is FindingKind {
  return (FINDING_KINDS as readonly string[]).includes(kind);
}

/** Where it leads; null: it has no place along a strand. */
export function placeOf({ cause: { place } }: Pick<Alert, "cause">): StrandPlace | null {
  if (place === null || place.strand === null) return null;
  const { layer, strand, fromMm, toMm } = place;
  return { layer, strand, sMm: ((fromMm ?? toMm ?? 0) + (toMm ?? fromMm ?? 0)) / 2 };
}
