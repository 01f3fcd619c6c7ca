/** A finding in words: what and where, and what to do about it. */
import type { Finding, FindingKind } from "../model/result.ts";

/** One decimal: a tenth of a millimetre is as well as a person finds a place. */
export function mm(value: number): string {
  return value.toFixed(1);
}

/** What to do, as a calm colleague would put it. */
export const ADVICE: Readonly<Record<FindingKind, string>> = {
  gap: "Fill it, or take the strand off and lay it again, before a layer covers it.",
  underExtrusion: "Look for air or a clog in the nozzle, and judge whether the strand may stay.",
  overExtrusion: "Look at flow and speed there, and judge whether the next strand still has room.",
  liftedStrand: "See whether it still holds to what is beneath; press or lay it again before a layer covers it.",
  displacedStrand: "Check the registration and the paste's hold, and judge whether the strand may stay.",
  unmeasured: "Look there yourself, or scan it again: nobody knows what was laid.",
  detachedStrand: "Take the loose piece off and lay the strand again.",
  strayMaterial: "Take it off if it can reach the next strands.",
  closedPore: "See whether the pore has to be open.",
  nozzleHang: "Pause and wipe the nozzle before the drop is dragged over what is laid.",
  sensorsDisagree: "Look there yourself: one of the two is wrong, and nobody knows which.",
  cameraPose: "See whether the camera, its holder or the target was moved, and calibrate the camera again.",
};

const IN_PLACE: Readonly<Record<FindingKind, (lengthMm: number) => string>> = {
  gap: (lengthMm) => `has a gap of ${mm(lengthMm)} mm`,
  underExtrusion: (lengthMm) => `has too little material over ${mm(lengthMm)} mm`,
  overExtrusion: (lengthMm) => `has too much material over ${mm(lengthMm)} mm`,
  liftedStrand: (lengthMm) => `is lifted over ${mm(lengthMm)} mm`,
  displacedStrand: (lengthMm) => `lies beside its path over ${mm(lengthMm)} mm`,
  unmeasured: (lengthMm) => `was not seen over ${mm(lengthMm)} mm`,
  detachedStrand: (lengthMm) => `a piece of ${mm(lengthMm)} mm has come off its strand`,
  strayMaterial: (lengthMm) => `material of ${mm(lengthMm)} mm lies off the path`,
  closedPore: () => "has a closed pore beside it",
  nozzleHang: () => "paste hangs at the nozzle",
  sensorsDisagree: (lengthMm) => `is one thing to the camera and another to the profiler over ${mm(lengthMm)} mm`,
  cameraPose: () => "a camera is not where it says",
};

/** A clause that stands after "The worst: ": "strand 5 of layer 2 has a gap of 2.6 mm at 6.0 mm". Places to 0.1 mm. */
export function findingClause(finding: Finding): string {
  const says = IN_PLACE[finding.kind]("lengthMm" in finding ? finding.lengthMm : 0);
  if ("fromMm" in finding) return `strand ${finding.strand} of layer ${finding.layer} ${says} at ${mm(finding.fromMm)} mm`;
  if ("strand" in finding) return `strand ${finding.strand} of layer ${finding.layer} ${says}`;
  return `on layer ${finding.layer} ${says}`;
}

/** Footprint on the target, mm²: of a body or a pore; null for what has none. */
export function footprintMm2(finding: Finding): number | null {
  return "areaMm2" in finding && finding.kind !== "nozzleHang" ? finding.areaMm2 : null;
}

/** Where a finding lies, for lists. Off the path: by the nearest station, `sMm` along `strand`. */
export function placeWords(finding: Finding, strand: number, sMm: number): { readonly whereWords: string; readonly rangeWords: string } {
  if ("fromMm" in finding) return { whereWords: `strand ${finding.strand}`, rangeWords: `${mm(finding.fromMm)}–${mm(finding.toMm)} mm` };
  switch (finding.kind) {
    case "nozzleHang": return { whereWords: "nozzle", rangeWords: `over strand ${strand}, ${mm(sMm)} mm` };
    case "cameraPose": return { whereWords: finding.device, rangeWords: `looking at strand ${strand}, ${mm(sMm)} mm` };
    default: return { whereWords: `by strand ${strand}`, rangeWords: `${mm(sMm)} mm` };
  }
}
