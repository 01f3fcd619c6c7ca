/** A run that a test streams in, on its page: found as it goes, its cell asked and heard, led to its finished sheet. Rehearsed print, seed 5, an invented gap. */
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { readEntries } from "../../lib/store/logTable.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { answerCommand, openPage, pollCommands, type PageOptions } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { command, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { bodiesOf, WireClient, type WireBody } from "../support/wireClient.ts";

/** The machine may be busy with other tests. */
const SOON = { timeout: 15_000 } as const;

const data = ownData();
const dataFolder = join(data.place, "data");
let folder = "", bodies: readonly WireBody[] = [], server: ServerProcess, browser: Browser, page: Page, count = 0;
const client = (): WireClient => new WireClient(() => server.url, token);
let token = "", dana = "", danaCookie = "";

beforeAll(async () => {
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "2", "--length", "12", "--fault", "gap@1/1/3-7", "--format", "ndjson")).out.trim();
  token = (await command("token", "add", "cell")).out.trim();
  ({ token: dana, cookie: danaCookie } = signedInAs(sharedStore().db, "Dana Reyes", { roles: ["operator"] }));
  bodies = bodiesOf(folder, 20);
  server = await startServer(dataFolder);
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

const makeRun = (): Promise<string> => client().makeRun(folder, `run ${++count}`);
/** Sends the share [from, to) of all bodies. */
async function stream(runId: string, from: number, to: number): Promise<void> {
  for (const body of bodies.slice(Math.floor(from * bodies.length), Math.floor(to * bodies.length))) await client().send(runId, body);
}
async function open(runId: string, options: PageOptions = {}): Promise<void> {
  page = await openPage(browser, `${server.url}/runs/${runId}`, options);
}
const sentence = (): Promise<string> => page.locator("h1").innerText();
const logged = (runId: string, kind: string) => [...readEntries(sharedStore().db, runId)].filter((entry) => entry.kind === kind);
const commandLines = (): Promise<string[]> => page.locator(".commands li").allInnerTexts();

describe("a run that streams in", () => {
  it("is prepared, then shows its gap while it is laid, each in words; its sheet takes the page's place once the cell has ended it", async () => {
    const runId = await makeRun();
    await open(runId);
    expect(await sentence()).toBe("Prepared: nothing has come of it yet.");
    expect(await page.locator(".detail").innerText()).toMatch(/^\d+ stations are planned\.$/);
    await stream(runId, 0, 0.8);
    await expect.poll(() => page.locator(".alert-title").allInnerTexts(), { timeout: 30_000 }).toContain("Strand 1 of layer 1 has a gap of 4.0 mm at 3.0 mm");
    expect(await page.locator(".findings .finding").first().innerText()).toMatch(/G\s+Gap\s+area ratio −?0\.0\d\s+strand 1, 3\.0–7\.0 mm\s+limit 0\.25 · act · proven/);
    await expect.poll(() => page.locator(".detail").innerText(), SOON).toMatch(/The newest reading is [\d.]+ s old(, [\d.]+ mm behind the nozzle)?; \d+ of 50 stations measured\./);
    expect(await page.locator(".facts").innerText()).toMatch(/\d profiles, \d+ rows of progress/);
    await page.locator(".findings .finding").first().click();
    await expect.poll(() => page.locator(".live-section").innerText(), SOON).toMatch(/Section · pinned · strand 1 at 5\.0 mm\s+gap, proven\s+Follow the newest[\s\S]*area ratio −?0\.0\d/);
    await page.getByRole("button", { name: "Follow the newest" }).click();
    expect(await page.locator(".live-section h2").innerText()).toMatch(/^Section · newest reading · strand \d at [\d.]+ mm · [\d.]+ s old/);
    await stream(runId, 0.8, 1);
    await client().call("POST", `/runs/${runId}/finish`);
    await expect.poll(sentence, { timeout: 30_000 }).toMatch(/^Not acceptable: one act finding\./);
    await expect.poll(() => page.locator(".sheets > .sheet").count(), SOON).toBe(3);
  });

  it("stands first in the register, with its state, since when, and a way to it", async () => {
    const runId = await makeRun();
    await stream(runId, 0, 0.3);
    page = await openPage(browser, server.url);
    expect(await sentence()).toMatch(/^(One run is|\w+ runs are) being laid[.,]/);
    const first = page.locator(".runs .run-line").first();
    expect(await first.innerText()).toMatch(/^LIVE\s[\s\S]*\.[\s\S]*since \d{4}-\d\d-\d\d \d\d:\d\d UTC$/);
    await first.click();
    await page.waitForURL(`**/runs/${runId}`);
    await client().call("POST", `/runs/${runId}/finish`);
  });
});

