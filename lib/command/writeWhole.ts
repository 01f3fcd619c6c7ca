/** How commands write their results to a file. */
import { rename, rm, writeFile } from "node:fs/promises";
import { InputError } from "../base/errors.ts";

/** Writes beside the place first, so that nothing half-written is ever there. InputError command.usage. */
export async function writeWhole(file: string, text: string): Promise<void> {
  const partial = `${file}.partial`;
  try {
    await writeFile(partial, text);
    await rename(partial, file);
  } catch (error) {
    await rm(partial, { force: true });
    throw new InputError("command.usage", "a file that can be written", (error as Error).message, { file }, error);
  }
}
