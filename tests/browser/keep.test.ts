/** A run brought in, read and decided about, all by keyboard: a folder, a zip, a bad one; its record afterwards; paper. */
import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { chromium } from "playwright-core";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { CHROMIUM } from "../../scripts/chromium.mjs";
import { madeZip } from "../support/madeZip.ts";
import type { ServerProcess } from "../support/serverProcess.ts";
import { startServer } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

const ARGUMENTS = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const EXAMPLE = join(import.meta.dirname, "../../fixtures/example-run");

const folder = tempFolder();
const zips = tempFolder();
let server: ServerProcess;
let browser: Browser;
let page: Page;

beforeAll(async () => {
  if (!existsSync(CHROMIUM)) throw new Error(`The browser tests need ${CHROMIUM}: as root run "apt-get install -y chromium".`);
  server = await startServer(folder);
  browser = await chromium.launch({ executablePath: CHROMIUM, args: ARGUMENTS });
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  for (const each of [folder, zips]) rmSync(each, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(path: string, colorScheme: "light" | "dark" = "light"): Promise<void> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, colorScheme, reducedMotion: "reduce" });
  page = await context.newPage();
  await page.goto(`${server.url}${path}`);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
}

/** Tab until what has the focus says `words`. */
async function tabTo(words: string): Promise<void> {
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press("Tab");
    if (await page.evaluate(() => document.activeElement?.textContent?.trim() ?? "") === words) return;
  }
  throw new Error(`no way by Tab to "${words}"`);
}

async function choose(button: string, path: string): Promise<void> {
  await tabTo(button);
  const chooser = page.waitForEvent("filechooser");
  await page.keyboard.press("Enter");
  await (await chooser).setFiles(path);
}

function zipOf(name: string, change: (text: string, file: string) => string = (text) => text): string {
  const path = join(zips, name);
  writeFileSync(path, madeZip(readdirSync(EXAMPLE).map((file) => ({ name: `run/${file}`, data: change(readFileSync(join(EXAMPLE, file), "utf8"), file) }))));
  return path;
}

describe("bringing a run in, by keyboard alone", () => {
  it("a folder: from the register to its sheet, its worst place, its section, and a disposition that the log keeps", async () => {
    await open("/");
    await tabTo("Bring a run in");
    await page.keyboard.press("Enter");
    await page.waitForURL("**/import");
    await choose("Choose a folder", EXAMPLE);
    await page.getByRole("link", { name: "Open its sheet" }).waitFor();
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Open its sheet");
    await page.keyboard.press("Enter");
    await page.waitForURL("**/runs/*");
    await page.waitForSelector(".findings a[aria-current]");
    expect(await page.locator(".findings a[aria-current]").innerText()).toContain("Gap");
    expect(await page.locator("#station-title").innerText()).toContain("gap, proven");
    await page.waitForFunction(() => /\d+ points used/.test(document.body.innerText)); // the section has its profile's points
    await page.keyboard.press("d");
    expect(await page.evaluate(() => document.activeElement?.id)).toBe("disposition");
    await page.keyboard.press("ArrowDown"); // taken off and laid again
    await page.keyboard.press("Tab");
    await page.keyboard.press("Tab");
    await page.keyboard.type("seen under the lamp");
    await page.keyboard.press("Tab");
    await page.keyboard.type("A. Reader");
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    await page.getByText("Written to the log.").waitFor();
    await page.reload();
    const body = await page.locator("body").innerText();
    expect(body).toContain("taken off and laid again");
    expect(body).toContain("seen under the lamp");
    expect(body).toContain("A. Reader");
    expect(body).toMatch(/The record is whole/);
  });

  it("a zip of the same folder is the same run; one whose job is no JSON says file and line, and leads nowhere", async () => {
    await open("/");
    const kept = await page.locator(".run-line").count();
    await open("/import");
    await choose("Choose a zip", zipOf("bad.zip", (text, file) => (file === "job.json" ? text.replace("{", "{,") : text)));
    await page.getByText("job.json").nth(1).waitFor();
    expect(await page.getByRole("link", { name: "Open its sheet" }).count()).toBe(0);
    expect(await page.locator(".place").innerText()).toContain("job.json");
    await choose("Choose another zip", zipOf("good.zip"));
    await page.getByRole("link", { name: "Open its sheet" }).waitFor();
    await open("/");
    expect(await page.locator(".run-line").count()).toBe(kept);
  });
});

describe("axe finds nothing wrong", () => {
  for (const colorScheme of ["light", "dark"] as const) {
    it.each(["/import", "run"])(`on %s in ${colorScheme}`, async (path) => {
      await open("/", colorScheme);
      const run = await page.locator('a[href^="/runs/"]').first().getAttribute("href");
      await page.goto(`${server.url}${path === "run" ? run : path}`);
      await page.evaluate(AXE);
      const found = await page.evaluate(async () => {
        const { axe } = window as unknown as { axe: { run: (context: Document, options: object) => Promise<{ violations: { id: string; nodes: { target: string[] }[] }[] }> } };
        const { violations } = await axe.run(document, { rules: { "color-contrast-enhanced": { enabled: true } } });
        return violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.target.join(" ")}`));
      });
      expect(found).toEqual([]);
    });
  }
});

describe("paper", () => {
  it("a run prints to a PDF of at least its three sheets", async () => {
    await open("/");
    const run = await page.locator('a[href^="/runs/"]').first().getAttribute("href");
    await page.goto(`${server.url}${run}`);
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    expect(pdf.slice(0, 5)).toBe("%PDF-");
    expect((pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length).toBeGreaterThanOrEqual(3);
  });
});
