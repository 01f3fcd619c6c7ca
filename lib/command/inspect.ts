/** `inspect FOLDER`: measures a recorded run without a server. */
import { rename, rm, writeFile } from "node:fs/promises";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import type { InspectResult } from "../model/result.ts";
import { resultText } from "../report/resultText.ts";
import { stationsCsv } from "../report/stationsCsv.ts";
import { inspectRun } from "../run/inspectRun.ts";
import { openRunFolder } from "../source/openRunFolder.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent inspect -- FOLDER [--out result.json] [--csv stations.csv] [--fail-on act|watch]

Measures and judges a recorded run folder.
  --out FILE      writes the result there; without it the result is printed on stdout
  --csv FILE      writes one line a station
  --fail-on KIND  exit 1 where a finding of that severity (watch: of any) is there
Exit 0: inspected; 1: --fail-on matched; 2: bad input, one clear error on stderr.
`;

interface Asked { readonly folder: string; readonly out: string | null; readonly csv: string | null; readonly failOn: "act" | "watch" | null }

function parse(argv: readonly string[]): Asked | "help" {
  const { values, positionals } = parsed(argv);
  if (values.help) return "help";
  const [folder, ...more] = positionals;
  if (folder === undefined || more.length > 0) throw new InputError("command.usage", "one run folder", `${positionals.length} arguments`, {});
  const failOn = values["fail-on"] ?? null;
  if (failOn !== null && failOn !== "act" && failOn !== "watch") throw new InputError("command.usage", "act or watch", JSON.stringify(failOn), { key: "--fail-on" });
  return { folder, out: values.out ?? null, csv: values.csv ?? null, failOn };
}

function parsed(argv: readonly string[]): { values: { help?: boolean; out?: string; csv?: string; "fail-on"?: string }; positionals: string[] } {
  try {
    return parseArgs({
      args: [...argv], allowPositionals: true,
      options: { help: { type: "boolean" }, out: { type: "string" }, csv: { type: "string" }, "fail-on": { type: "string" } },
    });
  } catch (error) {
    throw new InputError("command.usage", "inspect FOLDER [--out FILE] [--csv FILE] [--fail-on act|watch]", (error as Error).message, {}, error);
  }
}

/** Runs the command; the exit code. */
export async function inspect(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const run = await openRunFolder(asked.folder);
  const progress = reportProgress(io);
  const result = await inspectRun(run, (count, tS) => progress(() => `measuring: ${count} messages, up to ${tS.toFixed(1)} s`));
  for (const warning of result.warnings) io.err(`${warning.code}: ${warning.message}`);
  if (asked.csv !== null) await writeWhole(asked.csv, stationsCsv(result.stations));
  const text = resultText(result);
  if (asked.out === null) await io.out(text);
  else await writeWhole(asked.out, text);
  return asked.failOn !== null && matches(result, asked.failOn) ? 1 : 0;
}

function matches(result: InspectResult, failOn: "act" | "watch"): boolean {
  return result.findings.some((f) => failOn === "watch" || f.severity === "act");
}

/** Writes beside the place first, so that nothing half-written is ever there. */
async function writeWhole(file: string, text: string): Promise<void> {
  const partial = `${file}.partial`;
  try {
    await writeFile(partial, text);
    await rename(partial, file);
  } catch (error) {
    await rm(partial, { force: true });
    throw new InputError("command.usage", "a file that can be written", (error as Error).message, { file }, error);
  }
}
