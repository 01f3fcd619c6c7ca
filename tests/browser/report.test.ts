/** The report's page in Debian's chromium: made with every kind of block, and of a run with findings. */
import { rmSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { openStore } from "../../lib/store/openStore.ts";
import { writeReportBody } from "../../lib/store/reportBodies.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { MADE_SECTIONS, madeReport } from "../support/madeReport.ts";
import { madeResult } from "../support/madeResult.ts";
import { madeRun } from "../support/madeRun.ts";
import { ReadPdf } from "../support/poppler.ts";
import type { ServerProcess } from "../support/serverProcess.ts";
import { startServer } from "../support/serverProcess.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";

const folder = tempFolder();
const ids = { made: "", faulty: "" };
let server: ServerProcess;
let browser: Browser;
let page: Page;

/** One run whose kept body is the made one, and one whose report is made from its readings. */
function fill(): void {
  const newId = countedIds(), store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  const settings = { layers: 2, strands: 6, lengthMm: 20, spacingMm: 0.5, widthMm: 1, heightMm: 0.5 };
  ids.made = writeRun(store.db, madeRun(1, newId, madeResult({ ...settings, faults: [] })));
  ids.faulty = writeRun(store.db, madeRun(2, newId, madeResult({ ...settings, faults: [{ layer: 2, strand: 5, fromMm: 6, toMm: 8.5, kind: "gap" }, { layer: 2, strand: 2, fromMm: 9, toMm: 13, kind: "underExtrusion" }] })));
  const { verdict, sections } = madeReport(), resultId = store.db.prepare(`SELECT id FROM "Result" WHERE runId = ?`).pluck().get(ids.made) as string;
  store.db.prepare(`DELETE FROM "ReportBody" WHERE resultId = ?`).run(resultId);
  writeReportBody(store.db, resultId, { verdict, sections, findings: [] });
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

interface OpenOptions { readonly width?: number; readonly colorScheme?: "light" | "dark"; readonly scripts?: boolean }

async function open(path: string, { width = 1280, colorScheme = "light", scripts = true }: OpenOptions = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, reducedMotion: "reduce", javaScriptEnabled: scripts });
  page = await context.newPage();
  await page.goto(`${server.url}${path}`, { waitUntil: "networkidle" });
}

const reportOf = (name: keyof typeof ids): string => `/runs/${ids[name]}/report`;

