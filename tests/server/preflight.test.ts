import { cpSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { main } from "../../lib/command/main.ts";
import { readSheet } from "../../lib/server/pages.ts";
import { readBeforeSheet } from "../../lib/server/preflight.ts";
import { closeSharedStore, newId } from "../../lib/server/settings.ts";
import { ROOT } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

let place = "";
const before = { ...process.env };
beforeEach(() => {
  place = tempFolder();
  cpSync(join(ROOT, "prisma"), join(place, "prisma"), { recursive: true });
  Object.assign(process.env, { ASLAID_ROOT: place, ASLAID_DATA: join(place, "data") });
});
afterEach(async () => {
  await closeSharedStore();
  process.env = { ...before };
  rmSync(place, { recursive: true, force: true });
});

async function bringIn(folder: string): Promise<string> {
  let out = "";
  expect(await main(["import", folder], { out: async (text) => { out += text; }, err: () => {}, nowMs: () => 0 })).toBe(0);
  return out.trim();
}

describe("what was known before the print, of a run that was brought in", () => {
  it("is kept with its result: the plan's list with what could not be checked, and the support as found with its map", async () => {
    const sheet = await readSheet(await bringIn(join(ROOT, "fixtures", "example-run")));
    const shown = readBeforeSheet(sheet!.resultId);
    expect(shown?.preflight.sentence).toMatch(/^Nothing was found against the plan\. \w+ checks could not be made/);
    expect(shown?.preflight.notChecked.map((each) => each.reason)).toContain("the job gives no nozzle.lengthMm");
    expect(shown?.support?.sentence).toMatch(/^(Go|No go)/);
    expect(shown?.support?.maps[0]?.overUm.some((um) => um !== null && Math.abs(um) < 20)).toBe(true);
  });

  it("is null for a result that has none", () => {
    expect(readBeforeSheet(newId())).toBeNull();
  });
});
