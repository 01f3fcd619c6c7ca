/** A hand-made result for tests of what is kept and shown: smooth wiggles, faults where the caller wants them. No measuring behind it. */
import type { Finding, InspectResult, StationLimits, StationResult, StretchFinding, Verdict } from "../../lib/model/result.ts";

export interface MadeFault {
  readonly layer: number;
  readonly strand: number;
  readonly fromMm: number;
  readonly toMm: number;
  readonly kind: StretchFinding["kind"];
}

export interface MadeSettings {
  readonly layers: number;
  readonly strands: number;
  readonly lengthMm: number;
  readonly spacingMm: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly faults: readonly MadeFault[];
  /** Flanks hidden by neighbours: no width, no offset. */
  readonly fused?: boolean;
  /** Laid only up to here in the last layer: strands after it are pending. */
  readonly laidStrands?: number;
}

const VERDICT_OF: Readonly<Record<StretchFinding["kind"], Verdict>> = {
  gap: "gap", underExtrusion: "under", overExtrusion: "over", liftedStrand: "lifted", displacedStrand: "displaced", unmeasured: "unmeasured",
};
/** width, height, area factors and offset of each fault. */
const EFFECT: Readonly<Record<StretchFinding["kind"], readonly [number, number, number, number]>> = {
  gap: [0, 0, 0.02, 0], underExtrusion: [0.76, 0.92, 0.7, 0], overExtrusion: [1.28, 1.1, 1.42, 0], liftedStrand: [1.02, 1.62, 1.5, 0], displacedStrand: [1, 0.99, 0.98, 0.42], unmeasured: [1, 1, 1, 0],
};

export function madeLimits(widthMm: number, heightMm: number): StationLimits {
  return {
    areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] }, widthMm: { watch: [-0.1 * widthMm, 0.1 * widthMm], act: [-0.2 * widthMm, 0.2 * widthMm] },
    heightMm: { watch: [-0.12 * heightMm, 0.12 * heightMm], act: [-0.24 * heightMm, 0.24 * heightMm] },
    offsetMm: { watch: 0.15 * widthMm, act: 0.3 * widthMm }, gapRatio: 0.25, liftMm: 0.3 * heightMm, strayAreaMm2: 0.5 * widthMm ** 2,
  };
}

/** Not random: a sum of sines that differs from strand to strand and from quantity to quantity. */
function wiggle(strand: number, sMm: number, quantity: number): number {
  return (Math.sin(sMm * 1.31 + strand * 2.17 + quantity * 0.7) + Math.sin(sMm * 0.43 + strand * 0.61 + quantity * 1.9) + 0.5 * Math.sin(sMm * 4.7 + strand + quantity)) / 2.5;
}

function madeStation(settings: MadeSettings, layer: number, strand: number, sMm: number): StationResult {
  const { widthMm, heightMm, faults, fused = false, laidStrands = settings.strands } = settings;
  const areaMm2 = widthMm * heightMm - 0.1073 * heightMm ** 2;
  const laid = layer < settings.layers || strand <= laidStrands;
  const fault = faults.find((each) => each.layer === layer && each.strand === strand && sMm >= each.fromMm && sMm <= each.toMm);
  const [byWidth, byHeight, byArea, offsetMm] = EFFECT[fault?.kind ?? "unmeasured"];
  const base = {
    layer, strand, sMm, attempt: 1, position: [sMm, strand * 1.4, layer * heightMm] as const, laid, camera: null, sagMm: null, limits: madeLimits(widthMm, heightMm),
    planned: { widthMm, heightMm, areaMm2 },
  };
  if (!laid) return { ...base, measured: null, u: null, areaRatio: null, verdict: "pending", proven: false };
  if (fault?.kind === "unmeasured") return { ...base, measured: null, u: null, areaRatio: null, verdict: "unmeasured", proven: false };
  const areaRatio = byArea * (1 + 0.03 * wiggle(strand, sMm, 1));
  const flank = fault?.kind !== "gap" && !fused;
  const wide = byWidth * widthMm * (1 + 0.025 * wiggle(strand, sMm, 2));
  return {
    ...base, areaRatio, verdict: fault === undefined ? "inBand" : VERDICT_OF[fault.kind], proven: true,
    measured: {
      widthMm: flank ? wide : null, heightMm: byHeight * heightMm * (1 + 0.02 * wiggle(strand, sMm, 3)), areaMm2: areaRatio * areaMm2,
      offsetMm: flank ? offsetMm + 0.03 * wiggle(strand, sMm, 4) : null, coverage: 0.97, support: layer === 1 ? "measured" : "spanned", ageS: 0.6,
    },
    u: { widthMm: flank ? 0.018 : null, heightMm: 0.006, areaMm2: 0.009, offsetMm: flank ? 0.011 : null, placementMm: null },
  };
}

const WORST: Readonly<Record<StretchFinding["kind"], StretchFinding["worst"]>> = {
  gap: { metric: "areaRatio", value: 0.02, limit: 0.25 }, underExtrusion: { metric: "areaRatio", value: 0.69, limit: 0.8 },
  overExtrusion: { metric: "areaRatio", value: 1.43, limit: 1.25 }, liftedStrand: { metric: "heightMm", value: 0.31, limit: 0.15 },
  displacedStrand: { metric: "offsetMm", value: 0.43, limit: 0.3 }, unmeasured: { metric: "coverage", value: null, limit: 0.6 },
};

function madeFinding(settings: MadeSettings, fault: MadeFault): Finding {
  return {
    kind: fault.kind, severity: fault.kind === "unmeasured" ? "watch" : "act", proven: fault.kind !== "unmeasured", layer: fault.layer, strand: fault.strand,
    fromMm: fault.fromMm, toMm: fault.toMm, lengthMm: fault.toMm - fault.fromMm, worst: WORST[fault.kind],
    position: [(fault.fromMm + fault.toMm) / 2, fault.strand * 1.4, fault.layer * settings.heightMm],
  };
}

export function madeResult(settings: MadeSettings): InspectResult {
  const stations: StationResult[] = [];
  const count = Math.floor(settings.lengthMm / settings.spacingMm + 1e-9) + 1;
  for (let layer = 1; layer <= settings.layers; layer++) {
    for (let strand = 1; strand <= settings.strands; strand++) {
      for (let i = 0; i < count; i++) stations.push(madeStation(settings, layer, strand, i * settings.spacingMm));
    }
  }
  const laid = stations.filter((station) => station.laid);
  const measured = laid.filter((station) => station.measured !== null);
  const sum = (values: readonly number[]): number => values.reduce((total, value) => total + value, 0) * settings.spacingMm;
  return {
    contract: "aslaid/1", warnings: [], tolerance: { gapRatio: 0.25 }, stations, findings: settings.faults.map((fault) => madeFinding(settings, fault)), events: [], frames: [], motion: null, earlierAttempts: [],
    summary: {
      stations: stations.length, laid: laid.length, measured: measured.length,
      inBandLengthFraction: laid.length === 0 ? null : laid.filter((station) => station.verdict === "inBand").length / laid.length,
      plannedVolumeMm3: sum(measured.map((station) => station.planned.areaMm2)), measuredVolumeMm3: sum(measured.map((station) => station.measured?.areaMm2 ?? 0)),
    },
  };
}
