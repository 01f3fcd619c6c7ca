/** The watch over a simulated cell that prints for real: a clog, a gap and a drag are caused, seen and heard; paused, acknowledged, taken off, laid again; another run aborted; the server killed under the page. */
import { spawn, type ChildProcess } from "node:child_process";
import { join } from "node:path";
import { createInterface } from "node:readline";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { sharedStore } from "../../lib/server/settings.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { launchBrowser } from "../support/browser.ts";
import { openPage } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { command, ownData } from "../support/recorded.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData(), dataFolder = join(data.place, "data"), SOON = { timeout: 40_000 } as const;
let server: ServerProcess, browser: Browser, page: Page, token = "", operator = "";
const cells: ChildProcess[] = [];

/** A cell in a process of its own: its run and its training desk. */
async function startCell(seed: number): Promise<{ readonly runId: string; readonly desk: string }> {
  const cell = spawn(process.execPath, [join(ROOT, "scripts", "launch.mjs"), "rehearse", "--live", server.url, "--control", "0", "--seed", String(seed), "--strands", "4", "--length", "16", "--layers", "2", "--speed", "6", "--points", "240", "--dx", "0.05"], {
    cwd: ROOT, env: { ...process.env, ASLAID_TOKEN: token }, stdio: ["ignore", "pipe", "pipe"],
  });
  cells.push(cell);
  const line = (from: NodeJS.ReadableStream, form: RegExp): Promise<string> => new Promise((done) => { createInterface({ input: from }).on("line", (text) => { const found = form.exec(text)?.[1]; if (found !== undefined) done(found); }); });
  const [runId, desk] = await Promise.all([line(cell.stdout as NodeJS.ReadableStream, /^([0-9a-f-]{36})$/), line(cell.stderr as NodeJS.ReadableStream, /^Training desk at (\S+)$/)]);
  return { runId, desk };
}
const cause = (desk: string, kind: string, ...more: string[]): Promise<unknown> => command("rehearse", "--cause", kind, "--cell", desk, ...more);
const alerts = (): Promise<string[]> => page.locator(".alert-title").allInnerTexts();
const stateOf = (runId: string): unknown => sharedStore().db.prepare(`SELECT state FROM "Run" WHERE id = ?`).pluck().get(runId);
const sounding = (): Promise<string | null> => page.locator(".sound-bar").getAttribute("data-sounding");
const resume = () => page.getByRole("form", { name: "Resume the print" }).getByRole("button", { name: /^Resume/ });

beforeAll(async () => {
  token = (await command("token", "add", "cell")).out.trim();
  operator = signedInAs(sharedStore().db, "Dana Reyes", { roles: ["operator"] }).token;
  server = await startServer(dataFolder);
  browser = await launchBrowser();
}, 120_000);
afterAll(async () => {
  for (const cell of cells) cell.kill("SIGKILL");
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});

describe("a print that goes wrong", () => {
  it("a clog is seen and heard; paused, acknowledged, marked as taken off, laid again, it goes on", { timeout: 240_000 }, async () => {
    const { runId, desk } = await startCell(61);
    page = await openPage(browser, `${server.url}/runs/${runId}`, { width: 1920, height: 1080, token: operator });
    await page.mouse.click(5, 5); // the first touch lets it sound
    await expect.poll(() => page.locator("h1").innerText(), SOON).toMatch(/^Good so far\. Strand \d/);
    await cause(desk, "clog");
    await expect.poll(alerts, SOON).toEqual(expect.arrayContaining([expect.stringMatching(/^Strand \d of layer 1 (has a gap|holds \d+\s% too little)/)]));
    await expect.poll(sounding, SOON).toMatch(/^(medium|high)$/);
    await page.getByRole("button", { name: "Pause now" }).click();
    await expect.poll(() => stateOf(runId), SOON).toBe("paused");
    await cause(desk, "clog", "--undo");
    expect(await page.locator("h1").innerText()).toMatch(/^Strand \d of layer 1/);

    const place = /^Strand (\d) of layer 1/.exec(await page.locator("h1").innerText())?.[1] ?? "";
    await page.getByRole("button", { name: /^Acknowledge: Strand/ }).first().click();
    await expect.poll(() => readEntriesOf(sharedStore().db, runId, "alert.acknowledged").map(({ actor }) => actor), SOON).toContain("Dana Reyes");
    await page.getByRole("button", { name: /^Show: Strand/ }).first().click();
    await page.keyboard.press("m");
    for (let i = 0; i < 4; i++) await page.keyboard.press(",");
    await page.keyboard.press("m");
    const form = page.getByRole("form", { name: "Stretch taken off" });
    await expect.poll(() => form.innerText(), SOON).toMatch(new RegExp(`^Strand ${place} of layer 1, [\\d.]+–[\\d.]+ mm was taken off\\.`));
    await form.getByRole("button", { name: "Write it down" }).click();
    await expect.poll(() => readEntriesOf(sharedStore().db, runId, "strand.takenOff").map(({ actor, payload }) => [actor, payload.strand]), SOON).toEqual([["Dana Reyes", Number(place)]]);
    await resume().first().click();
    await expect.poll(() => page.locator(".commands li").first().innerText(), SOON).toMatch(/resume at layer 1.*\n?[\s\S]*done/);
    await expect.poll(() => stateOf(runId), SOON).toBe("live");
    await cause(desk, "drag");
    await expect.poll(alerts, { timeout: 60_000 }).toEqual(expect.arrayContaining([expect.stringMatching(/gap|come off|off the path|displaced|of its path/)]));
    await page.context().close();
  });

  it("another is aborted with two touches in two places", { timeout: 120_000 }, async () => {
    const { runId } = await startCell(62);
    page = await openPage(browser, `${server.url}/runs/${runId}`, { width: 1024, height: 768 });
    await page.getByRole("button", { name: /^Abort …/ }).click();
    await page.getByRole("button", { name: /^Yes, abort/ }).click();
    await expect.poll(() => stateOf(runId), SOON).toBe("aborted");
    expect(readEntriesOf(sharedStore().db, runId, "command.asked").map(({ actor, payload }) => [/^screen [0-9a-f]{6}$/.test(actor), /"abort"/.test(payload.command)])).toEqual([[true, true]]);
    await page.context().close();
  });
});

describe("a server that dies under the page", () => {
  it("makes the page sound by itself, say so, lose its ink, and come back once the server does", { timeout: 180_000 }, async () => {
    const { runId } = await startCell(63), port = new URL(server.url).port;
    page = await openPage(browser, `${server.url}/runs/${runId}`, { width: 1920, height: 1080 });
    await page.mouse.click(5, 5);
    await expect.poll(() => page.locator("h1").innerText(), SOON).toMatch(/^Good so far/);
    await server.stop("SIGKILL");
    await expect.poll(() => page.locator("h1").innerText(), SOON).toMatch(/^No word from the server for \d+ s\.$/);
    await expect.poll(sounding, SOON).toBe("lost");
    expect(await page.locator("main").getAttribute("class")).toContain("old");
    server = await startServer(dataFolder, port);
    await expect.poll(() => page.locator("h1").innerText(), { timeout: 90_000 }).not.toMatch(/^No word/);
    await expect.poll(sounding, SOON).not.toBe("lost");
    await page.context().close();
  });
});
