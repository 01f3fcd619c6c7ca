/** The pages that look across runs, in Debian's chromium: axe in light and dark, keyboard, no script, widths from phone to wall. */
import { rmSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { Finding } from "../../lib/model/result.ts";
import { openStore } from "../../lib/store/openStore.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { writeAcross, type MadeAcross } from "../support/madeAcross.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";

const folder = tempFolder();
let server: ServerProcess;
let browser: Browser;
let page: Page;

const gap = (fromMm: number): Finding => ({ kind: "gap", severity: "act", proven: true, layer: 1, strand: 1, fromMm, toMm: fromMm + 1, lengthMm: 1, position: [fromMm, 1.4, 0.5], worst: { metric: "areaRatio", value: 0.02, limit: 0.25 } });

/** 24 runs; the 17th lies far above the others, every fourth has a gap near the beginning of its strand. */
function fill(): void {
  const newId = countedIds(), store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  const runs = Array.from({ length: 24 }, (_, i): MadeAcross => ({ lot: i % 2 === 0 ? "A1" : "B2", means: [{ areaRatio: i === 16 ? 1.31 : 1 + 0.02 * Math.sin(2.3 * i) }], findings: i % 4 === 0 ? [gap(1 + i / 10)] : [] }));
  writeAcross(store, newId, runs);
  void store.close();
}

beforeAll(async () => {
  fill();
  server = await startServer(folder);
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(path: string, { width = 1280, height = 800, colorScheme = "light", javaScriptEnabled = true }: { width?: number; height?: number; colorScheme?: "light" | "dark"; javaScriptEnabled?: boolean } = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: "reduce", javaScriptEnabled });
  page = await context.newPage();
  await page.goto(`${server.url}${path}`, { waitUntil: "networkidle" });
}

const ADDRESSES = ["/runs", "/runs?from=yesterday", "/runs?lot=none", "/across", "/across?chart=ewma&centre=1&sd=0.02", "/across?chart=cusum&sd=x", "/across?lot=none"] as const;

describe("axe finds nothing wrong", () => {
  for (const path of ADDRESSES) {
    for (const colorScheme of ["light", "dark"] as const) {
      it(`at ${path} in ${colorScheme}, text at 7 : 1 or better`, async () => {
        await open(path, { colorScheme });
        expect(await axeComplaints(page)).toEqual([]);
      });
    }
  }

  it.each((["/runs?from=yesterday", "/across"] as const).flatMap((path) => [[path, 1920, 1080], [path, 1280, 800], [path, 390, 844]] as const))("%s at %i × %i does not run out of the sheet sideways", async (path, width, height) => {
    await open(path, { width, height });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });
});

describe("finding runs", () => {
  it("by keyboard alone, from the register: a lot is typed, Enter, twelve are found, and the first opens", async () => {
    await open("/");
    await page.getByRole("link", { name: "Find a run" }).press("Enter");
    await page.waitForURL("**/runs");
    expect(await page.locator("h1").innerText()).toBe("All runs: 24 runs, newest first.");
    await page.getByLabel("Lot").focus();
    await page.keyboard.type("b2");
    await page.keyboard.press("Enter");
    await page.waitForURL("**/runs?*lot=b2*");
    expect(await page.locator("h1").innerText()).toBe("Runs with a lot that holds “b2”: twelve were found, newest first.");
    expect(await page.locator(".run-line").count()).toBe(12);
    await page.locator(".run-line").first().press("Enter");
    await page.waitForURL(/\/runs\/[0-9a-f-]{36}$/);
  });

  it("works without scripts: 20 a page, the way on keeps what was asked, and 4 are left", async () => {
    await open("/runs", { javaScriptEnabled: false });
    await page.getByLabel("Material").fill("paste");
    await page.getByRole("button", { name: "Find" }).click();
    expect(await page.locator(".run-line").count()).toBe(20);
    await page.getByRole("link", { name: "Older ones" }).click();
    expect(await page.locator(".run-line .run-name").allInnerTexts()).toEqual(["run 4", "run 3", "run 2", "run 1"]);
    expect(await page.getByLabel("Material").inputValue()).toBe("paste");
  });

  it("a date that is none is one error at its field, tied to it, and what was typed stays", async () => {
    await open("/runs?from=03.02.2026&lot=A1");
    const field = page.getByLabel("From");
    expect([await field.getAttribute("aria-invalid"), await field.inputValue(), await page.locator(".error").count()]).toEqual(["true", "03.02.2026", 1]);
    expect(await page.locator("#find-from-error").innerText()).toContain("expected a date such as 2026-02-03");
    expect(await field.getAttribute("aria-describedby")).toContain("find-from-error");
    expect(await page.locator("h1").innerText()).toBe("Nothing was looked for: one field cannot be read.");
  });

  it("says what the disk holds and for how long there is room", async () => {
    await open("/runs");
    expect(await page.locator(".storage p").innerText()).toMatch(/^The files of 24 runs take 0 B; the last 90 days added 0 B\. Nothing was added|^The files of 24 runs take 0 B; since the first run, /);
  });
});

describe("charts across runs", () => {
  it("says that patterns are met, and names the 17th run in words and on the drawing", async () => {
    await open("/across");
    expect(await page.locator("h1").innerText()).toMatch(/^Area ratio across 24 runs: patterns that chance seldom makes are met first at run \d+, and at/);
    expect(await page.locator(".rule-lines").innerText()).toContain("Nelson 1 and Western Electric 1, one run beyond 3 standard deviations: at run 17.");
    expect(await page.locator("#drawing-across-individuals text[font-weight='700']").allTextContents()).toContain("1");
    expect(await page.locator(".said-first").innerText()).toBe("Gap in layer 1 comes again most: in 6 of 24 runs, most often at 10–20 % of the strand."); // middles from 1.5 to 3.5 mm of 20
  });

  it("by keyboard: another chart and lot are chosen, Enter, and the address keeps them", async () => {
    await open("/across");
    await page.getByLabel("Chart", { exact: true }).focus();
    await page.keyboard.type("EW");
    await page.getByLabel("Lot").focus();
    await page.keyboard.type("A1");
    await page.getByRole("button", { name: "Chart" }).press("Enter");
    await page.waitForURL(/chart=ewma.*lot=A1/);
    expect(await page.locator("h1").innerText()).toMatch(/^Area ratio across twelve runs with lot “A1”: /);
    expect(await page.locator("#drawing-across-ewma svg").count()).toBe(1);
  });
});
