/** Faults that the simulated cell commits on request, written KIND@LAYER/STRAND/FROM-TO[=SIZE] (mm along the strand). */
import { InputError } from "../base/errors.ts";

export const FAULT_KINDS = ["gap", "under", "over", "lift", "shift", "drag", "blob", "drift", "tear", "hang"] as const;
export type FaultKind = (typeof FAULT_KINDS)[number];

export interface Fault {
  readonly kind: FaultKind;
  readonly layer: number;
  readonly strand: number;
  readonly fromMm: number;
  readonly toMm: number;
  /**
   * under, over: area ratio (0.7, 1.4); lift: mm (half the bead's height); shift: mm, left positive (0.45 w); drag: lateral mm, left positive
   * (2.5 w, on the side with room); blob: diameter mm (1.6 w); drift: µm per 10 mm (60); hang: area of the paste that hangs at
   * the nozzle while it is on the stretch, seen square on, mm² (4). null: the default in brackets. A gap has none, and a tear (gone after its scan) neither.
   */
  readonly size: number | null;
}

const FORM = "KIND@LAYER/STRAND/FROM-TO[=SIZE]";

/** One --fault text. InputError command.usage where it is not of the form, names an unknown kind, or its size means nothing. */
export function parseFault(text: string): Fault {
  const refuse = (expected: string): never => { throw new InputError("command.usage", expected, JSON.stringify(text), { key: "--fault" }); };
  const match = /^([A-Za-z]+)@(\d+)\/(\d+)\/(-?[\d.]+)-([\d.]+)(?:=(-?[\d.]+))?$/.exec(text);
  if (match === null) return refuse(`a fault ${FORM}, such as gap@1/3/7-9.5`);
  const kind = FAULT_KINDS.find((one) => one === match[1]) ?? refuse(`a fault of kind ${FAULT_KINDS.join(", ")} in ${FORM}`);
  const fault: Fault = {
    kind, layer: Number(match[2]), strand: Number(match[3]), fromMm: Number(match[4]), toMm: Number(match[5]),
    size: match[6] === undefined ? null : Number(match[6]),
  };
  checkFault(fault, text);
  return fault;
}

/** Refuses what cannot be: numbers that are none, FROM not before TO, sizes outside their sense. Whether the strand exists is seen by `simulate`. */
export function checkFault(fault: Fault, text: string): void {
  const refuse = (expected: string): never => { throw new InputError("command.usage", expected, JSON.stringify(text), { key: "--fault" }); };
  const { kind, layer, strand, fromMm, toMm, size } = fault;
  if (!(layer >= 1) || !(strand >= 1)) refuse("a layer and a strand counted from 1");
  if (!Number.isFinite(fromMm) || !Number.isFinite(toMm) || !(fromMm >= 0) || !(toMm > fromMm)) refuse("FROM and TO in mm with 0 ≤ FROM < TO");
  if (size === null) return;
  if (!Number.isFinite(size)) refuse("a finite SIZE");
  if (kind === "gap" || kind === "tear") refuse(`a ${kind} without SIZE`);
  if (kind === "under" && !(size > 0 && size < 1)) refuse("an area ratio between 0 and 1 for under");
  if (kind === "over" && !(size > 1 && size <= 4)) refuse("an area ratio above 1, at most 4, for over");
  if (kind === "blob" && !(size > 0)) refuse("a diameter above 0 mm for blob");
  if (kind === "hang" && !(size > 0 && size <= 50)) refuse("an area above 0 mm², at most 50, for hang");
  if (kind === "lift" && !(size > 0)) refuse("a lift above 0 mm");
  if ((kind === "drag" || kind === "shift") && size === 0) refuse(`a distance other than 0 mm for ${kind}`);
}

/**
 * Share of a fault at arc length s, 0..1: half at FROM and at TO, a smooth ramp of `rampMm` centred there; where the stretch reaches the strand's
 * end there is no ramp (the fault is whole up to the end).
 */
export function faultShare(fault: Fault, sMm: number, lengthMm: number, rampMm: number): number {
  const up = fault.fromMm <= 1e-9 ? 1 : step((sMm - fault.fromMm) / rampMm + 0.5);
  const down = fault.toMm >= lengthMm - 1e-9 ? 1 : step((fault.toMm - sMm) / rampMm + 0.5);
  return Math.min(up, down);
}

/** Cubic step, 0 below 0 and 1 above 1. */
function step(x: number): number {
  return x <= 0 ? 0 : x >= 1 ? 1 : x * x * (3 - 2 * x);
}

/** The size in force: as given, else the kind's default for the planned bead (a gap, a tear: 0). */
export function sizeOf(fault: Fault, bead: { readonly widthMm: number; readonly heightMm: number }): number {
  if (fault.size !== null) return fault.size;
  switch (fault.kind) {
    case "gap": case "tear": return 0;
    case "under": return 0.7;
    case "over": return 1.4;
    case "lift": return 0.5 * bead.heightMm;
    case "shift": return 0.45 * bead.widthMm;
    case "drag": return 2.5 * bead.widthMm;
    case "blob": return 1.6 * bead.widthMm;
    case "drift": return 60;
    case "hang": return 4;
  }
}
