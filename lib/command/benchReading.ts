import { spawn } from "node:child_process";
import { closeSync, mkdtempSync, openSync, readFileSync, rmSync, statSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { ProfileMessage } from "../model/messages.ts";
import { openArrowStream } from "../rehearsal/arrow.ts";
import { simulate } from "../rehearsal/simulate.ts";
import { writeRunFolder } from "../rehearsal/write.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import type { BenchRow } from "./bench.ts";
import type { Io } from "./io.ts";

const MB = 1e6;
type Format = "arrow" | "ndjson";

/** Reading speed of a recording, and the peak resident memory of inspecting a large one in a process of its own. Temporary files go when it ends. */
export async function readingRows(io: Io, options: { quick: boolean; big: boolean }): Promise<BenchRow[]> {
  const place = mkdtempSync(join(tmpdir(), "aslaid-bench-"));
  const clear = (): void => rmSync(place, { recursive: true, force: true });
  process.once("SIGINT", clear);
  try {
    const rows: BenchRow[] = [];
    for (const format of ["ndjson", "arrow"] as const) {
      io.err(`reading ${format}`);
      const folder = join(place, format);
      const bytes = growRun(folder, format, (options.quick ? 20 : 200) * MB);
      const began = io.nowMs();
      for await (const batch of (await openRunFolder(folder)).messages()) if (batch.length === 0) break;
      rows.push({ what: `reading ${format}`, value: `${(bytes / MB / ((io.nowMs() - began) / 1000)).toFixed(0)} MB/s`, aim: "" });
      rmSync(folder, { recursive: true });
      if (!options.big) continue;
      io.err(`inspecting 2 GB of ${format}`);
      growRun(folder, format, 2000 * MB);
      rows.push({ what: `peak resident memory, inspecting 2 GB of ${format}`, value: `${(await peakResident(folder) / MB).toFixed(0)} MB`, aim: "< 700 MB" });
      rmSync(folder, { recursive: true });
    }
    return rows;
  } finally {
    clear();
    process.removeListener("SIGINT", clear);
  }
}

/** Writes a rehearsal whose last profile is then repeated until its stream holds `bytes`; gives the bytes written. */
function growRun(folder: string, format: Format, bytes: number): number {
  const rehearsal = simulate({ seed: 3, strands: 2, lengthMm: 6, points: 2000, dxMm: 0.012, supportScan: false });
  writeRunFolder(rehearsal, folder, format);
  const file = join(folder, format === "arrow" ? "profiles.arrow" : "profiles.ndjson");
  const points = 2000;
  const out = openSync(file, "w");
  const stream = openArrowStream("profiler-1", "plan", points, false);
  const put = (piece: Uint8Array | string | null): void => { if (piece !== null) writeSync(out, piece as string); };
  if (format === "ndjson") put(`${JSON.stringify({ device: "profiler-1", frame: "plan" })}\n`);
  let written = 0, seq = 0, last: ProfileMessage | null = null;
  const add = (profile: ProfileMessage): void => {
    if (format === "arrow") put(stream.add(profile));
    else put(lineOf(profile));
    written += format === "arrow" ? 4 * points + 68 : 7.9 * points;
  };
  for (const profile of rehearsal.profiles()) {
    last = { ...profile, zMm: profile.zMm.slice() };
    add({ ...last, seq: seq++ });
  }
  while (last !== null && written < bytes) add({ ...last, seq: seq++, tS: last.tS + seq * 1e-4 });
  if (format === "arrow") put(stream.end());
  closeSync(out);
  return statSync(file).size;
}

function lineOf(p: ProfileMessage): string {
  return `{"seq":${p.seq},"tS":${p.tS},"pose":[${p.pose.join(",")}],"zMm":[${Array.from(p.zMm, (z) => (Number.isNaN(z) ? "null" : z.toFixed(3))).join(",")}]}\n`;
}

/** Highest resident size of `inspect` on the folder, bytes, as the kernel counts it. */
function peakResident(folder: string): Promise<number> {
  return new Promise((done, fail) => {
    const child = spawn(process.execPath, [process.argv[1] as string, "inspect", folder, "--out", join(folder, "result.json")], { stdio: "ignore" });
    let peak = 0;
    const look = setInterval(() => {
      try {
        const kB = /VmHWM:\s+(\d+)/.exec(readFileSync(`/proc/${child.pid}/status`, "utf8"))?.[1];
        if (kB !== undefined) peak = Math.max(peak, 1024 * Number(kB));
      } catch { /* it has just ended */ }
    }, 100);
    child.once("error", fail);
    child.once("exit", (code) => {
      clearInterval(look);
      if (code === 0) done(peak);
      else fail(new Error(`inspect ended with ${code}`));
    });
  });
}
