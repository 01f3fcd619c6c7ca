/** Real recordings from outside the project; where they do not stand beside the checkout their tests are skipped and say so. */
import { existsSync, readFileSync } from "node:fs";
import { resolve } from "node:path";

const FOLDER = resolve(import.meta.dirname, "../../../shared/data");

/** Whether a recording is there, by its path under `../shared/data`. */
export function isRecorded(path: string): boolean {
  return existsSync(resolve(FOLDER, path));
}

/** Title for a group of tests on a recording: it says so where they are skipped. */
export function titleOf(what: string, path: string): string {
  return isRecorded(path) ? what : `${what} (skipped: ../shared/data/${path} is not there)`;
}

/** Rows of a CSV file without quotes, by column name. */
export function readRows(path: string): Record<string, string>[] {
  const [heading, ...lines] = readFileSync(resolve(FOLDER, path), "utf8").replace(/\r/g, "").replace(/^\uFEFF/, "").trim().split("\n");
  const names = heading!.split(",");
  return lines.map((line) => { const cells = line.split(","); return Object.fromEntries(names.map((name, i) => [name.trim(), cells[i]?.trim() ?? ""])); });
}
