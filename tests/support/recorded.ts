/** A real run with its record, brought in and taken out by the program itself, for tests that then tamper with it. */
import { rmSync } from "node:fs";
import { join } from "node:path";
import { main } from "../../lib/command/main.ts";
import { addNote, disposeFinding } from "../../lib/server/dispositions.ts";
import { closeSharedStore, sharedStore } from "../../lib/server/settings.ts";
import { ROOT } from "./serverProcess.ts";
import { tempFolder } from "./tempStore.ts";

export interface Said { readonly code: number; readonly out: string; readonly err: readonly string[] }

/** Runs a command in this process; its clock stands still unless told otherwise. */
export async function command(...argv: string[]): Promise<Said> {
  let out = "";
  const err: string[] = [];
  const code = await main(argv, { out: async (text) => { out += text; }, err: (line) => { err.push(line); }, nowMs: () => 0 });
  return { code, out, err };
}

/** Points the program at a data folder of its own; call `restore` at the end. */
export function ownData(): { readonly place: string; readonly restore: () => Promise<void> } {
  const before = { ...process.env };
  const place = tempFolder();
  Object.assign(process.env, { ASLAID_ROOT: ROOT, ASLAID_DATA: join(place, "data"), ASLAID_SIGNING_KEY: "" });
  return { place, restore: async () => {
    await closeSharedStore();
    process.env = before;
    rmSync(place, { recursive: true, force: true });
  } };
}

export const EXAMPLE = join(ROOT, "fixtures", "example-run");

/** The example run: brought in, its gap accepted, a note pinned; three seals over 5 + 2 + 2 entries and the result. Returns its id. */
export async function recordedExample(): Promise<string> {
  const { out } = await command("import", EXAMPLE);
  const runId = out.trim();
  const resultId = sharedStore().db.prepare<[string], { id: string }>(`SELECT id FROM "Result" WHERE runId = ?`).get(runId)?.id ?? "";
  disposeFinding(runId, { resultId, findingIndex: 0, disposition: "acceptedAsIs", reason: "noMatterForUse", note: "Rand, spitz ausgeführt: \"gut\" \\ 0,5 µm \u{1f600}" }, "Zoë Öz");
  addNote(runId, { layer: 1, strand: 1, sMm: 2.41234, text: "zwei\nZeilen" }, "M. Ort");
  return runId;
}
