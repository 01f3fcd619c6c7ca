/** Which pause the job's policy asks for by itself, and which one the first touch proposes. An abort is always a person's. */
import type { PauseAt, Policy } from "../model/job.ts";
import type { FindingKind, Severity } from "../model/result.ts";

/** A finding that stands, as its alert knows it. */
export interface OpenFinding {
  /** Of its alert. */
  readonly n: number;
  readonly kind: FindingKind;
  readonly severity: Severity;
  readonly layer: number;
  /** It was accepted as it is, or called false. */
  readonly isSettled: boolean;
}

/** Soonest first. */
const SOONER: readonly PauseAt[] = ["now", "strandEnd", "layerEnd"];
const soonest = (places: readonly PauseAt[]): PauseAt | null => SOONER.find((at) => places.includes(at)) ?? null;

/** Nothing is gained by stopping for a pore that is closed already, nor for a camera that has to be calibrated after the print. */
const NEVER: readonly FindingKind[] = ["closedPore", "cameraPose"];
const actsOn = ({ onFinding }: Policy, { kind, severity, isSettled }: OpenFinding): boolean => severity === "act" && !isSettled && !NEVER.includes(kind) && onFinding[kind] === "pause";

export interface WantedPause {
  readonly at: PauseAt;
  /** The finding that asks for it, the first of several. */
  readonly finding: OpenFinding;
}

/**
 * `asked`: alerts that a pause was asked for already: a person who goes on over one is not stopped for it again. `inForce`: pauses that are asked and not
 * done yet; one that takes hold as soon is enough. null: nothing.
 */
export function wantedPause(policy: Policy, findings: readonly OpenFinding[], { asked, inForce }: { readonly asked: ReadonlySet<number>; readonly inForce: readonly PauseAt[] }): WantedPause | null {
  const acting = findings.filter((finding) => actsOn(policy, finding) && !asked.has(finding.n)), at = soonest(acting.map(({ kind }) => policy.pauseAt[kind] as PauseAt));
  const finding = acting.find(({ kind }) => policy.pauseAt[kind] === at);
  if (at === null || finding === undefined || inForce.some((other) => SOONER.indexOf(other) <= SOONER.indexOf(at))) return null;
  return { at, finding };
}

/** Where the first touch pauses: at the strand's end, since a stop in mid-strand leaves a blob, unless an open act finding's policy says sooner. */
export function proposedPause(policy: Policy, findings: readonly OpenFinding[]): PauseAt {
  const places = findings.filter(({ severity, isSettled }) => severity === "act" && !isSettled).map(({ kind }) => policy.pauseAt[kind] ?? "strandEnd");
  return places.includes("now") ? "now" : "strandEnd";
}
