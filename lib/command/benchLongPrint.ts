/** Memory of the server over an hour of print that is sent in minutes. */
import { readFileSync } from "node:fs";
import type { ProfileMessage, ProgressMessage } from "../model/messages.ts";
import { ARROW_TYPE } from "../sensing/wireProfiles.ts";
import { simulate } from "../rehearsal/simulate.ts";
import type { BenchRow } from "./bench.ts";
import { bodyOf, makeRun, post, postJson, type Wire } from "./benchCalls.ts";
import type { Io } from "./io.ts";

const POINTS = 640, DX_MM = 0.01, SPEED_MM_S = 8, PROFILES_S = 50, BODY_PROFILES = 200, LENGTH_MM = 480, PITCH_MM = 3, HOUR_S = 3600;

function rssMb(pid: number): number {
  return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, "utf8"))?.[1] ?? Number.NaN) / 1024;
}

/** Heights over a stadium of 1.0 × 0.5 mm on a plane, from 60 mm above its top. */
function heights(): Float32Array {
  return Float32Array.from({ length: POINTS }, (_, i) => {
    const x = Math.abs((i - (POINTS - 1) / 2) * DX_MM), flank = x - 0.25;
    const top = x <= 0.25 ? 0.5 : x < 0.5 ? 0.25 + Math.sqrt(0.0625 - flank * flank) : 0;
    return top - 60.5 + 0.004 * Math.sin(12.9898 * i);
  });
}

/** Straight strands side by side, laid to and fro, an hour of laying in all. */
function planCsv(strands: number): string {
  const row = (strand: number, x: number): string => `1,${strand},${x},${PITCH_MM * strand},0.5,0,0,1,1,0.5,${SPEED_MM_S},`;
  const ends = (strand: number): readonly [number, number] => (strand % 2 === 1 ? [0, LENGTH_MM] : [LENGTH_MM, 0]);
  const rows = Array.from({ length: strands }, (_, i) => ends(i + 1).map((x) => row(i + 1, x)).join("\n"));
  return `layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s\n${rows.join("\n")}\n`;
}

/** 50 profiles a second of 640 points, sent at 20 times their pace. */
export async function memoryRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  const strands = Math.ceil((HOUR_S * SPEED_MM_S) / LENGTH_MM), { jobJson } = simulate({ strands: 1, lengthMm: 2, points: POINTS, dxMm: DX_MM, stationSpacingMm: 1 });
  const runId = await makeRun(wire, { jobJson, planCsv: planCsv(strands) }), zMm = heights(), began = io.nowMs(), half = Math.SQRT1_2;
  let firstMb = Number.NaN, seq = 0;
  for (let strand = 1; strand <= strands; strand++) {
    const startS = ((strand - 1) * LENGTH_MM) / SPEED_MM_S, strandProfiles = (PROFILES_S * LENGTH_MM) / SPEED_MM_S;
    for (let from = 0; from < strandProfiles; from += BODY_PROFILES) {
      const profiles = Array.from({ length: Math.min(BODY_PROFILES, strandProfiles - from) }, (_, k): ProfileMessage => {
        const sMm = ((from + k) * SPEED_MM_S) / PROFILES_S, x = strand % 2 === 1 ? sMm : LENGTH_MM - sMm;
        return { kind: "profile", device: "profiler-1", frame: "plan", seq: seq++, tS: startS + sMm / SPEED_MM_S, pose: [x, PITCH_MM * strand, 60.5, 0, 0, half, half], zMm, xMm: null, layer: null };
      });
      await postJson(wire, `/runs/${runId}/progress`, progressOf(strand, startS, from / PROFILES_S, profiles.length / PROFILES_S));
      await post(wire, `/runs/${runId}/profiles`, ARROW_TYPE, bodyOf(profiles, POINTS));
      const share = seq / (strands * strandProfiles), aheadMs = (share * HOUR_S * 1000) / 20 - (io.nowMs() - began);
      if (aheadMs > 0) await new Promise((done) => { setTimeout(done, aheadMs); });
      if (Number.isNaN(firstMb) && share > 0.1) firstMb = rssMb(wire.pid);
    }
  }
  return [
    { what: `memory of the server after a tenth of ${seq} profiles in ${((io.nowMs() - began) / 1000).toFixed(0)} s`, value: `${firstMb.toFixed(0)} MB`, aim: "" },
    { what: "memory at the end over that", value: (rssMb(wire.pid) / firstMb).toFixed(2), aim: "flat" },
  ];
}

/** Rows at 25 Hz; the nozzle is 2 mm ahead of the profiler, so that what is seen is laid. */
function progressOf(strand: number, startS: number, fromS: number, lengthS: number): Omit<ProgressMessage, "kind">[] {
  const rows = Array.from({ length: Math.round(25 * lengthS) }, (_, k): Omit<ProgressMessage, "kind"> => {
    const s = fromS + k / 25;
    return { tS: startS + s, layer: 1, strand, sMm: Math.min(LENGTH_MM, s * SPEED_MM_S + 2), event: "update" };
  });
  return fromS === 0 ? [{ tS: startS, layer: 1, strand, sMm: 0, event: "start" }, ...rows] : rows;
}
