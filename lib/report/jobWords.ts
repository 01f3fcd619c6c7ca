/** The job as it was used, in facts: what was asked, laid with, and looked with. */
import type { Acceptance, Device, Job, Policy } from "../model/job.ts";
import type { Fact } from "../model/sheet.ts";
import { counted, percentAsked } from "./words.ts";

/** A length as somebody wrote it: no digits added. */
const asWritten = (value: number): string => String(Number(value.toPrecision(6)));

function nozzleWords({ innerDiameterMm, outerDiameterMm, coneAngleDeg, lengthMm }: Job["nozzle"]): string {
  return `${asWritten(innerDiameterMm)} mm inside, ${asWritten(outerDiameterMm)} mm outside, cone ${asWritten(coneAngleDeg)}°${lengthMm === null ? "" : `, ${asWritten(lengthMm)} mm long`}`;
}

const DEVICE_WORDS: { readonly [K in Device["kind"]]: (device: Extract<Device, { kind: K }>) => string } = {
  profiler: (device) => `profiler, ${device.points} points ${asWritten(device.dxMm)} mm apart, noise ${asWritten(device.sigmaZMm)} mm${device.surfaceBiasMm === null ? "" : `, surface bias ${asWritten(device.surfaceBiasMm.value)} ± ${asWritten(device.surfaceBiasMm.u)} mm taken out`}`,
  camera: (device) => `camera, ${device.widthPx} × ${device.heightPx} px`,
  tracker: (device) => `tracker${device.sigmaMm === null ? "" : `, noise ${asWritten(device.sigmaMm)} mm`}`,
  arm: () => "arm",
};

function deviceWords(device: Device): string {
  switch (device.kind) {
    case "profiler": return DEVICE_WORDS.profiler(device);
    case "camera": return DEVICE_WORDS.camera(device);
    case "tracker": return DEVICE_WORDS.tracker(device);
    case "arm": return DEVICE_WORDS.arm(device);
  }
}

function materialWords({ name, lot, beadShape, translucent }: Job["material"]): string {
  return [name, lot === null ? null : `lot ${lot}`, `laid as a ${beadShape}`, translucent ? "translucent" : null].filter((part) => part !== null).join(", ");
}

function acceptanceWords({ minMeasuredFraction, minInBandFraction, maxActFindings }: Acceptance): string {
  return `at least ${percentAsked(minMeasuredFraction)} measured and ${percentAsked(minInBandFraction)} in band, at most ${counted(maxActFindings, "act finding")}`;
}

function policyWords({ onFinding, layerGate }: Policy): string {
  const pauses = Object.entries(onFinding).filter(([, act]) => act === "pause").map(([kind]) => kind);
  return `pauses for ${pauses.length === 0 ? "nothing" : pauses.join(", ")}; next layer ${layerGate.openAct === "hold" ? "waits for" : "is advised against over"} open act findings`;
}

/** Facts in the order in which a person asks for them; what the job leaves open is left out. */
export function jobWords(job: Job): Fact[] {
  const { material, tolerance } = job;
  const facts: (Fact | null)[] = [
    { name: "job", value: job.specimen === null ? job.name : `${job.name}, ${job.specimen}` },
    { name: "plan", value: `${job.plan.file}, a station every ${asWritten(job.stationSpacingMm)} mm` },
    { name: "material", value: materialWords(material) },
    material.syringeVolumeMm3 === null ? null : { name: "syringe", value: `${asWritten(material.syringeVolumeMm3)} mm³` },
    material.workingTimeS === null ? null : { name: "working time", value: `${asWritten(material.workingTimeS)} s from ${material.clockStarts ?? "an unnamed start"}` },
    { name: "nozzle", value: nozzleWords(job.nozzle) },
    ...job.devices.map((device) => ({ name: device.id, value: deviceWords(device) })),
    { name: "accepted with", value: acceptanceWords(job.acceptance) },
    { name: "called good", value: goodWords(tolerance.decisionRule) },
    tolerance.judgeWithinS === null ? null : { name: "judged within", value: `${asWritten(tolerance.judgeWithinS)} s of laying` },
    { name: "policy", value: policyWords(job.policy) },
  ];
  return facts.filter((fact) => fact !== null);
}

/** "guarded-1.645" → inside the limits by 1.645 standard uncertainties. */
function goodWords(rule: string): string {
  return `inside its limits by ${rule.slice("guarded-".length)} standard uncertainties`;
}
