/** `import FOLDER`: brings a recorded run in and prints its run id alone. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { COMMAND_ACTOR } from "../model/log.ts";
import { inspectRun } from "../run/inspectRun.ts";
import { importRun } from "../server/importRun.ts";
import { newId, nowIso, openOwnStore } from "../server/settings.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent import -- FOLDER

Measures a recorded run folder and brings it into the database of ASLAID_DATA (default data/).
Prints the run's id alone on stdout. The same folder again gives the same id and changes nothing.
Ctrl-C ends it; whatever ends it half-way, nothing is kept.
Exit 0: it is in; 2: bad input, one clear error on stderr.
`;

function parse(argv: readonly string[]): { readonly help: boolean; readonly folder: string } {
  try {
    const { values, positionals } = parseArgs({ args: [...argv], options: { help: { type: "boolean", default: false } }, allowPositionals: true });
    const [folder, ...more] = positionals;
    if (values.help) return { help: true, folder: "" };
    if (folder === undefined || more.length > 0) throw new InputError("command.usage", "one run folder", `${positionals.length} arguments`, {});
    return { help: false, folder };
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError("command.usage", "import FOLDER", (error as Error).message, {}, error);
  }
}

export async function importCommand(argv: readonly string[], io: Io): Promise<number> {
  const { help, folder } = parse(argv);
  if (help) {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io);
  const store = openOwnStore();
  const stop = new AbortController();
  const onSignal = (name: NodeJS.Signals): void => stop.abort(new InputError("source.stopped", "to read the folder to its end", `${name}: nothing was kept`, { file: folder }));
  process.on("SIGINT", onSignal);
  process.on("SIGTERM", onSignal);
  try {
    const { runId, isNew } = await importRun(store, {
      folder, demo: false, actor: COMMAND_ACTOR, newId, nowIso, signal: stop.signal,
      heard: (done, all) => progress(() => `copying: ${sizeWords(done / 2)} of ${sizeWords(all / 2)}`),
      inspect: (opened) => inspectRun(opened, (count, tS) => progress(() => `measuring: ${count} messages, up to ${tS.toFixed(1)} s`)),
    });
    if (!isNew) io.err("This run was here already; nothing was changed.");
    await io.out(`${runId}\n`);
    return 0;
  } finally {
    process.off("SIGINT", onSignal);
    process.off("SIGTERM", onSignal);
    await store.close();
  }
}
