/** A run measured again on its page, and two results beside each other, in Debian's chromium: by keyboard, by axe, and narrow. */
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { sharedStore } from "../../lib/server/settings.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, tabTo, type PageOptions } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData();
let server: ServerProcess, browser: Browser, page: Page, runId = "", otherId = "", resultId = "", token = "";
beforeAll(async () => {
  runId = (await command("import", EXAMPLE)).out.trim();
  const folder = join(data.place, "other");
  await command("rehearse", "--out", folder, "--seed", "71", "--strands", "2", "--length", "6", "--points", "150", "--dx", "0.05", "--fault", "gap@1/2/2-4");
  otherId = (await command("import", folder)).out.trim();
  token = signedInAs(sharedStore().db, "Dana Reyes").token;
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { for (const context of browser.contexts()) await context.close(); });

async function open(path: string, options: PageOptions = {}): Promise<void> {
  page = await openPage(browser, `${server.url}${path}`, options);
  await page.waitForLoadState("networkidle"); // scripts are in and keys are heard
}
const sideways = (): Promise<number> => page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

describe("measuring again", () => {
  it("is asked for by keyboard, is refused where nothing was changed, then shows the recompute with who, why and the way back", { timeout: 120_000 }, async () => {
    await open(`/runs/${runId}`, { token });
    expect(await page.locator(".recompute-note").count()).toBe(0);
    await page.locator(".again summary").press("Enter");
    const form = page.getByRole("form", { name: "Measure again under other bands" }), button = form.getByRole("button", { name: "Measure again" });
    const gapField = form.getByLabel("gap, area ratio below, act");
    expect([await gapField.inputValue(), await form.getByLabel("area ratio, watch, low").inputValue(), await form.getByLabel("width against plan, ±, watch, mm").inputValue()]).toEqual(["0.25", "0.9", ""]);
    await form.getByLabel(/^Reason/).fill("gaps of a third");
    await button.press("Enter");
    await page.getByText("Not measured: expected bands that differ from the run’s own, got the same.").waitFor();
    await gapField.fill("1.5");
    await button.press("Enter");
    await page.getByText("Not measured: expected a ratio above 0 and below 1, got 1.5 at tolerance.gapRatio.").waitFor();
    await gapField.fill("0.33");
    await gapField.press("Tab");
    expect(await tabTo(page, "Measure again")).toBe(true);
    await page.keyboard.press("Enter");
    await page.waitForURL(/\?result=/);
    resultId = new URL(page.url()).searchParams.get("result") ?? "";
    expect(await page.locator(".recompute-note").innerText()).toMatch(/^This is a recompute under other bands, by Dana Reyes on 20\d\d-.*: “gaps of a third”\. The run’s own result stands beside it\./);
    expect(await page.locator(".results li").allInnerTexts()).toEqual([expect.stringMatching(/^The run’s own/), expect.stringMatching(/^Recompute by Dana Reyes/)]);
    expect(readEntriesOf(sharedStore().db, runId, "result.recomputed").map(({ actor, payload }) => [actor, payload.resultId, payload.reason])).toEqual([["Dana Reyes", resultId, "gaps of a third"]]);
    await page.getByRole("link", { name: "Back to the run’s own result" }).press("Enter");
    await page.waitForURL(`${server.url}/runs/${runId}`);
    await expect.poll(() => page.locator(".recompute-note").count()).toBe(0);
  });

  it("asks who it is: signed out there is a way to sign in and no form; a result that is none of the run’s is not found", async () => {
    await open(`/runs/${runId}?result=${resultId}`);
    await page.locator(".again summary").press("Enter");
    expect([await page.locator(".again .may-do").innerText(), await page.locator(".recompute").count()]).toEqual(["Sign in to do this", 0]);
    const response = await page.goto(`${server.url}/runs/${otherId}?result=${resultId}`);
    expect(response?.status()).toBe(404);
  });
});

describe("two beside each other", () => {
  it("are chosen by a form without a script, from the register by keyboard", async () => {
    await open("/");
    await page.getByRole("link", { name: "Two runs beside each other" }).press("Enter");
    await page.waitForURL(/\/beside$/);
    expect(await page.locator("h1").innerText()).toBe("Choose two runs.");
    await page.getByLabel("A", { exact: true }).selectOption(runId);
    await page.getByLabel("B", { exact: true }).selectOption(otherId);
    await page.getByRole("button", { name: "Put beside each other" }).press("Enter");
    await page.waitForURL(`${server.url}/beside?a=${runId}&b=${otherId}`);
    expect(await page.locator("h1").innerText()).toMatch(/^Two different plans: places cannot be compared\./);
    expect(await page.getByText("The plans differ, so their strands cannot be compared.").count()).toBe(1);
  });

  it("of one run its own result and its recompute stand side by side, and links turn a side to another result", async () => {
    await open(`/beside?a=${runId}&b=${runId}&rb=${resultId}`);
    expect(await page.locator("h1").innerText()).toMatch(/^The same data, measured twice\./);
    expect(await page.locator("tr.differs th").allInnerTexts()).toEqual(["result", "limits: gap, area ratio below"]);
    await page.locator(".side-results").last().getByRole("link", { name: "the run’s own result" }).press("Enter");
    await page.waitForURL(`${server.url}/beside?a=${runId}&b=${runId}`);
    await expect.poll(() => page.locator("h1").innerText()).toBe("Both sides are the same result: nothing differs.");
  });

  it("a run that is not there is said by its side", async () => {
    await open(`/beside?a=${runId}&b=none`);
    expect(await page.locator("h1").innerText()).toBe("There is no such run or result on side B.");
  });
});

describe.each(["recompute", "form", "choice", "beside", "two plans"] as const)("the page %s", (name) => {
  const pathOf = (): string => ({ recompute: `/runs/${runId}?result=${resultId}`, form: `/runs/${runId}`, choice: "/beside", beside: `/beside?a=${runId}&b=${runId}&rb=${resultId}`, "two plans": `/beside?a=${runId}&b=${otherId}` })[name];

  it.each(["light", "dark"] as const)("has nothing that axe finds wrong in %s", async (colorScheme) => {
    await open(pathOf(), { colorScheme, token });
    if (name === "form") await page.locator(".again summary").press("Enter");
    expect(await axeComplaints(page)).toEqual([]);
  });

  it.each([1440, 390])("at %i px nothing runs out of it sideways", async (width) => {
    await open(pathOf(), { width, token });
    if (name === "form") await page.locator(".again summary").press("Enter");
    expect(await sideways()).toBe(0);
  });
});
