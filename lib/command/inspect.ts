/** `inspect FOLDER`: measures a recorded run without a server. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { PREFLIGHT_KINDS, PREFLIGHT_RULES } from "../model/preflight.ts";
import type { Severity } from "../model/result.ts";
import { preflightPlan } from "../plan/preflight.ts";
import { resultText } from "../report/resultText.ts";
import { stationsCsv } from "../report/stationsCsv.ts";
import { inspectRun } from "../run/inspectRun.ts";
import { openPlan, openRunFolder } from "../source/openRunFolder.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";
import { writeWhole } from "./writeWhole.ts";

const HELP = `npm run --silent inspect -- FOLDER [--out result.json] [--csv stations.csv] [--fail-on act|watch]
npm run --silent inspect -- FOLDER --preflight [--out preflight.json] [--fail-on act|watch]

Measures and judges a recorded run folder.
  --out FILE      writes the result there; without it the result is printed on stdout
  --csv FILE      writes one line a station
  --preflight     judges the plan alone, before anything is laid: needs job.json and the plan, and nothing else
  --fail-on KIND  exit 1 where a finding (with --preflight: an item) of that severity (watch: of any) is there
Items of the pre-flight list that are act, all others are watch; what could not be checked is listed and fails nothing:
  ${PREFLIGHT_KINDS.filter((kind) => PREFLIGHT_RULES[kind].severity === "act").join(" ")}
Exit 0: inspected; 1: --fail-on matched; 2: bad input, one clear error on stderr.
`;

/** A plan of more may take longer than a second to judge. */
const MANY_STATIONS = 5000;

interface Asked { readonly folder: string; readonly out: string | null; readonly csv: string | null; readonly preflight: boolean; readonly failOn: "act" | "watch" | null }

function parse(argv: readonly string[]): Asked | "help" {
  const { values, positionals } = parsed(argv);
  if (values.help) return "help";
  const [folder, ...more] = positionals;
  if (folder === undefined || more.length > 0) throw new InputError("command.usage", "one run folder", `${positionals.length} arguments`, {});
  const failOn = values["fail-on"] ?? null;
  if (failOn !== null && failOn !== "act" && failOn !== "watch") throw new InputError("command.usage", "act or watch", JSON.stringify(failOn), { key: "--fail-on" });
  const { preflight = false, csv = null } = values;
  if (preflight && csv !== null) throw new InputError("command.usage", "--preflight without --csv", "both: a plan has no readings", { key: "--csv" });
  return { folder, out: values.out ?? null, csv, preflight, failOn };
}

function parsed(argv: readonly string[]): { values: { help?: boolean; out?: string; csv?: string; preflight?: boolean; "fail-on"?: string }; positionals: string[] } {
  try {
    return parseArgs({
      args: [...argv], allowPositionals: true,
      options: { help: { type: "boolean" }, out: { type: "string" }, csv: { type: "string" }, preflight: { type: "boolean" }, "fail-on": { type: "string" } },
    });
  } catch (error) {
    throw new InputError("command.usage", "inspect FOLDER [--out FILE] [--csv FILE] [--preflight] [--fail-on act|watch]", (error as Error).message, {}, error);
  }
}

/** Runs the command; the exit code. */
export async function inspect(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const { text, severities } = asked.preflight ? await judgePlan(asked, io) : await measure(asked, io);
  if (asked.out === null) await io.out(text);
  else await writeWhole(asked.out, text);
  return asked.failOn !== null && severities.some((severity) => asked.failOn === "watch" || severity === "act") ? 1 : 0;
}

/** What is printed, and how bad each thing in it is. */
interface Inspected { readonly text: string; readonly severities: readonly Severity[] }

async function measure(asked: Asked, io: Io): Promise<Inspected> {
  const run = await openRunFolder(asked.folder);
  const progress = reportProgress(io);
  const result = await inspectRun(run, (count, tS) => progress(() => `measuring: ${count} messages, up to ${tS.toFixed(1)} s`));
  for (const warning of result.warnings) io.err(`${warning.code}: ${warning.message}`);
  if (asked.csv !== null) await writeWhole(asked.csv, stationsCsv(result.stations));
  return { text: resultText(result), severities: result.findings.map((f) => f.severity) };
}

async function judgePlan(asked: Asked, io: Io): Promise<Inspected> {
  const { plan, job, warnings } = await openPlan(asked.folder);
  for (const warning of warnings) io.err(`${warning.code}: ${warning.message}`);
  const about = Math.round(plan.strands.reduce((sum, strand) => sum + strand.lengthMm, 0) / job.stationSpacingMm);
  if (about > MANY_STATIONS) io.err(`judging the plan: about ${about} stations`);
  const preflight = preflightPlan(plan, job);
  return { text: `${JSON.stringify({ contract: job.contract, warnings, preflight })}\n`, severities: preflight.items.map((item) => item.severity) };
}
