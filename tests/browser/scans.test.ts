/** A scan after setting, added on the run's page in Debian's chromium, and the surface taken along from there. The scan is invented. */
import { execFileSync } from "node:child_process";
import { rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";
import { openArrowStream } from "../../lib/sensing/arrowWrite.ts";
import { openStore } from "../../lib/store/openStore.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { hardScan } from "../support/hardScan.ts";
import { holdSession, signedInAs } from "../support/people.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";
import { countedIds, MIGRATIONS, tempFolder } from "../support/tempStore.ts";

const SETTINGS = { seed: 221, strands: 3, lengthMm: 10, surface: "mandibleAngle" } as const;
const folder = tempFolder(), scanPath = join(folder, "profiles.arrow");
let server: ServerProcess, browser: Browser, page: Page, runId = "";

beforeAll(async () => {
  writeRunFolder(simulate(SETTINGS), join(folder, "run"), "arrow");
  const stream = openArrowStream({ device: "profiler-1", frame: "plan", points: 640, withLayer: false, batchProfiles: [256] }), parts: Uint8Array[] = [];
  for (const profile of hardScan(SETTINGS, { scale: 0.94, lost: [{ strand: 2, fromMm: 4, toMm: 7 }] })) { const part = stream.add(profile); if (part !== null) parts.push(Uint8Array.from(part)); }
  writeFileSync(scanPath, Buffer.concat([...parts, stream.end()]));
  const data = join(folder, "data"), store = openStore({ dataFolder: data, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: Date.now(), newId: countedIds() });
  const ines = signedInAs(store.db, "Ines Probe", { roles: ["engineer"] });
  await store.close();
  runId = execFileSync(process.execPath, ["scripts/launch.mjs", "import", join(folder, "run")], { cwd: ROOT, env: { ...process.env, ASLAID_DATA: data }, encoding: "utf8" }).trim();
  server = await startServer(data);
  browser = await launchBrowser();
  const context = await browser.newContext({ viewport: { width: 1400, height: 1000 } });
  await holdSession(context, server.url, ines.token);
  page = await context.newPage();
  await page.goto(`${server.url}/runs/${runId}`, { waitUntil: "networkidle" });
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});

describe("surface, and after setting", () => {
  it("says that no scan was added; a file of another kind is not sent, and it says why", async () => {
    const section = page.locator("section.later");
    expect(await section.locator("p.none").textContent()).toBe("No scan after setting was added.");
    await section.locator("input[type=file]").setInputFiles({ name: "scan.csv", mimeType: "text/csv", buffer: Buffer.from("a,b\n") });
    await section.getByRole("button", { name: "Add the scan" }).click();
    expect(await section.getByRole("status").textContent()).toBe("Not sent: its name ends in neither .ndjson nor .arrow.");
  });

  it("a bad scan is refused in words, a good one is kept and listed with shrinkage, loss and who added it; axe finds nothing", async () => {
    const section = page.locator("section.later"), send = async (buffer: Buffer | null): Promise<void> => {
      await section.locator("input[type=file]").setInputFiles(buffer === null ? scanPath : { name: "profiles.arrow", mimeType: "application/octet-stream", buffer });
      await section.getByRole("button", { name: "Add the scan" }).click();
    };
    await send(Buffer.from("hello"));
    await expect.poll(() => section.getByRole("status").textContent()).toMatch(/^Not kept: expected /);
    await section.getByLabel("Note").fill("after a night in water");
    await send(null);
    await expect.poll(() => section.getByRole("status").textContent(), { timeout: 30_000 }).toBe("Kept as scan 1.");
    await expect.poll(() => section.locator("li").count()).toBe(1);
    expect(await section.locator("li").textContent()).toMatch(/1[01]\.\d % ± 0\.\d % \(k = 2\) smaller than they were wet\. Gone: strand 2 of layer 1 from [34]\.\d\d to [67]\.\d\d mm.*added by Ines Probe\. Note: after a night in water/);
    expect(await axeComplaints(page)).toEqual([]);
  });

  it("the surface is a file whose name has the run's id", async () => {
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("link", { name: /PLY file/ }).click()]);
    expect(download.suggestedFilename()).toBe(`asLaid-${runId}.ply`);
    expect(await download.failure()).toBeNull();
  });
});
