/** A scan after setting from its profiles to what it says: measured, compared, and where it lies aside of the wet surface moved back and measured once more. */
import { scale } from "../kernel/vec.ts";
import { SHIFT_LEAST_MM, type ScanComparison, type ScanStrand } from "../model/scan.ts";
import { compareScan, type Comparing } from "./compareScan.ts";
import { measureScan, type ScanMeasuring } from "./measureScan.ts";

/** How surely a shift is known once it was taken out, mm: a thousandth was left in rehearsals. */
const SHIFT_U_MM = 0.001;

/** Reads run and scan twice where the scan has to be moved. Throws what they throw. */
export async function settledScan(measuring: ScanMeasuring, comparing: Omit<Comparing, "job">): Promise<ScanComparison> {
  const compare = async (more: Pick<ScanMeasuring, "moveMm"> = {}): Promise<ScanComparison> => compareScan(await measureScan({ ...measuring, ...more }), { ...comparing, job: measuring.job });
  const first = await compare(), { shift } = first;
  if (shift === null || shift.sizeMm < SHIFT_LEAST_MM) return first;
  const second = await compare({ moveMm: scale(shift.vectorMm, -1) }), leftMm = second.shift?.sizeMm ?? 0, share = Math.max(SHIFT_U_MM, leftMm) / shift.sizeMm;
  return { ...second, shift, shiftLeftMm: leftMm, areaRatio: withShift(second.areaRatio, first.areaRatio, share), strands: second.strands.map((strand, i) => ({ ...strand, areaRatio: withShift(strand.areaRatio, first.strands[i]?.areaRatio ?? null, share) })) };
}

/** The ratio with what is left of the shift among its uncertainties: its effect is known from before and after. */
function withShift(ratio: ScanStrand["areaRatio"], before: ScanStrand["areaRatio"], share: number): ScanStrand["areaRatio"] {
  return ratio === null || before === null ? ratio : { ...ratio, u: Math.round(1e6 * Math.hypot(ratio.u, share * (ratio.value - before.value))) / 1e6 };
}
