/** `recompute RUN_ID`: measures a run again under other bands and prints the new result's id alone. */
import { readFile } from "node:fs/promises";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { COMMAND_ACTOR } from "../model/log.ts";
import { inspectRun } from "../run/inspectRun.ts";
import { recomputeRun } from "../server/recompute/recomputeRun.ts";
import { newId, nowIso, openOwnStore } from "../server/settings.ts";
import { parseJobText } from "../source/openRunFolder.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent recompute -- RUN_ID --bands FILE.json --reason TEXT

Measures the kept data of a run again under other bands, as a result of its own beside the run's, which it never replaces. Prints the new result's id alone.
  --bands FILE.json   what differs: { "tolerance": { … }, "acceptance": { … } }, keys as in job.json; null takes the job's own away (required)
  --reason TEXT       why, as it will stand in the log (required)
Ctrl-C ends it; whatever ends it half-way, nothing is kept.
Exit 0: it is kept; 2: bad input, one clear error on stderr.
`;

const USAGE = "RUN_ID --bands FILE.json --reason TEXT";

interface Asked { readonly runId: string; readonly bands: string; readonly reason: string }

function parse(argv: readonly string[]): Asked | "help" {
  let parsed: { values: { help?: boolean; bands?: string; reason?: string }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, bands: { type: "string" }, reason: { type: "string" } } });
  } catch (error) {
    throw new InputError("command.usage", USAGE, (error as Error).message, {}, error);
  }
  const { values: { help, bands, reason }, positionals: [runId, ...more] } = parsed;
  if (help) return "help";
  if (runId === undefined || more.length > 0) throw new InputError("command.usage", USAGE, `${parsed.positionals.length} arguments`, {});
  if (bands === undefined || bands === "") throw new InputError("command.usage", "--bands FILE.json", "none", { key: "--bands" });
  if (reason === undefined || reason.trim() === "") throw new InputError("command.usage", "--reason TEXT", "none", { key: "--reason" });
  return { runId, bands, reason };
}

async function readBands(file: string): Promise<unknown> {
  let text: string;
  try {
    text = await readFile(file, "utf8");
  } catch (cause) {
    throw new InputError("source.noFile", "a file of bands", `none that can be read (${(cause as NodeJS.ErrnoException).code})`, { file, key: "--bands" }, cause);
  }
  return parseJobText(text.replace(/^\uFEFF/, ""), file);
}

export async function recomputeCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io), bands = await readBands(asked.bands), store = openOwnStore(), stop = new AbortController();
  const onSignal = (name: NodeJS.Signals): void => stop.abort(new InputError("source.stopped", "to measure to the end", `${name}: nothing was kept`, {}));
  process.on("SIGINT", onSignal);
  process.on("SIGTERM", onSignal);
  try {
    const resultId = await recomputeRun(store, {
      runId: asked.runId, bands, bandsFile: asked.bands, reason: asked.reason, actor: COMMAND_ACTOR, newId, nowIso, signal: stop.signal,
      heard: (done, all) => progress(() => `reading: ${sizeWords(done)} of ${sizeWords(all)}`),
      inspect: (opened) => inspectRun(opened, (count, tS) => progress(() => `measuring: ${count} messages, up to ${tS.toFixed(1)} s`)),
    });
    await io.out(`${resultId}\n`);
    return 0;
  } finally {
    process.off("SIGINT", onSignal);
    process.off("SIGTERM", onSignal);
    await store.close();
  }
}
