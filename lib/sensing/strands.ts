import type { Plan, PlanStrand } from "../model/plan.ts";
import { numberField, refuse, wholeField, type Fields } from "./fields.ts";

/** How far an arc length may lie outside its strand, mm: rounding of the sender, no more. */
export const BEYOND_MM = 1;

/** Looks strands up by layer and number. */
export class StrandIndex {
  private readonly byNumber = new Map<number, Map<number, PlanStrand>>();

  constructor(plan: Plan) {
    for (const strand of plan.strands) {
      const layer = this.byNumber.get(strand.layer) ?? new Map<number, PlanStrand>();
      this.byNumber.set(strand.layer, layer.set(strand.strand, strand));
    }
  }

  /** The strand that `layer` and `strand` of a row name; sensing.unknownStrand where the plan has none. */
  of(fields: Fields): PlanStrand {
    const layer = wholeField(fields, "layer", 1);
    const strand = wholeField(fields, "strand", 1);
    const strands = this.byNumber.get(layer);
    if (strands === undefined) return refuse(fields, "layer", "sensing.unknownStrand", "a layer of the plan");
    return strands.get(strand) ?? refuse(fields, "strand", "sensing.unknownStrand", `a strand of layer ${layer} of the plan`);
  }
}

/** An arc length on `strand`, mm; sensing.beyondStrand where it lies more than 1 mm outside. */
export function arcField(fields: Fields, key: string, strand: PlanStrand): number {
  const sMm = numberField(fields, key);
  const isOn = sMm >= -BEYOND_MM && sMm <= strand.lengthMm + BEYOND_MM;
  return isOn ? sMm : refuse(fields, key, "sensing.beyondStrand", `an arc length from 0 to ${Number(strand.lengthMm.toFixed(3))} mm (layer ${strand.layer}, strand ${strand.strand})`);
}
