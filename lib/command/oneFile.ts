/** Commands that take one file and nothing else. */
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";

/** Its whole path; null where help is asked for. `what`: "one file to be made". InputError command.usage. */
export function oneFileIn(argv: readonly string[], what: string): string | null {
  let parsed: { values: { help?: boolean }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" } } });
  } catch (error) {
    throw new InputError("command.usage", "FILE", (error as Error).message, {}, error);
  }
  const { values: { help }, positionals: [file, ...more] } = parsed;
  if (help) return null;
  if (file === undefined || file === "" || more.length > 0) throw new InputError("command.usage", what, `${parsed.positionals.length} arguments`, { key: "FILE" });
  return resolve(file);
}
