/** Which finding is worse: the order in which people are shown them. */
import type { Finding, FindingKind } from "../model/result.ts";

/** Missing or lost material first, then misplaced, then amount, then what is in doubt and what was not seen (an order of our own: no source). */
const RANK: Readonly<Record<FindingKind, number>> = {
  detachedStrand: 0, gap: 1, displacedStrand: 2, liftedStrand: 3, strayMaterial: 4, nozzleHang: 5, underExtrusion: 6, overExtrusion: 7, sensorsDisagree: 8, closedPore: 9, unmeasured: 10, cameraPose: 11,
};

/** How large it is: length of a stretch or a body in mm, 0 for a pore. */
function sizeMm(finding: Finding): number {
  return "lengthMm" in finding ? finding.lengthMm : 0;
}

/** Act before watch, then by kind, proven before not, longer before shorter; equal ones keep their order. Returns indices into `findings`. */
export function rankFindings(findings: readonly Finding[]): number[] {
  return findings.map((finding, index) => ({ finding, index })).sort((a, b) =>
    Number(a.finding.severity === "watch") - Number(b.finding.severity === "watch")
    || RANK[a.finding.kind] - RANK[b.finding.kind]
    || Number(b.finding.proven) - Number(a.finding.proven)
    || sizeMm(b.finding) - sizeMm(a.finding)
    || a.index - b.index,
  ).map(({ index }) => index);
}
