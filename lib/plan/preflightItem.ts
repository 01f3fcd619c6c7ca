/** Items of the pre-flight list from what was found place by place along a strand. */
import { PREFLIGHT_RULES, type PreflightItem, type PreflightKind, type PreflightPlace } from "../model/preflight.ts";
import type { Point } from "../model/result.ts";

/** A check's outcome; `notChecked` is the reason why it was not made, or not everywhere. */
export interface Outcome {
  readonly kind: PreflightKind;
  readonly items: readonly PreflightItem[];
  readonly notChecked: string | null;
  /** False: nothing was looked at. */
  readonly isMade: boolean;
}

/** Limits are met by a plan that is rounded in its last digit. */
const ROUNDING = 1e-9;
/** Places as bad as each other to this share: the first stands for all, whatever rounding says. */
const TIE = 1e-6;
/** Digits kept of numbers, as in a result: a nanometre. */
const DIGITS = 1e6;

export function rounded(value: number): number {
  return Math.round(value * DIGITS) / DIGITS + 0;
}

export function isOver(value: number, limit: number): boolean {
  return value > limit + ROUNDING * Math.max(1, Math.abs(limit));
}

export function found(kind: PreflightKind, items: readonly PreflightItem[], notChecked: string | null = null): Outcome {
  return { kind, items, notChecked, isMade: true };
}

export function notMade(kind: PreflightKind, reason: string): Outcome {
  return { kind, items: [], notChecked: reason, isMade: false };
}

/** What is over a limit at one place; `excess` says how bad it is, the greatest stands for a stretch. */
export interface Over { readonly value: number; readonly limit: number; readonly excess: number; readonly other?: PreflightPlace }

/** A strand cut into places: place i reaches from `edgesMm[i]` to `edgesMm[i + 1]` and stands at `sMm[i]`, the packed point i. */
export interface Places {
  readonly layer: number;
  readonly strand: number;
  readonly count: number;
  readonly edgesMm: ArrayLike<number>; // [place + 1]
  readonly sMm: ArrayLike<number>; // [place]
  readonly pointAt: (i: number) => Point;
}

/** Runs of neighbouring places that are over, each as one item at its worst. */
export function itemsAlong(kind: PreflightKind, places: Places, overAt: (i: number) => Over | null): PreflightItem[] {
  const items: PreflightItem[] = [];
  let first = -1, worstAt = -1;
  let worst: Over | null = null;
  const close = (end: number): void => {
    if (worst !== null) items.push(itemOf(kind, places, { from: places.edgesMm[first] as number, to: places.edgesMm[end] as number, at: worstAt }, worst));
    worst = null;
  };
  for (let i = 0; i < places.count; i++) {
    const over = overAt(i);
    if (over === null) {
      close(i);
      continue;
    }
    if (worst === null) first = i;
    if (worst === null || over.excess > worst.excess + TIE * Math.max(1, worst.excess)) [worst, worstAt] = [over, i];
  }
  close(places.count);
  return items;
}

function itemOf(kind: PreflightKind, places: Places, span: { from: number; to: number; at: number }, over: Over): PreflightItem {
  return makeItem(kind, {
    layer: places.layer, strand: places.strand, fromMm: span.from, toMm: span.to, sMm: places.sMm[span.at] as number, position: places.pointAt(span.at),
    value: over.value, limit: over.limit, other: over.other ?? null,
  });
}

/** One item; severity and unit follow from its kind, numbers are rounded to a nanometre. */
export function makeItem(kind: PreflightKind, item: Omit<PreflightItem, "kind" | "severity" | "unit">): PreflightItem {
  const { severity, unit } = PREFLIGHT_RULES[kind];
  return {
    kind, severity, layer: item.layer, strand: item.strand, fromMm: rounded(item.fromMm), toMm: rounded(item.toMm), sMm: rounded(item.sMm),
    position: item.position.map(rounded) as unknown as Point, value: rounded(item.value), limit: rounded(item.limit), unit,
    other: item.other === null ? null : { ...item.other, sMm: rounded(item.other.sMm) },
  };
}
