/** Findings that two results of one plan share, and those of one alone. Pure. */
import type { BesideFindings } from "../model/beside.ts";
import { FINDING_MARKS } from "../model/marks.ts";
import type { SheetFinding } from "../model/sheet.ts";

/** Bodies and pores nearer than this are the same: what a body moves by being seen again (lib/alert has the same), mm. */
const SAME_BODY_MM = 3;

/** Of one kind at places that overlap. */
function isSamePlace(a: SheetFinding, b: SheetFinding): boolean {
  if (a.kind !== b.kind || a.layer !== b.layer) return false;
  return a.offPath ? Math.hypot(a.xMm - b.xMm, a.yMm - b.yMm) <= SAME_BODY_MM : a.strand === b.strand && a.fromMm <= b.toMm && b.fromMm <= a.toMm;
}

/** "Gap at layer 2, strand 5, 6.0–8.6 mm: area ratio 0.02 ± 0.01 (act, proven)". */
export function findingLine({ kind, layer, whereWords, rangeWords, valueWords, severity, proven }: SheetFinding): string {
  return `${FINDING_MARKS[kind].label} at layer ${layer}, ${whereWords}, ${rangeWords}: ${valueWords} (${severity}${severity === "act" ? (proven ? ", proven" : ", not proven") : ""})`;
}

/** One that overlaps several on the other side is told once with all of them. */
export function besideFindings(a: readonly SheetFinding[], b: readonly SheetFinding[]): BesideFindings {
  const isMatched = (one: SheetFinding, others: readonly SheetFinding[]): boolean => others.some((other) => isSamePlace(one, other));
  return {
    onlyA: a.filter((one) => !isMatched(one, b)).map(findingLine), onlyB: b.filter((one) => !isMatched(one, a)).map(findingLine),
    both: a.filter((one) => isMatched(one, b)).map((one) => ({ a: findingLine(one), b: b.filter((other) => isSamePlace(one, other)).map(findingLine).join("; ") })),
  };
}
