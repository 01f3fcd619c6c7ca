import { readdirSync } from "node:fs";
import { join } from "node:path";

/** Every file below a data folder's raw/, paths sorted; folders that hold nothing are none. */
export function rawNames(dataFolder: string): string[] {
  const folder = join(dataFolder, "raw");
  return readdirSync(folder, { recursive: true, withFileTypes: true }).filter((entry) => !entry.isDirectory()).map((entry) => join(entry.parentPath, entry.name).slice(folder.length + 1)).sort();
}
