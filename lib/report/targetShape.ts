/** A plan's stations as the picture of the target takes them. */
import { FRAME_LENGTH } from "../kernel/path.ts";
import type { Job } from "../model/job.ts";
import type { StationPlan, StrandStations } from "../model/stations.ts";
import type { TargetShape, TargetStrand } from "../model/targetShape.ts";

/** Where position, tangent and normal begin in a packed frame (kernel/path.ts). */
const POSITION = 0, TANGENT = 3, NORMAL = 6;

/** Pure. The profiler's field is that of the first one, from its first sample to its last. */
export function targetShape(stations: StationPlan, { nozzle, devices }: Pick<Job, "nozzle" | "devices">): TargetShape {
  const profiler = devices.find((device) => device.kind === "profiler");
  return {
    beadShape: stations.beadShape, nozzle: { outerDiameterMm: nozzle.outerDiameterMm, coneAngleDeg: nozzle.coneAngleDeg, lengthMm: nozzle.lengthMm },
    fieldMm: profiler === undefined ? null : [profiler.x0Mm, profiler.x0Mm + (profiler.points - 1) * profiler.dxMm], strands: stations.strands.map(targetStrand),
  };
}

function targetStrand({ layer, strand, count, frames }: StrandStations): TargetStrand {
  const column = (from: number): Float32Array => {
    const out = new Float32Array(3 * count);
    for (let i = 0; i < count; i++) out.set(frames.subarray(FRAME_LENGTH * i + from, FRAME_LENGTH * i + from + 3), 3 * i);
    return out;
  };
  return { layer, strand, positionsMm: column(POSITION), tangents: column(TANGENT), normals: column(NORMAL) };
}
