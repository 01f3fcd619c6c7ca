/** The layer gate: the next layer does not bury an open act finding, or strands that nobody saw, before a person says so. */
import type { Policy } from "../model/job.ts";
import type { LayerSeen, NozzleFacts } from "../model/liveFacts.ts";
import type { OpenFinding } from "./pause.ts";

export interface Gate {
  readonly layer: number;
  /** False as well where the policy only advises. */
  readonly isHeld: boolean;
  /** Act findings of this layer and those below that are neither settled nor gone. */
  readonly open: readonly OpenFinding[];
  /** Of what must have been seen by now, 0..1. */
  readonly seenFraction: number;
  readonly seenEnough: boolean;
}

/** `opened`: a person has said that this layer may be covered. */
export function layerGate({ minMeasuredFraction, openAct }: Policy["layerGate"], seen: LayerSeen, findings: readonly OpenFinding[], opened: boolean): Gate {
  const open = findings.filter(({ severity, isSettled, layer }) => severity === "act" && !isSettled && layer <= seen.layer);
  const seenFraction = seen.dueCount === 0 ? 1 : seen.seenCount / seen.dueCount, seenEnough = seenFraction >= minMeasuredFraction;
  return { layer: seen.layer, isHeld: openAct === "hold" && !opened && (open.length > 0 || !seenEnough), open, seenFraction, seenEnough };
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