describe("the page of a report", () => {
  for (const name of ["made", "faulty"] as const) {
    for (const colorScheme of ["light", "dark"] as const) {
      it(`"${name}" has nothing for axe in ${colorScheme}, text at 7 : 1 or better`, async () => {
        await open(reportOf(name), { colorScheme });
        expect(await axeComplaints(page)).toEqual([]);
      });
    }
  }

  it("opens with the verdict's sentence, goes on in the order of the sections with headings in steps of one, and ends with title block and safety note, without any script", async () => {
    await open(reportOf("made"), { scripts: false });
    expect(await page.locator("h1").innerText()).toBe(madeReport().verdict.headline);
    const levels = (await page.locator("h1, h2, h3").evaluateAll((all) => all.map((each) => Number(each.tagName[1]))));
    expect(levels.every((level, i) => level - (levels[i - 1] ?? 0) <= 1)).toBe(true);
    const titles = await page.locator(".report-body h2").allInnerTexts();
    const made = MADE_SECTIONS.map(({ title }) => title);
    expect(titles.filter((title) => made.includes(title))).toEqual(made);
    expect(titles).toEqual(expect.arrayContaining(["Findings", "Alerts", "Commands to the cell", "Deeds", "Signatures", "Record"]));
    expect(await page.locator(".report-contents a").allInnerTexts()).toEqual(titles);
    const places = await page.locator("main > *").evaluateAll((all) => all.map((each) => each.className));
    expect(places.slice(-2)).toEqual(["title-block", "safety"]);
  });

  it("shows each drawing as a picture with its words, its scale on paper, and a pattern for each verdict that has one", async () => {
    await open(reportOf("made"));
    const picture = page.locator("#drawing-first svg");
    expect([await picture.getAttribute("role"), await picture.getAttribute("aria-label")]).toEqual(["img", "Thirteen fills and eight lines, as they are told apart without colour (first)."]);
    expect(await page.locator("#drawing-first figcaption").innerText()).toMatch(/Fills and lines\s+1 : 2 on paper/);
    const fills = await picture.locator("[fill^='url(']").evaluateAll((all) => all.map((each) => each.getAttribute("fill")));
    expect(fills).toEqual(["under", "over", "lifted", "displaced"].map((verdict) => `url(#drawing-first-${verdict})`));
    expect(await picture.locator("pattern").evaluateAll((all) => new Set(all.map((each) => each.innerHTML)).size)).toBe(4);
  });

  it("has all 300 rows in the page, each named by its first cell, and says of an empty table that there are none", async () => {
    await open(reportOf("made"));
    const tables = page.locator(".report-body table");
    expect(await tables.filter({ hasText: "Strands, each with what was found" }).locator("tbody tr > th[scope=row]").count()).toBe(300);
    expect(await tables.filter({ hasText: "Stretches without a reading" }).locator("tbody").innerText()).toBe("None.");
    expect(await tables.locator("caption").count()).toBe(await tables.count());
    expect(await tables.locator("thead th:not([scope=col])").count()).toBe(0);
  });

  for (const width of [390, 1024, 1920]) {
    it(`does not scroll sideways at ${width} px; a table of fourteen columns does so within itself where it has to, and takes the keyboard`, async () => {
      await open(reportOf("made"), { width });
      expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(0);
      const room = page.getByRole("region", { name: "Fourteen columns" });
      await room.focus();
      expect(await room.evaluate((each) => document.activeElement === each && each.scrollWidth >= each.clientWidth)).toBe(true);
      if (width > 390) return;
      await page.keyboard.press("End");
      await page.keyboard.press("ArrowRight");
      await expect.poll(() => room.evaluate((each) => each.scrollLeft)).toBeGreaterThan(0);
    });
  }

  it("is reached from the run's sheet by keyboard, leads to its sections, back and to its PDF, which answers", async () => {
    await open(`/runs/${ids.made}`);
    await page.getByRole("link", { name: "Report", exact: true }).focus();
    await page.keyboard.press("Enter");
    await page.waitForURL(`**${reportOf("made")}?result=*`);
    await page.getByRole("link", { name: "What was not seen" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => page.locator("#unmeasured").evaluate((each) => Math.abs(each.getBoundingClientRect().top) < 60)).toBe(true);
    const link = page.getByRole("link", { name: "PDF, as on paper" }), href = await link.getAttribute("href");
    const answer = await page.request.get(`${server.url}${href}`);
    expect([answer.status(), answer.headers()["content-type"], (await answer.body()).subarray(0, 5).toString()]).toEqual([200, "application/pdf", "%PDF-"]);
    expect(await page.getByRole("link", { name: "The run’s sheets" }).getAttribute("href")).toBe(`/runs/${ids.made}`);
  });

  it("of a run or a result that is not here is not found", async () => {
    await open("/runs/none/report");
    expect(await page.locator("h1").innerText()).toBe("No run of this number is kept here.");
    const other = await page.request.get(`${server.url}${reportOf("made")}?result=none`);
    expect(other.status()).toBe(404);
    expect((await page.request.get(`${server.url}/api${reportOf("made")}/pdf?result=none`)).status()).toBe(404);
  });

  it("on paper is A4 upright: no links and contents, drawings at their own size, none cut, the title block last", async () => {
    await open(reportOf("made"), { colorScheme: "dark" });
    await page.emulateMedia({ media: "print" });
    expect(await page.locator(".report-contents, .report-downloads, .above a").evaluateAll((all) => all.filter((each) => each.checkVisibility()).length)).toBe(0);
    expect(await page.locator("#drawing-first").evaluate((each) => getComputedStyle(each).breakInside)).toBe("avoid");
    expect(await page.locator("#drawing-first svg").evaluate((each) => each.getBoundingClientRect().width * 72 / 96)).toBeCloseTo(493, 0);
    const bytes = await page.pdf({ preferCSSPageSize: true });
    const pdf = new ReadPdf(bytes);
    try {
      expect(pdf.info().get("Page size")).toMatch(/^59[45](\.\d+)? x 84[12](\.\d+)? pts/);
      const last = pdf.text(Number(pdf.info().get("Pages")));
      expect(last).toContain("log’s head");
      expect(last).toContain("not a medical device");
    } finally {
      pdf.close();
    }
  });
});
