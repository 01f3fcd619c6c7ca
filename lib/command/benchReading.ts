import { spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { text } from "node:stream/consumers";
import type { ProfileMessage } from "../model/messages.ts";
import type { InspectResult } from "../model/result.ts";
import { simulate, type Rehearsal } from "../rehearsal/simulate.ts";
import { writeRunFolder, type ProfileFormat } from "../rehearsal/write.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import type { BenchRow } from "./bench.ts";
import type { Io } from "./io.ts";

const MB = 1e6;
const POINTS = 2000;
/** Bytes of a profile: Arrow's are 7 float64 of pose, time and number beside the heights; a line of NDJSON has some 9.9 for a height such as "-59.98765,". */
const PROFILE_BYTES: Readonly<Record<ProfileFormat, number>> = { arrow: 4 * POINTS + 68, ndjson: 9.9 * POINTS };
/** Profiles of the Arrow stream's batches, in turn: the largest are 63.7 MB, just under what a batch may hold. */
const BATCH_PROFILES = [256, 7900, 1, 3000];
/** Share of a large recording's profiles that see strands; the others see the target before anything is laid on it, which costs little. */
const LAID_SHARE = 0.1;

/** Reading speed of a recording, and the peak resident memory of inspecting a large one in a process of its own. Temporary files go when it ends. */
export async function readingRows(io: Io, options: { quick: boolean; big: boolean }): Promise<BenchRow[]> {
  const place = mkdtempSync(join(tmpdir(), "aslaid-bench-"));
  const clear = (): void => rmSync(place, { recursive: true, force: true });
  const stop = (): never => {
    clear();
    process.exit(130);
  };
  process.once("SIGINT", stop).once("SIGTERM", stop);
  try {
    const rows: BenchRow[] = [];
    for (const format of ["ndjson", "arrow"] as const) {
      io.err(`reading ${format}`);
      rows.push(await speedRow(io, join(place, format), format, (options.quick ? 20 : 200) * MB));
      if (!options.big) continue;
      io.err(`inspecting 2 GB of ${format}`);
      rows.push(...await memoryRows(join(place, `big-${format}`), format));
    }
    return rows;
  } finally {
    clear();
    process.removeListener("SIGINT", stop).removeListener("SIGTERM", stop);
  }
}

async function speedRow(io: Io, folder: string, format: ProfileFormat, bytes: number): Promise<BenchRow> {
  const written = writeLongRun(folder, format, bytes);
  const began = io.nowMs();
  let count = 0;
  for await (const batch of (await openRunFolder(folder)).messages()) count += batch.length;
  const perSecond = written / MB / ((io.nowMs() - began) / 1000);
  rmSync(folder, { recursive: true });
  return { what: `reading ${format}, ${count} messages`, value: `${perSecond.toFixed(0)} MB/s`, aim: "" };
}

/** Inspects 2 GB; the second row shows that it was measured, too. */
async function memoryRows(folder: string, format: ProfileFormat): Promise<BenchRow[]> {
  const written = writeLongRun(folder, format, 2000 * MB);
  const resultFile = join(folder, "result.json");
  const peak = await peakResident(folder, resultFile);
  const { summary } = JSON.parse(readFileSync(resultFile, "utf8")) as InspectResult;
  rmSync(folder, { recursive: true });
  const what = `${(written / 1e9).toFixed(2)} GB of ${format}${format === "arrow" ? ", batches of up to 64 MB" : ""}`;
  return [
    { what: `inspecting ${what}: most resident memory`, value: `${(peak / MB).toFixed(0)} MB`, aim: "< 700 MB" },
    { what: "stations measured there", value: `${summary.measured} of ${summary.stations}`, aim: "all" },
  ];
}

/** Writes a run folder whose profiles take some `bytes`; gives the bytes that they take. */
function writeLongRun(folder: string, format: ProfileFormat, bytes: number): number {
  writeRunFolder(longRehearsal(Math.ceil(bytes / PROFILE_BYTES[format])), folder, format, { batchProfiles: BATCH_PROFILES });
  return statSync(join(folder, `profiles.${format}`)).size;
}

/** A rehearsal of at least `profileCount` profiles: its scan of the bare target over and over, then two strands laid and looked at over and over. */
function longRehearsal(profileCount: number): Rehearsal {
  const rehearsal = simulate({ seed: 3, strands: 2, lengthMm: 6, points: POINTS, dxMm: 0.012 });
  const startS = rehearsal.progress[0]?.tS ?? 0;
  const bare: ProfileMessage[] = [], laid: ProfileMessage[] = [];
  for (const profile of rehearsal.profiles()) (profile.tS < startS ? bare : laid).push({ ...profile, zMm: profile.zMm.slice() }); // the arrays are reused
  const bareTurns = Math.ceil((1 - LAID_SHARE) * profileCount / bare.length), laidTurns = Math.ceil(LAID_SHARE * profileCount / laid.length);
  const waitS = (bareTurns - 1) * turnS(bare);
  return {
    ...rehearsal,
    progress: rehearsal.progress.map((row) => ({ ...row, tS: row.tS + waitS })),
    *profiles() {
      let seq = 0;
      for (const profile of repeated(bare, bareTurns)) yield { ...profile, seq: seq++ };
      for (const profile of repeated(laid, laidTurns)) yield { ...profile, seq: seq++, tS: profile.tS + waitS };
    },
  };
}

/** Seconds from one turn to the next: half a second between them. */
function turnS(profiles: readonly ProfileMessage[]): number {
  return (profiles.at(-1)?.tS ?? 0) - (profiles[0]?.tS ?? 0) + 0.5;
}

function* repeated(profiles: readonly ProfileMessage[], turns: number): Generator<ProfileMessage> {
  for (let turn = 0; turn < turns; turn++) for (const profile of profiles) yield { ...profile, tS: profile.tS + turn * turnS(profiles) };
}

/** Prints, as a process ends, the most memory that it had resident, as Linux counts it: "VmHWM: 123 kB" among its status. */
const TELL_PEAK = 'import { readFileSync, writeSync } from "node:fs"; process.on("exit", () => { writeSync(1, readFileSync("/proc/self/status")); });';

/** Most memory that `inspect` of the folder had resident, bytes. */
async function peakResident(folder: string, resultFile: string): Promise<number> {
  const args = ["--import", `data:text/javascript,${encodeURIComponent(TELL_PEAK)}`, process.argv[1] as string, "inspect", folder, "--out", resultFile];
  const child = spawn(process.execPath, args, { stdio: ["ignore", "pipe", "inherit"] });
  const end = (): void => { child.kill(); };
  process.once("exit", end); // where the bench is stopped
  const [status, [code]] = await Promise.all([text(child.stdout), once(child, "exit")]);
  process.removeListener("exit", end);
  const kB = /VmHWM:\s+(\d+) kB/.exec(status)?.[1];
  if (code !== 0 || kB === undefined) throw new Error(`inspect ended with ${code}`);
  return 1024 * Number(kB);
}
