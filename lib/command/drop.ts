/** `drop RUN_ID --export FOLDER --reason TEXT`: gives up the raw data of a run that was exported. */
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { COMMAND_ACTOR } from "../model/log.ts";
import { OTHER_REASON } from "../model/reason.ts";
import { dropRaw, dropReason } from "../server/dropRaw.ts";
import { openOwnStore } from "../server/settings.ts";
import type { Io } from "./io.ts";

const HELP = `npm run --silent drop -- RUN_ID --export FOLDER --reason TEXT

Gives up the raw data of a run that is over: profiles, poses, signals and pictures. Its log, plan, job and results stay for ever, and the
log says what was dropped, why, and by which export. The export is verified first, byte for byte, by the key of the run's last seal; it has
to hold everything that the log has said since. What another run is made of stays for that one. There is no way back but the export.
  --export FOLDER  as written by npm run --silent export (required)
  --reason TEXT    why, for the log (required)
Exit 0: dropped; 2: bad input, one clear error on stderr, and nothing is dropped.
`;

const USAGE = "RUN_ID --export FOLDER --reason TEXT";

interface Asked { readonly runId: string; readonly folder: string; readonly reason: string }

function parse(argv: readonly string[]): Asked | "help" {
  let parsed: { values: { help?: boolean; export?: string; reason?: string }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, export: { type: "string" }, reason: { type: "string" } } });
  } catch (error) {
    throw new InputError("command.usage", USAGE, (error as Error).message, {}, error);
  }
  const { values: { help, export: folder = "", reason = "" }, positionals: [runId, ...more] } = parsed;
  if (help) return "help";
  if (runId === undefined || more.length > 0) throw new InputError("command.usage", USAGE, `${parsed.positionals.length} arguments`, {});
  if (folder === "") throw new InputError("command.usage", "--export FOLDER", "none", { key: "--export" });
  if (reason === "") throw new InputError("command.usage", "--reason TEXT", "none", { key: "--reason" });
  return { runId, folder: resolve(folder), reason };
}

export async function dropCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const { runId, folder, reason } = asked, store = openOwnStore();
  try {
    const { fileCount, bytes } = await dropRaw(runId, { folder, reason: dropReason({ folder, reason: OTHER_REASON, note: reason }), actor: COMMAND_ACTOR }, store);
    await io.out(`dropped: ${fileCount} ${fileCount === 1 ? "file" : "files"}, ${sizeWords(bytes)}\n`);
    return 0;
  } finally {
    await store.close();
  }
}
