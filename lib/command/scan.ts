/** `scan RUN_ID FILE`: adds a scan of a finished run once its material had set, and prints what it says beside the wet surface. */
import { createReadStream } from "node:fs";
import { stat } from "node:fs/promises";
import { basename } from "node:path";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { COMMAND_ACTOR } from "../model/log.ts";
import { addScan } from "../server/scans.ts";
import { nowIso, openOwnStore } from "../server/settings.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent scan -- RUN_ID FILE [--set-at ISO] [--note TEXT]

Adds a scan of a finished run once its material had set: FILE is profiles.ndjson or profiles.arrow in the frame plan, by one of the run's profilers.
It is measured as the run was, and compared with what lay there wet, strand by strand: area, height, volume, what is gone. The run's own result
stays as it is. Scan and comparison are kept with the run's record, so that export brings them along.
  --set-at ISO    when the material had set, like 2026-02-03T09:12:00Z (default: now)
  --note TEXT     what should be known of it
Prints the comparison as JSON on stdout. Ctrl-C ends it; whatever ends it half-way, nothing is kept.
Exit 0: it is kept; 2: bad input, one clear error on stderr.
`;

const USAGE = "RUN_ID FILE [--set-at ISO] [--note TEXT]";

interface Asked { readonly runId: string; readonly file: string; readonly setAt: string | null; readonly note: string }

function parse(argv: readonly string[]): Asked | "help" {
  let parsed: { values: { help?: boolean; "set-at"?: string; note?: string }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, "set-at": { type: "string" }, note: { type: "string" } } });
  } catch (error) {
    throw new InputError("command.usage", USAGE, (error as Error).message, {}, error);
  }
  const { values: { help, note = "", "set-at": setAt = null }, positionals: [runId, file, ...more] } = parsed;
  if (help) return "help";
  if (runId === undefined || file === undefined || more.length > 0) throw new InputError("command.usage", USAGE, `${parsed.positionals.length} arguments`, {});
  return { runId, file, setAt, note };
}

async function* chunksOf(file: string): AsyncGenerator<Uint8Array> {
  try {
    if (!(await stat(file)).isFile()) throw new InputError("source.noFile", "a file of profiles", "something else", { file });
    for await (const chunk of createReadStream(file) as AsyncIterable<Buffer>) yield chunk;
  } catch (cause) {
    if (cause instanceof InputError) throw cause;
    const code = (cause as NodeJS.ErrnoException).code ?? "";
    throw new InputError(code === "ENOENT" ? "source.noFile" : "source.unreadable", "a file of profiles", code === "ENOENT" ? "none there" : code, { file }, cause);
  }
}

export async function scanCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io), store = openOwnStore(), stop = new AbortController();
  const onSignal = (name: NodeJS.Signals): void => stop.abort(new InputError("source.stopped", "to measure the scan to its end", `${name}: nothing was kept`, { file: asked.file }));
  process.on("SIGINT", onSignal);
  process.on("SIGTERM", onSignal);
  try {
    const { n, comparison } = await addScan(store, {
      ...asked, fileName: basename(asked.file), chunks: chunksOf(asked.file), actor: COMMAND_ACTOR, nowIso, signal: stop.signal, heard: (count) => progress(() => `measuring: ${count} messages of run and scan`),
    });
    io.err(`Kept as scan ${n} of the run.`);
    await io.out(`${JSON.stringify(comparison, null, 1)}\n`);
    return 0;
  } finally {
    process.off("SIGINT", onSignal);
    process.off("SIGTERM", onSignal);
    await store.close();
  }
}
