/** `bench`: speed and memory as ratios in one run, with the machine they were taken on. */
import { cpus, totalmem } from "node:os";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { resolveJob } from "../model/jobSchema.ts";
import type { Message, ProfileMessage } from "../model/messages.ts";
import { readPlanCsv } from "../plan/readCsv.ts";
import { simulate } from "../rehearsal/simulate.ts";
import type { RehearsalSettings } from "../rehearsal/settings.ts";
import { RunEngine } from "../run/engine.ts";
import { frameRow } from "./benchCamera.ts";
import { findRows } from "./benchFind.ts";
import { pageRows } from "./benchPages.ts";
import { reportRows } from "./benchReport.ts";
import { readingRows } from "./benchReading.ts";
import { targetRows } from "./benchTarget.ts";
import { wireRows } from "./benchWire.ts";
import type { Io } from "./io.ts";

const HELP = `npm run --silent bench -- [--quick] [--no-big]

Measures the speed of measuring and reading, and the memory that inspecting a recording of 2 GB takes, and prints a table.
  --quick    few repetitions and small files; no pages, no wire, no recording of 2 GB
  --no-big   no recording of 2 GB: they need Linux and 2 GB of space for temporary files
`;

/** One line of the table. */
export interface BenchRow { readonly what: string; readonly value: string; readonly aim: string }

interface Recorded { readonly messages: readonly Message[]; makeEngine(): RunEngine; readonly profiles: readonly ProfileMessage[] }

function record(settings: Partial<RehearsalSettings>): Recorded {
  const rehearsal = simulate(settings);
  const { job } = resolveJob(rehearsal.jobJson, "job.json");
  const { plan } = readPlanCsv(rehearsal.planCsv, job, "plan.csv");
  const messages: Message[] = [];
  let at = 0;
  for (const profile of rehearsal.profiles()) {
    for (let row = rehearsal.progress[at]; row !== undefined && row.tS <= profile.tS; row = rehearsal.progress[++at]) messages.push(row);
    messages.push({ ...profile, zMm: profile.zMm.slice() }); // the arrays are reused
  }
  messages.push(...rehearsal.progress.slice(at));
  const profiles = messages.filter((m): m is ProfileMessage => m.kind === "profile");
  return { messages, profiles, makeEngine: () => new RunEngine(plan, job, { hasProgress: true }) };
}

/** Median of 20 (quick: 3) repetitions of measuring against one plain sum over the same heights. Stations and empty maps are made before the clock starts. */
function measuringRows(io: Io, quick: boolean): BenchRow[] {
  const recorded = record({ seed: 1, surface: "cylinder", points: 2000, dxMm: 0.012, strands: 6, lengthMm: quick ? 6 : 20 });
  const repeats = quick ? 3 : 20;
  const timed = (work: () => void): number => {
    const began = io.nowMs();
    work();
    return io.nowMs() - began;
  };
  const measureMs: number[] = [], sumMs: number[] = [];
  let total = 0;
  for (let i = 0; i < repeats + 2; i++) {
    const engine = recorded.makeEngine();
    measureMs.push(timed(() => {
      for (const message of recorded.messages) engine.push(message);
      engine.finish([], {});
    }));
    sumMs.push(timed(() => { for (const p of recorded.profiles) total += plainSum(p.zMm); }));
  }
  const measure = median(measureMs.slice(2)), sum = median(sumMs.slice(2)); // the first two warm up
  if (Number.isNaN(total)) io.err("the recording holds places without return; the sum is not a number, its time is");
  const perProfileUs = 1000 * measure / recorded.profiles.length;
  return [
    { what: "measuring 2 000-point profiles, in plain sums over the same heights", value: (measure / sum).toFixed(1), aim: "≤ 50, better 30" },
    { what: "time a profile", value: `${perProfileUs.toFixed(0)} µs`, aim: "" },
    { what: "profiles a second on one core", value: (1e6 / perProfileUs).toFixed(0), aim: "≈ 10 000" },
  ];
}

function plainSum(z: Float32Array): number {
  let sum = 0;
  for (let i = 0; i < z.length; i++) sum += z[i] as number;
  return sum;
}

/** Time of the last tenth of the profiles over that of the first tenth of those that show paste, on strands far enough apart to be seen alone. */
function growthRow(io: Io, quick: boolean): BenchRow {
  const recorded = record({ seed: 2, strands: quick ? 4 : 24, lengthMm: quick ? 8 : 20, pitchMm: 12, points: 640, supportScan: false });
  const ratios: number[] = [];
  for (let turn = 0; turn < 5; turn++) {
    const engine = recorded.makeEngine();
    const ms: number[] = [];
    for (const message of recorded.messages) {
      const began = io.nowMs();
      engine.push(message);
      if (message.kind === "profile") ms.push(io.nowMs() - began);
    }
    const tenth = Math.max(1, Math.floor(ms.length / 10));
    ratios.push(median(ms.slice(-tenth)) / median(ms.slice(0, tenth)));
  }
  return { what: "last tenth over first tenth of a long run, a profile", value: median(ratios.slice(1)).toFixed(2), aim: "≤ 1.1" };
}

function median(values: readonly number[]): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? Number.NaN;
}

/** Runs the bench; 0. */
export async function bench(argv: readonly string[], io: Io): Promise<number> {
  const values = parse(argv);
  if (values.help) {
    await io.out(HELP);
    return 0;
  }
  const quick = values.quick ?? false;
  io.err("measuring");
  const rows = [...measuringRows(io, quick), growthRow(io, quick), frameRow(io, quick)];
  if (!quick) rows.push(...await pageRows(io), ...await reportRows(io), ...await findRows(io), ...await targetRows(io), ...await wireRows(io));
  rows.push(...await readingRows(io, { quick, big: !quick && !(values["no-big"] ?? false) }));
  const cores = cpus();
  await io.out(`${cores[0]?.model ?? "unknown processor"}, ${cores.length} cores, ${(totalmem() / 2 ** 30).toFixed(0)} GiB, Node ${process.version}\n\n`);
  const wide = Math.max(...rows.map((r) => r.what.length));
  for (const r of rows) await io.out(`${r.what.padEnd(wide)}  ${r.value.padStart(12)}  ${r.aim}\n`);
  return 0;
}

function parse(argv: readonly string[]): { help?: boolean; quick?: boolean; "no-big"?: boolean } {
  try {
    return parseArgs({ args: [...argv], options: { help: { type: "boolean" }, quick: { type: "boolean" }, "no-big": { type: "boolean" } } }).values;
  } catch (error) {
    throw new InputError("command.usage", "bench [--quick] [--no-big]", (error as Error).message, {}, error);
  }
}