describe("the cell", () => {
  it("is asked to pause at the strand's end without a name, its answer and how long it took are shown, and the print is paused; to resume takes somebody who is signed in", async () => {
    const runId = await makeRun();
    await stream(runId, 0, 0.5);
    await open(runId);
    const polled = pollCommands(client(), runId, 0);
    await page.getByRole("button", { name: "Pause at strand’s end" }).click();
    expect(await polled).toEqual([{ n: 1, kind: "pause", at: "strandEnd", retractMm: 0, reason: "asked on the screen" }]);
    await expect.poll(commandLines, SOON).toEqual([expect.stringMatching(/^1\s+pause at the strand’s end\s+with the cell, no answer yet\s+asked [\d:]{8} UTC by screen [0-9a-f]{6} · fetched after \d\.\d s$/)]);
    await answerCommand(client(), runId, 1, "done");
    await expect.poll(commandLines, SOON).toEqual([expect.stringMatching(/^1\s+pause at the strand’s end\s+done\s+asked [\d:]{8} UTC by screen [0-9a-f]{6} · fetched after \d\.\d s · answered after \d+(\.\d)? s$/)]);
    await expect.poll(() => page.locator(".watch-header").innerText(), SOON).toContain("The print is paused.");

    expect(await page.getByRole("form", { name: "Resume the print" }).count()).toBe(0);
    expect(await page.locator(".watch-tasks").getByRole("link", { name: "Sign in to do this" }).first().getAttribute("href")).toBe(`/sign-in?next=${encodeURIComponent(`/runs/${runId}`)}`);
    await page.context().close();
    await open(runId, { token: dana });
    const form = page.getByRole("form", { name: "Resume the print" });
    await form.getByLabel("Strand").fill("9");
    await form.getByRole("button").click();
    await expect.poll(() => form.getByRole("status").innerText(), SOON).toMatch(/^Not asked: expected a strand of this run's plan, got layer 1, strand 9/);
    await form.getByLabel("Strand").fill("2");
    await form.getByLabel("From, mm").fill("1.5");
    await form.getByRole("button").click();
    expect(await pollCommands(client(), runId, 1)).toEqual([{ n: 2, kind: "resume", layer: 1, strand: 2, sMm: 1.5, overlapMm: 1, rows: expect.arrayContaining([expect.objectContaining({ layer: 1, strand: 2, speedMmS: 8 })]) as unknown }]);
    await answerCommand(client(), runId, 2, "refused", "the arm is homing");
    await expect.poll(async () => (await commandLines())[0], SOON).toMatch(/^2\s+resume at layer 1, strand 2, 1\.5 mm with 1\.0 mm of overlap\s+refused: the arm is homing\s+asked [\d:]{8} UTC by Dana Reyes/);
    expect(logged(runId, "command.asked").map(({ actor }) => actor)).toEqual([expect.stringMatching(/^screen [0-9a-f]{6}$/), "Dana Reyes"]);
    await page.getByRole("button", { name: "Pause now" }).click();
    await expect.poll(async () => (await commandLines())[0], SOON).toMatch(/^3\s+pause now\s+the cell has not fetched it yet\s+asked [\d:]{8} UTC by Dana Reyes at screen [0-9a-f]{6}/);
    await client().call("POST", `/runs/${runId}/finish`);
  });

  it("is asked to abort by two deliberate touches alone: the same key twice asks for nothing", async () => {
    const runId = await makeRun();
    await stream(runId, 0, 0.2);
    await open(runId);
    await page.getByRole("button", { name: /^Abort …/ }).focus();
    await page.keyboard.press("Enter");
    await page.keyboard.press("Enter");
    await expect.poll(() => page.evaluate(() => document.activeElement?.textContent), SOON).toMatch(/^Abort …/);
    expect(await pollCommands({ call: (method: "GET", path: string) => client().call(method, path.replace("waitS=10", "waitS=0")) } as WireClient, runId, 0)).toEqual([]);
    await page.keyboard.press("Enter");
    await page.keyboard.press("Tab");
    await page.keyboard.press("Enter");
    expect(await pollCommands(client(), runId, 0)).toEqual([{ n: 1, kind: "abort", reason: "asked on the screen" }]);
    await answerCommand(client(), runId, 1, "done");
    await client().call("POST", `/runs/${runId}/finish`);
    await expect.poll(() => page.locator(".sheets .review").count(), { timeout: 20_000 }).toBe(1);
    expect(logged(runId, "run.aborted").length).toBe(1);
  });
});

describe("a run whose cell is gone", () => {
  it("is ended on the page by somebody who is signed in, for a reason that is picked or typed; what came is measured", async () => {
    const runId = await makeRun();
    await stream(runId, 0, 0.7);
    await open(runId, { token: dana });
    await page.getByText("The cell is gone: end the run").click();
    const form = page.getByRole("form", { name: "End the run" });
    await form.getByLabel("Reason").selectOption("another reason");
    await form.getByLabel("In words").fill("the cell lost its power");
    await form.getByRole("button").click();
    await expect.poll(sentence, { timeout: 30_000 }).toMatch(/^Not acceptable so far: one act finding\./);
    expect(logged(runId, "run.endAsked").map(({ actor, payload }) => [actor, payload])).toEqual([["Dana Reyes", { reason: "the cell lost its power" }]]);
  });

  it("and of which nothing came says that nothing could be measured, on its page and in the register", async () => {
    const runId = await makeRun();
    await client().call("POST", `/runs/${runId}/finish`);
    await open(runId);
    expect(await sentence()).toBe("The run is over. What came of it could not be measured.");
    expect(await page.locator(".pause-bar").count()).toBe(0);
    expect(await axeComplaints(page)).toEqual([]);
    await page.goto(server.url);
    expect(await page.getByRole("list", { name: "Runs that are over and could not be measured" }).innerText()).toMatch(/^OVER\s/);
  });
});

describe("a page that is cut off", () => {
  it("says for how long it has heard nothing and loses its ink, and follows again once the server is back", { timeout: 120_000 }, async () => {
    const runId = await makeRun(), { port } = new URL(server.url);
    await stream(runId, 0, 0.5);
    await open(runId);
    await expect.poll(() => page.locator(".detail").innerText(), { timeout: 20_000 }).toMatch(/The newest reading is [\d.]+ s old/);
    await server.stop("SIGKILL");
    await expect.poll(sentence, { timeout: 20_000 }).toMatch(/^No word from the server for \d+ s\.$/);
    expect(await page.locator(".age").innerText()).toMatch(/^\d+ s old$/);
    expect(await page.locator("main.old").count()).toBe(1);
    expect(await axeComplaints(page)).toEqual([]);
    server = await startServer(dataFolder, port);
    await expect.poll(sentence, { timeout: 30_000 }).not.toMatch(/^No word/);
    await stream(runId, 0.5, 0.85);
    await expect.poll(() => page.locator(".findings").innerText(), { timeout: 30_000 }).toMatch(/Gap/);
    await client().call("POST", `/runs/${runId}/finish`);
  });
});

describe("the live sheet", () => {
  it.each(["light", "dark"] as const)("has nothing that axe finds wrong in %s, with a finding, a request and its forms open", async (colorScheme) => {
    const runId = await makeRun();
    await stream(runId, 0, 0.8);
    await client().call("POST", `/runs/${runId}/commands`, { type: "application/json", text: JSON.stringify({ kind: "pause", at: "now", reason: "by the test" }) });
    await open(runId, { colorScheme, token: dana });
    await expect.poll(() => page.locator(".finding").count(), { timeout: 20_000 }).toBeGreaterThan(0);
    await page.getByText("The cell is gone: end the run").click();
    expect(await axeComplaints(page)).toEqual([]);
    await page.getByRole("button", { name: /^Abort …/ }).click();
    expect(await axeComplaints(page)).toEqual([]);
    await client().call("POST", `/runs/${runId}/finish`);
  });

  it.each([1920, 1440, 1024, 390])("at %i px nothing runs out of it sideways", async (width) => {
    const runId = await makeRun();
    await open(runId, { width });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });

  it("a request of another site can neither ask its cell nor end it; to end it takes somebody who is signed in, and a reason", async () => {
    const runId = await makeRun();
    const post = async (path: string, body: object, origin: string, cookie = danaCookie): Promise<number> => (await fetch(`${server.url}/api/live/${runId}/${path}`, { method: "POST", headers: { origin, cookie, "content-type": "application/json" }, body: JSON.stringify(body) })).status;
    expect([await post("commands", { kind: "abort" }, "http://elsewhere.example"), await post("finish", { reason: "cellGone", words: "" }, "http://elsewhere.example")]).toEqual([403, 403]);
    expect([await post("commands", { kind: "flowFactor", factor: 2 }, server.url), await post("finish", { reason: "y", words: "" }, server.url), await post("finish", { reason: "other", words: " " }, server.url)]).toEqual([400, 400, 400]);
    expect(await post("finish", { reason: "cellGone", words: "" }, server.url, "")).toBe(401);
  });
});
