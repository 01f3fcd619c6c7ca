/** The layer gate: the next layer does not bury an open act finding, or strands that nobody saw, before a person says so. */
import type { Policy } from "../model/job.ts";
import type { LayerSeen, NozzleFacts } from "../model/liveFacts.ts";
import type { OpenFinding } from "./pause.ts";
import type { Removed } from "./resume.ts";

export interface Gate {
  readonly layer: number;
  /** False as well where the policy only advises. */
  readonly isHeld: boolean;
  /** Act findings of this layer and those below that are neither settled nor gone. */
  readonly open: readonly OpenFinding[];
  /** Stretches of it that were taken off and are not laid again: taking off makes a finding go, and leaves a hole. */
  readonly bareCount: number;
  /** Of what must have been seen by now, 0..1. */
  readonly seenFraction: number;
  readonly seenEnough: boolean;
}

export interface GateFacts {
  readonly seen: LayerSeen;
  readonly findings: readonly OpenFinding[];
  readonly removed: readonly Removed[];
  /** A person has said that this layer may be covered. */
  readonly isOpened: boolean;
}

export function layerGate({ minMeasuredFraction, openAct }: Policy["layerGate"], { seen, findings, removed, isOpened }: GateFacts): Gate {
  const open = findings.filter(({ severity, isSettled, layer }) => severity === "act" && !isSettled && layer <= seen.layer);
  const seenFraction = seen.dueCount === 0 ? 1 : seen.seenCount / seen.dueCount, seenEnough = seenFraction >= minMeasuredFraction;
  const bareCount = removed.filter(({ layer }) => layer <= seen.layer).length;
  return { layer: seen.layer, isHeld: openAct === "hold" && !isOpened && (open.length > 0 || bareCount > 0 || !seenEnough), open, bareCount, seenFraction, seenEnough };
}

/**
 * What a gate that is held asks of the cell: a pause at the layer's end while its last strand is being laid, or stands laid; a pause at once where the
 * cell lays the next layer all the same. null: not yet, or nothing. `gate`: of the layer that the nozzle is on; `below`: of the one before it.
 */
export function gatePause(nozzle: Pick<NozzleFacts, "layer" | "isLastOfLayer" | "isLaying" | "next">, gate: Gate | null, below: Gate | null): "now" | "layerEnd" | null {
  if (below?.isHeld === true) return "now";
  if (gate?.isHeld !== true || !nozzle.isLastOfLayer || nozzle.next === null) return null;
  return "layerEnd";
}

/** Whether a resume at this layer would cover what a gate holds. */
export function wouldBury(layer: number, gates: readonly Gate[]): Gate | null {
  return gates.find((gate) => gate.isHeld && gate.layer < layer) ?? null;
}
