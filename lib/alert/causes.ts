/** What makes two causes one alert. */
import type { AlertCause, AlertPlace } from "../model/alert.ts";
import type { DisagreementFinding, Finding, StretchFinding } from "../model/result.ts";

/** Stretches that touch within this are one, mm. */
const TOUCH_MM = 1e-3;

/** Whether two places have something of a strand in common; of places without a stretch, whether they are the same. */
export function overlaps(a: AlertPlace, b: AlertPlace): boolean {
  if (a.layer !== b.layer || a.strand !== b.strand) return false;
  if (a.fromMm === null || a.toMm === null || b.fromMm === null || b.toMm === null) return a.fromMm === b.fromMm && a.toMm === b.toMm;
  return a.fromMm <= b.toMm + TOUCH_MM && b.fromMm <= a.toMm + TOUCH_MM;
}

/** A body that is seen again lies within this of where it was, mm: what is seen of it grows while the profiler goes on. */
const SAME_BODY_MM = 3;

function isNear(a: string, b: string): boolean {
  const [p, q] = [a, b].map((text) => text.split(" ").map(Number)) as [number[], number[]];
  return Math.hypot(...p.map((mm, i) => mm - (q[i] ?? Number.NaN))) <= SAME_BODY_MM;
}

/** The same kind of the same subject; where it has a place, on an overlapping stretch of the same strand, or near by off the path. */
export function isSameCause(a: AlertCause, b: AlertCause): boolean {
  if (a.kind !== b.kind) return false;
  if (a.place === null || b.place === null) return a.place === b.place && a.subject === b.subject;
  return overlaps(a.place, b.place) && (a.subject === b.subject || isNear(a.subject, b.subject));
}

/** The same kind of the same subject at the very same place. */
export function isUnmoved(a: AlertCause, b: AlertCause): boolean {
  const [p, q] = [a.place, b.place];
  return a.kind === b.kind && a.subject === b.subject && p?.layer === q?.layer && p?.strand === q?.strand && p?.fromMm === q?.fromMm && p?.toMm === q?.toMm;
}

/**
 * A finding as a cause. Bodies and pores have no stretch: their subject is where they lie in the plan, to 0.1 mm. Paste at the nozzle goes where the nozzle
 * goes: it is one cause a layer. A camera off its place has no place in the plan: its subject is the camera.
 */
export function causeOf(finding: Finding): AlertCause {
  const { kind, severity, layer } = finding;
  if ("fromMm" in finding) return stretchCause(finding);
  if (kind === "cameraPose") return { kind, severity, subject: finding.device, place: null, worst: finding.worst };
  if (kind === "nozzleHang") return { kind, severity, subject: "", place: { layer, strand: null, fromMm: null, toMm: null }, worst: finding.worst };
  const at = finding.position.map((mm) => mm.toFixed(1)).join(" ");
  const strand = "strand" in finding ? finding.strand : null, worst = "worst" in finding ? finding.worst : null;
  return { kind, severity, subject: at, place: { layer, strand, fromMm: null, toMm: null }, worst };
}

function stretchCause({ kind, severity, layer, strand, fromMm, toMm, worst }: StretchFinding | DisagreementFinding): AlertCause {
  return { kind, severity, subject: "", place: { layer, strand, fromMm, toMm }, worst };
}

/** A cause that has no place in the plan. `worst`: what was measured in s or as a fraction, against the job's limit. */
export function healthCause(kind: AlertCause["kind"], subject = "", worst: AlertCause["worst"] = null): AlertCause {
  return { kind, severity: "act", subject, place: null, worst };
}
