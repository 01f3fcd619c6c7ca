/** `export RUN_ID --out FOLDER`: a run folder again, with its record. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { exportRun } from "../server/exportRun.ts";
import { newId, openOwnStore } from "../server/settings.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent export -- RUN_ID --out FOLDER

Writes the run as it was received, its result and its record (log.ndjson, seals.ndjson, publicKey.pem, VERIFY.md), and prints the folder.
  --out FOLDER    new or empty (required)
Exit 0: written; 2: bad input, one clear error on stderr, and no folder.
`;

const USAGE = "RUN_ID --out FOLDER";

function parse(argv: readonly string[]): { readonly runId: string; readonly out: string } | "help" {
  let parsed: { values: { help?: boolean; out?: string }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, out: { type: "string" } } });
  } catch (error) {
    throw new InputError("command.usage", USAGE, (error as Error).message, {}, error);
  }
  const { values: { help, out }, positionals: [runId, ...more] } = parsed;
  if (help) return "help";
  if (runId === undefined || more.length > 0) throw new InputError("command.usage", USAGE, `${parsed.positionals.length} arguments`, {});
  if (out === undefined || out === "") throw new InputError("command.usage", "--out FOLDER", "none", { key: "--out" });
  return { runId, out };
}

export async function exportCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io);
  const store = openOwnStore();
  try {
    await exportRun(store, { ...asked, newId, heard: (bytes) => progress(() => `copying: ${sizeWords(bytes)}`) });
    await io.out(`${asked.out}\n`);
    return 0;
  } finally {
    await store.close();
  }
}
