/** A run made before its print, and the page of the wire, in Debian's chromium: by keyboard alone, with bad input told at its field. */
import { cpSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, tabTo, type PageOptions } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { EXAMPLE, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData(), made = (name: string): string => join(data.place, name);
let server: ServerProcess, browser: Browser, page: Page, dana = "";
beforeAll(async () => {
  cpSync(EXAMPLE, made("bad"), { recursive: true });
  writeFileSync(made("bad/job.json"), readFileSync(join(EXAMPLE, "job.json"), "utf8").replace(`"innerDiameterMm": 0.84`, `"innerDiameterMm": -0.84`));
  writeFileSync(made("broken.json"), "{\n  \"contract\": \"aslaid/1\",\n  \"name\": block\n}\n");
  dana = signedInAs(sharedStore().db, "Dana Reyes", { roles: ["engineer"] }).token;
  server = await startServer(made("data"));
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  rmSync(made("bad"), { recursive: true });
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

async function open(path = "/prepare", options: PageOptions = {}): Promise<void> {
  page = await openPage(browser, `${server.url}${path}`, { token: dana, ...options });
  await page.waitForLoadState("networkidle"); // scripts are in and keys are heard
}
const sentence = (): Promise<string> => page.locator("h1").innerText();
/** Goes with Tab alone to the button, opens its dialog with Enter and gives the files there. */
async function chooseByKeyboard(button: string, ...files: readonly string[]): Promise<void> {
  expect(await tabTo(page, button)).toBe(true);
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Enter")]);
  await chooser.setFiles([...files]);
}
async function typeInto(label: string, text: string): Promise<void> {
  expect(await tabTo(page, label)).toBe(true);
  await page.keyboard.press("ControlOrMeta+a");
  await page.keyboard.type(text);
}
const problemAt = (id: string): Promise<string> => page.locator(`[id="${id}-problem"]`).innerText();

describe("by keyboard alone", () => {
  it("files are chosen, name, lot and nozzle changed, the checks read, and the run is armed in the name of who is signed in and stands prepared", async () => {
    await open();
    expect(await sentence()).toBe("Prepare a run.");
    await chooseByKeyboard("Choose job and plan", join(EXAMPLE, "job.json"), join(EXAMPLE, "plan.csv"));
    await expect.poll(sentence).toMatch(/^Ready to be armed, but one device has no token\.$/);
    await typeInto("Name", "block 13, one strand");
    await typeInto("Lot", "B2");
    await typeInto("Nozzle bore, mm", "0.61");
    await expect.poll(() => page.locator(".checks").innerText()).toMatch(/0\.61 mm inside/);
    const checks = await page.locator(".checks").innerText();
    for (const words of ["6.0 mm of path", "Not checked", "Assumed: 500 profiles a second over 1 s of laying alone, 32 points of 4 bytes and 88 more each.", "profiler-1", "no token counts for it", "bead 1.00 × 0.50 mm", "lot B2"]) expect(checks).toContain(words);
    expect(await tabTo(page, "Arm")).toBe(true);
    await page.keyboard.press("Enter");
    await page.waitForURL("**/runs/*");
    expect(await sentence()).toBe("Prepared: nothing has come of it yet.");
    expect(await page.getByLabel("Title block").first().innerText()).toContain("block 13, one strand");
    const runId = page.url().split("/").at(-1) ?? "", { db } = sharedStore();
    expect(readEntriesOf(db, runId, "run.created").map(({ actor, payload }) => [actor, payload.name])).toEqual([["Dana Reyes", "block 13, one strand"]]);
    expect(JSON.parse(db.prepare(`SELECT jobText FROM "Run" WHERE id = ?`).pluck().get(runId) as string)).toMatchObject({ nozzle: { innerDiameterMm: 0.61 }, material: { lot: "B2" } });
  });

  it("an earlier run is the beginning of the next: its job and plan, no file chosen", async () => {
    await open();
    expect(await tabTo(page, "or begin as run")).toBe(true);
    await page.keyboard.type("block 13");
    expect(await tabTo(page, "Begin as it")).toBe(true);
    await page.keyboard.press("Enter");
    await expect.poll(sentence).toMatch(/^Ready to be armed/);
    expect(await page.locator(".chosen").innerText()).toContain("as run “block 13, one strand”");
    expect(await page.getByLabel("Nozzle bore, mm").inputValue()).toBe("0.61");
    await typeInto("Name", "block 14");
    await expect.poll(() => page.getByRole("button", { name: "Arm" }).isEnabled()).toBe(true);
    expect(await tabTo(page, "Arm")).toBe(true);
    await page.keyboard.press("Enter");
    await page.waitForURL("**/runs/*");
    await page.goto(server.url);
    expect(await page.locator(".runs.open .run-line").allInnerTexts()).toEqual([expect.stringMatching(/^PREPARED\s+block 14\s/), expect.stringMatching(/^PREPARED\s+block 13, one strand\s/)]);
  });
});

describe("bad input", () => {
  it("is one sentence at its field, with nothing to arm, and goes when it is put right", async () => {
    await open();
    await chooseByKeyboard("Choose job and plan", made("bad/job.json"), made("bad/plan.csv"));
    await expect.poll(sentence).toBe("Not ready: nozzle bore is not right.");
    expect(await problemAt("nozzle.innerDiameterMm")).toBe("Expected a number above 0, got -0.84.");
    expect(await page.locator("[id='nozzle.innerDiameterMm']").getAttribute("aria-invalid")).toBe("true");
    expect(await page.getByRole("button", { name: "Arm" }).isEnabled()).toBe(false);
    expect(await axeComplaints(page)).toEqual([]);
    await typeInto("Nozzle bore, mm", "wide");
    await expect.poll(() => problemAt("nozzle.innerDiameterMm")).toBe(`Expected a finite number, got "wide".`);
    await typeInto("Nozzle bore, mm", "0.84");
    await expect.poll(sentence).toMatch(/^Ready to be armed/);
  });

  it("of the files names file, line and key; a job without its plan asks for it; what is neither is said", async () => {
    await open();
    await chooseByKeyboard("Choose job and plan", made("broken.json"), join(EXAMPLE, "plan.csv"));
    await expect.poll(() => page.locator(".source .field-problem").innerText()).toMatch(/^job\.json, line 3: expected JSON, got /);
    await open();
    await chooseByKeyboard("Choose job and plan", join(EXAMPLE, "job.json"));
    await expect.poll(() => page.locator(".detail").innerText()).toBe("The job names plan.csv: choose it, too.");
    await chooseByKeyboard("Choose others", join(EXAMPLE, "profiles.ndjson"));
    await expect.poll(() => page.locator(".source .field-problem").innerText()).toBe("Neither a job (.json) nor one plan (.csv or .gcode, plan.csv) is among profiles.ndjson.");
  });
});

describe.each(["/prepare", "/api"])("the page %s", (path) => {
  it.each(["light", "dark"] as const)("has nothing that axe finds wrong in %s", async (colorScheme) => {
    await open(path, { colorScheme });
    if (path === "/prepare") {
      await page.setInputFiles("input[type=file]", [join(EXAMPLE, "job.json"), join(EXAMPLE, "plan.csv")]);
      await page.locator(".plan-view").waitFor();
    }
    expect(await axeComplaints(page)).toEqual([]);
  });

  it.each([1920, 1440, 1024, 390])("at %i px nothing runs out of it sideways", async (width) => {
    await open(path, { width });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });
});

describe("the page of the wire", () => {
  it("lists 16 calls, each with its section, and both clients; it is reached from the register", async () => {
    await open("/");
    await page.getByRole("link", { name: "The wire" }).click();
    await page.waitForURL("**/api");
    expect(await page.locator(".contents tbody tr").count()).toBe(16);
    expect(await page.locator(".call").count()).toBe(16);
    await page.getByRole("link", { name: "POST /runs/{runId}/commands", exact: true }).click();
    expect(await page.locator(".call:has(h2:target), .call h2:target").first().innerText()).toContain("POST /runs/{runId}/commands");
    expect(await page.locator(".client h2").allInnerTexts()).toEqual(["docs/clients/stream.mjs", "docs/clients/stream.py"]);
    expect(await page.locator(".client pre").first().innerText()).toContain("answerCommands");
  });
});
