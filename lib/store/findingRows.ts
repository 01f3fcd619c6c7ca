/** Between findings and their rows. null stays null both ways; nothing is rounded. */
import { BODY_KINDS, STRETCH_KINDS, VERDICTS, type BodyFinding, type Finding, type FindingKind, type Metric, type PoreFinding, type Severity, type StretchFinding } from "../model/result.ts";
import type { FindingModel } from "./generated/models.ts";
import { oneOf } from "./oneOf.ts";

export type FindingRow = FindingModel;

export function findingToRow(resultId: string, findingIndex: number, finding: Finding): FindingRow {
  const [xMm, yMm, zMm] = finding.position;
  const worst = "worst" in finding ? finding.worst : null;
  return {
    resultId, findingIndex, kind: finding.kind, severity: finding.severity, proven: finding.proven, layer: finding.layer, xMm, yMm, zMm,
    strand: "strand" in finding ? finding.strand : null,
    fromMm: "fromMm" in finding ? finding.fromMm : null, toMm: "toMm" in finding ? finding.toMm : null,
    lengthMm: "lengthMm" in finding ? finding.lengthMm : null,
    areaMm2: "areaMm2" in finding ? finding.areaMm2 : null, volumeMm3: "volumeMm3" in finding ? finding.volumeMm3 : null,
    worstMetric: worst?.metric ?? null, worstValue: worst?.value ?? null, worstLimit: worst?.limit ?? null,
    frameFile: "file" in finding ? finding.file ?? null : null, deviceId: "device" in finding ? finding.device : null,
    cameraState: "camera" in finding ? finding.camera : null, cameraVerdict: "verdict" in finding ? finding.verdict : null,
  };
}

function isIn<T extends FindingKind>(kinds: readonly T[], kind: string): kind is T {
  return kinds.some((known) => known === kind);
}

type Common = Pick<PoreFinding, "severity" | "proven" | "layer" | "position">;
type StretchWorst = StretchFinding["worst"];

export function findingFromRow(row: FindingRow): Finding {
  const severity = oneOf<Severity>(["act", "watch"], row.severity, "Finding.severity");
  const common: Common = { severity, proven: row.proven, layer: row.layer, position: [row.xMm, row.yMm, row.zMm] };
  const file = row.frameFile === null ? {} : { file: row.frameFile };
  if (isIn(STRETCH_KINDS, row.kind)) {
    const worst: StretchWorst = { metric: row.worstMetric as Metric | "coverage" | "pasteFraction", value: row.worstValue, limit: row.worstLimit as number };
    return { kind: row.kind, ...common, ...alongOf(row), worst, ...file } satisfies StretchFinding;
  }
  if (isIn(BODY_KINDS, row.kind)) {
    return { kind: row.kind, ...common, areaMm2: row.areaMm2 as number, volumeMm3: row.volumeMm3, lengthMm: row.lengthMm as number, worst: worstOf(row, "areaMm2"), ...file } satisfies BodyFinding;
  }
  if (row.kind === "closedPore") return { kind: row.kind, ...common, strand: row.strand as number, areaMm2: row.areaMm2 as number };
  return cameraFinding(row, common, row.frameFile as string);
}

const alongOf = (row: FindingRow): Pick<StretchFinding, "strand" | "fromMm" | "toMm" | "lengthMm"> => ({ strand: row.strand as number, fromMm: row.fromMm as number, toMm: row.toMm as number, lengthMm: row.lengthMm as number });

function worstOf<M extends string>(row: FindingRow, metric: M): { readonly metric: M; readonly value: number; readonly limit: number } {
  return { metric, value: row.worstValue as number, limit: row.worstLimit as number };
}

/** What only frames raise. */
function cameraFinding(row: FindingRow, common: Common, file: string): Finding {
  const kind = oneOf(["nozzleHang", "sensorsDisagree", "cameraPose"] as const, row.kind, "Finding.kind");
  switch (kind) {
    case "nozzleHang": return { kind, ...common, areaMm2: row.areaMm2 as number, worst: worstOf(row, "areaMm2"), file };
    case "cameraPose": return { kind, ...common, device: row.deviceId as string, worst: worstOf(row, "poseErrorMm"), file };
    case "sensorsDisagree": return {
      kind, ...common, ...alongOf(row), worst: worstOf(row, "pasteFraction"), file,
      camera: oneOf(["present", "absent"] as const, row.cameraState as string, "Finding.cameraState"), verdict: oneOf(VERDICTS, row.cameraVerdict as string, "Finding.cameraVerdict"),
    };
  }
}
