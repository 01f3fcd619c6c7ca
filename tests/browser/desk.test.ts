/** The training desk in Debian's chromium: its own buttons get through its own checks, and axe has nothing to say, in light and dark. */
import type { Browser } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import type { CauseRequest } from "../../lib/rehearsal/liveCauses.ts";
import { openDesk, type Desk } from "../../lib/rehearsal/liveDesk.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";

let browser: Browser, desk: Desk;
let caused: CauseRequest[] = [], doing = "Looking at the bare target.";
beforeAll(async () => { browser = await launchBrowser(); });
afterAll(() => browser.close());
beforeEach(async () => {
  caused = [];
  desk = await openDesk(0, { state: () => ({ runId: "run-4", doing, on: caused.map((one) => one.kind) }), cause: (asked) => { caused.push(asked); return `done: ${asked.kind}`; } });
});
afterEach(() => desk.close());

describe("the training desk in a browser", () => {
  it("a button causes what it says, the page comes back and says so, and follows the cell by itself", async () => {
    const page = await browser.newPage(), complaints: string[] = [];
    page.on("console", (message) => { complaints.push(message.text()); });
    page.on("pageerror", (error) => { complaints.push(String(error)); });
    await page.goto(desk.url);
    await page.getByRole("button", { name: "Clog the nozzle" }).click();
    await page.getByText("done: clog").waitFor();
    doing = "Laying strand 3 of layer 1: 2.5 of 18.0 mm.";
    await page.getByText(doing).waitFor();
    await page.getByLabel("Layer").fill("1");
    await page.getByLabel("Strand").fill("2");
    await page.getByLabel("From, mm").fill("3.5");
    await page.getByLabel("To, mm").fill("8");
    await page.getByRole("button", { name: "Take a stretch off" }).click();
    await page.getByText("done: takeOff").waitFor();
    expect(caused).toEqual([{ kind: "clog", undo: false, place: null }, { kind: "takeOff", undo: false, place: { layer: 1, strand: 2, fromMm: 3.5, toMm: 8 } }]);
    expect(complaints).toEqual([]);
    await page.close();
  });

  it.each(["light", "dark"] as const)("axe finds nothing in %s, targets are at least 44 px high, and nothing is wider than a phone of 380 px", async (colorScheme) => {
    const context = await browser.newContext({ colorScheme, bypassCSP: true, viewport: { width: 380, height: 800 } }), page = await context.newPage();
    await page.goto(desk.url);
    expect(await axeComplaints(page)).toEqual([]);
    const heights = await page.locator("button, input:not([type=hidden])").evaluateAll((all) => all.map((one) => one.getBoundingClientRect().height));
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(44);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(380);
    await context.close();
  });
});
