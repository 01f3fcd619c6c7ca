/** Findings as a result holds them: numbers rounded, and in their order. */
import type { DisagreementFinding, Finding, StretchFinding } from "../model/result.ts";
import { rounded } from "./stationResult.ts";

export function tidy<F extends StretchFinding | DisagreementFinding>(f: F): F {
  const { value, limit } = f.worst;
  return {
    ...f, fromMm: rounded(f.fromMm), toMm: rounded(f.toMm), lengthMm: rounded(f.toMm - f.fromMm),
    worst: { ...f.worst, value: value === null ? null : rounded(value), limit: rounded(limit) },
  };
}

/** Act before watch, then by layer, strand (off the path last) and place. */
export function inOrder(a: Finding, b: Finding): number {
  if (a.severity !== b.severity) return a.severity === "act" ? -1 : 1;
  if (a.layer !== b.layer) return a.layer - b.layer;
  const strand = (f: Finding): number => ("strand" in f ? f.strand : Number.MAX_SAFE_INTEGER);
  if (strand(a) !== strand(b)) return strand(a) - strand(b);
  return ("fromMm" in a ? a.fromMm : 0) - ("fromMm" in b ? b.fromMm : 0);
}
