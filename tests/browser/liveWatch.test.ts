/** The live page as it is watched: sizes for two metres, one touch or one key that pauses, alerts, a stretch taken off, old pictures. Rehearsed print, seed 5, an invented gap. */
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { LiveWords } from "../../lib/model/liveSheet.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { pollCommands, tabTo } from "../support/livePage.ts";
import { holdSession, signedInAs } from "../support/people.ts";
import { madeAlert, sayInstead } from "../support/liveWords.ts";
import { command, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";

/** A 24-inch screen of 1920 × 1080 is 531.3 mm wide; 22 minutes of arc at 2 m are 12.80 mm. */
const PX_PER_MM = 1920 / 531.3, LEAST_CAP_PX = 2000 * Math.tan((22 / 60) * (Math.PI / 180)) * PX_PER_MM, LEAST_TOUCH_PX = 25 * PX_PER_MM;

/** The machine may be busy with other tests. */
const SOON = { timeout: 15_000 } as const;

const data = ownData();
let folder = "", token = "", operator = "", runId = "", server: ServerProcess, browser: Browser, page: Page;
const client = (): WireClient => new WireClient(() => server.url, token);

beforeAll(async () => {
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "2", "--length", "12", "--fault", "gap@1/1/3-7", "--format", "ndjson")).out.trim();
  token = (await command("token", "add", "cell")).out.trim();
  operator = signedInAs(sharedStore().db, "Dana Reyes", { roles: ["operator"] }).token;
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
  runId = await client().makeRun(folder, "watched");
  const bodies = bodiesOf(folder, 20);
  for (const body of bodies.slice(0, Math.floor(0.8 * bodies.length))) await client().send(runId, body);
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

interface Options { readonly width?: number; readonly height?: number; readonly colorScheme?: "light" | "dark"; readonly words?: Partial<LiveWords> }

async function open({ width = 1920, height = 1080, colorScheme = "light", words = {} }: Options = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: "reduce" });
  await holdSession(context, server.url, operator);
  page = await context.newPage();
  await sayInstead(page, words);
  await page.goto(`${server.url}/runs/${runId}`);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
  const { headline } = words;
  if (headline !== undefined) await expect.poll(() => page.locator("h1").innerText(), SOON).toBe(headline);
}

interface Box { readonly left: number; readonly right: number; readonly top: number; readonly bottom: number; readonly width: number; readonly height: number }
const boxes = (selector: string): Promise<Box[]> => page.locator(selector).evaluateAll((all) => all.map((each) => each.getBoundingClientRect().toJSON() as Box));
const boxOf = async (selector: string): Promise<Box> => (await boxes(selector))[0] as Box;

/** Bodies that the page posts to a path of its own, each answered so. */
async function posted(path: string, answer: object = {}): Promise<unknown[]> {
  const bodies: unknown[] = [];
  await page.route(`**/api/live/${runId}/${path}`, async (route) => {
    bodies.push(route.request().postDataJSON());
    await route.fulfill({ json: answer });
  });
  return bodies;
}

const LONG = "Strand 2 of layer 1 lies 0.34 mm left of its path, since it began here";

describe("at 1920 × 1080, read from two metres", () => {
  it("capitals of the headline are at least 46.3 rows of ink high, counted on the screen, and the same in two lines as in one", async () => {
    await open({ words: { headline: "HHH" } });
    const { data: grey, info } = await sharp(await page.locator("h1").screenshot()).greyscale().raw().toBuffer({ resolveWithObject: true });
    const isInk = (row: number): boolean => grey.subarray(row * info.width, (row + 1) * info.width).some((value) => value < 128);
    const rows = Array.from({ length: info.height }, (_, row) => row).filter(isInk).length;
    expect(rows).toBeGreaterThanOrEqual(LEAST_CAP_PX);
    const sizeOf = (): Promise<string> => page.locator("h1").evaluate((h1) => getComputedStyle(h1).fontSize);
    const short = await sizeOf();
    await page.close();
    await open({ words: { headline: LONG } });
    expect(LONG.length).toBe(70);
    expect(await sizeOf()).toBe(short);
    expect((await boxOf("h1")).height / Number.parseFloat(short)).toBeLessThan(2.1);
  });

  it("the time that the paste still works is as large, and pause and abort are 90.4 px at least, each way", async () => {
    await open({ words: { paste: { endsAt: "2026-02-03T09:20:00.000Z", leftS: 155.4, workingTimeS: 420, toPrintS: 118 } } });
    await expect.poll(() => page.locator(".paste").innerText(), SOON).toMatch(/Paste works for\s+2:36\s*left to print 1:58/);
    expect(0.7 * Number.parseFloat(await page.locator(".paste-left b").evaluate((b) => getComputedStyle(b).fontSize))).toBeGreaterThanOrEqual(LEAST_CAP_PX);
    expect(await page.locator(".pause-buttons button").allInnerTexts()).toEqual(["Pause at strand’s end", "Pause now", "Pause at layer’s end", "Abort …"]);
    await page.getByRole("button", { name: "Abort …" }).click();
    const all = await boxes(".pause-bar .pause-buttons button");
    expect(all.length).toBe(6);
    for (const box of all) expect(Math.min(box.width, box.height)).toBeGreaterThanOrEqual(LEAST_TOUCH_PX);
  });

  it.each([[1, LONG], [14, "Good so far."]] as const)("all that matters stands on the first screen, with %i alerts, and nothing pushes the pause away", async (count, headline) => {
    await open({ words: { headline, alerts: Array.from({ length: count }, (_, i) => madeAlert(i + 1)), advice: "Pause at the strand’s end and look." } });
    for (const part of [".watch-header", ".picture", ".lanes", ".live-section", ".paste", ".heard", ".alerts", ".pause-bar", ".watch .title-block dl"]) {
      const { bottom, height } = await boxOf(part);
      expect([part, height > 20, bottom <= 1080]).toEqual([part, true, true]);
    }
    expect((await boxOf(".section")).height).toBeGreaterThan(130);
    const { top, bottom } = await boxOf(".pause-buttons");
    expect([Math.round(bottom - top), Math.round(1080 - bottom)]).toEqual([96, 173]); // the same with either headline and any number of alerts
  });

  it.each(["light", "dark"] as const)("axe finds nothing wrong in %s with everything on it, and no target is below 44 px", async (colorScheme) => {
    const alerts = [madeAlert(1, { priority: "high" }), madeAlert(2, { state: "acknowledged", acknowledgedBy: "Dana Reyes" }), madeAlert(3, { state: "shelved", shelf: { until: "2026-02-03T09:20:00.000Z", reason: "known", by: "Dana Reyes" } })];
    await open({ colorScheme, words: { alerts, state: "paused", early: "No paste is coming on strand 2 of layer 1 since 0.0 mm", isOld: true, ageWords: "12 s", gate: { layer: 2, isHeld: true, words: "Layer 2 is held." }, autoPause: { isOn: false, by: "Dana Reyes" } } });
    await expect.poll(() => page.locator(".alert").count(), SOON).toBe(3);
    await page.getByRole("button", { name: /^Decide: .* number 1$/ }).click();
    await page.getByRole("button", { name: "Mark taken off" }).click();
    expect(await axeComplaints(page)).toEqual([]);
    const small = await page.locator("main button, main select, main input:not([type=checkbox]), main summary, main a").evaluateAll((all) => all.filter((each) => { const { width, height } = each.getBoundingClientRect(); return width > 0 && Math.min(width, height) < 43.9; }).map((each) => each.textContent));
    expect(small).toEqual([]);
  });
});

it("at 1024 × 768 pause and abort are in sight when it opens and stay so where the page is scrolled, and nothing runs out sideways", async () => {
  await open({ width: 1024, height: 768, words: { alerts: [madeAlert(1)] } });
  for (const to of [0, 400]) {
    await page.evaluate((y) => window.scrollTo(0, y), to);
    const all = await boxes(".pause-bar .pause-buttons button");
    expect(all.length).toBe(4);
    for (const { width, height, bottom } of all) expect([Math.min(width, height) >= LEAST_TOUCH_PX, bottom <= 768]).toEqual([true, true]);
  }
  expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  expect(await axeComplaints(page)).toEqual([]);
});

describe("one key", () => {
  it("pauses where the page proposes it: Space on the page, the Pause key anywhere; Space on a button presses the button alone", async () => {
    await open({ words: { headline: "Good so far.", pauseAt: "now" } });
    const asked = await posted("commands", { n: 4 });
    await page.keyboard.press("Space");
    await expect.poll(() => asked, SOON).toEqual([{ kind: "pause", at: "now" }]);
    await page.getByRole("button", { name: "Along", exact: true }).focus();
    await page.keyboard.press("Space");
    expect(await page.getByRole("button", { name: "Along", exact: true }).getAttribute("aria-pressed")).toBe("true");
    await page.keyboard.press("Pause");
    await expect.poll(() => asked.length, SOON).toBe(2);
    await expect.poll(() => page.locator(".pause-line .said").innerText(), SOON).toBe("Asked as number 4.");
  });

  it("that a foot switch sends is learned, shown, kept by the browser, and pauses; none aborts", async () => {
    await open({ words: { headline: "Good so far.", pauseAt: "layerEnd" } });
    const asked = await posted("commands", { n: 4 });
    await page.getByRole("button", { name: "Use another key" }).click();
    await page.keyboard.press("m");
    await expect.poll(() => page.locator(".pause-keys").innerText(), SOON).toMatch(/“m” does something else on this page/);
    await page.keyboard.press("F9");
    await expect.poll(() => page.locator(".pause-keys").innerText(), SOON).toMatch(/Keys: Space Pause F9/);
    expect(asked).toEqual([]);
    await page.reload();
    await expect.poll(() => page.locator(".pause-keys").innerText(), SOON).toMatch(/F9/);
    await expect.poll(() => page.locator("h1").innerText(), SOON).toBe("Good so far.");
    await page.keyboard.press("F9");
    await expect.poll(() => asked, SOON).toEqual([{ kind: "pause", at: "layerEnd" }]);
    for (const key of ["a", "0", ".", ",", "j", "k", "x", "Escape", "Delete", "Backspace", "Enter", "q"]) await page.keyboard.press(key);
    expect(asked.filter((body) => (body as { kind: string }).kind === "abort")).toEqual([]);
  });

  it("acknowledges the topmost alert that waits", async () => {
    await open({ words: { alerts: [madeAlert(7, { state: "acknowledged" }), madeAlert(5, { state: "returned" }), madeAlert(6)] } });
    const deeds = await posted("alerts");
    await expect.poll(() => page.locator(".alert").count(), SOON).toBe(3);
    await page.keyboard.press("a");
    await expect.poll(() => deeds, SOON).toEqual([{ do: "acknowledge", n: 5 }]);
  });
});

describe("an alert", () => {
  it("is shelved for a stated time and reason, decided about, and shown at its place, by keyboard alone", async () => {
    await open({ words: { alerts: [madeAlert(3)] } });
    const deeds = await posted("alerts");
    await expect.poll(() => page.locator(".alert").innerText(), SOON).toMatch(/number 3[\s\S]*since \d\d:\d\d:\d\d · not acknowledged · Pause and look\./);
    expect(await page.locator(".alert").getByRole("img", { name: "Medium priority, not acknowledged" }).count()).toBe(1);
    await page.locator(".alert .show").focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => page.locator(".live-section h2").innerText(), SOON).toMatch(/pinned · strand 1 at 5\.0 mm/);
    await page.keyboard.press("0");
    await expect.poll(() => page.locator(".live-section h2").innerText(), SOON).toMatch(/newest reading/);
    expect(await tabTo(page, "Shelve")).toBe(true);
    await page.keyboard.press("Enter");
    const shelve = page.getByRole("form", { name: "Shelve the alert" });
    await shelve.getByLabel(/^For/).selectOption({ label: "5 min" });
    await shelve.getByLabel("Reason").selectOption("other");
    await shelve.getByLabel("In words").fill("the lens is being wiped");
    await page.keyboard.press("Enter");
    await expect.poll(() => deeds, SOON).toEqual([{ do: "shelve", n: 3, forS: 300, reason: "other", note: "the lens is being wiped" }]);
    await page.getByRole("button", { name: /^Decide: / }).click();
    const decide = page.getByRole("form", { name: "Decide about the finding" });
    await decide.getByLabel("Disposition").selectOption({ label: "taken off and laid again" });
    await decide.getByRole("button").click();
    await expect.poll(() => deeds[1], SOON).toEqual({ do: "dispose", n: 3, disposition: "takenOffAndLaidAgain", reason: "laidAgainAtOnce", note: "" });
  });
});

describe("a stretch taken off", () => {
  it("is marked with m, walked with . and ended with m, written down with a reason, and then offers where to go on", async () => {
    await open({ words: { newest: { layer: 1, strand: 1, stationIndex: 4, sMm: 2 } } });
    const kept = await posted("rework", { resume: { layer: 1, strand: 1, sMm: 1.5, overlapMm: 0.8 } }), asked = await posted("commands", { n: 9 });
    await expect.poll(() => page.locator(".live-section h2").innerText(), SOON).toMatch(/strand 1 at 2\.0 mm/);
    await page.keyboard.press("m");
    expect(await page.locator(".marking").innerText()).toMatch(/Taken off from strand 1 of layer 1, 2\.0 mm/);
    for (let i = 0; i < 5; i++) await page.keyboard.press(".");
    await page.keyboard.press(",");
    expect(await page.locator(".taken-off rect").count()).toBe(1);
    await page.keyboard.press("m");
    const form = page.getByRole("form", { name: "Stretch taken off" });
    expect(await form.innerText()).toMatch(/Strand 1 of layer 1, 2\.0–4\.0 mm was taken off\./);
    await form.getByLabel("Reason").selectOption({ label: "touched or damaged" });
    await form.getByRole("button", { name: "Write it down" }).click();
    await expect.poll(() => kept, SOON).toEqual([{ layer: 1, strand: 1, fromMm: 2, toMm: 4, reason: "damaged", note: "" }]);
    const resume = page.getByRole("form", { name: "Resume the print" });
    await expect.poll(() => resume.innerText(), SOON).toMatch(/Lay it again from strand 1 of layer 1, 1\.5 mm\./);
    await resume.getByRole("button").click();
    await expect.poll(() => asked, SOON).toEqual([{ kind: "resume", layer: 1, strand: 1, sMm: 1.5, overlapMm: 0.8 }]);
  });

  it("is marked by two touches on its lane, whichever end first", async () => {
    await open();
    await page.getByRole("button", { name: "Mark taken off" }).click();
    const lane = await boxOf(".lanes-window"), touch = (share: number): Promise<void> => page.mouse.click(lane.left + lane.width * share, lane.top + 40);
    await touch(0.6);
    expect(await page.locator(".marking").innerText()).toMatch(/now its end/);
    await touch(0.3);
    expect(await page.getByRole("form", { name: "Stretch taken off" }).innerText()).toMatch(/Strand 1 of layer 1, [23]\.\d–[67]\.\d mm was taken off\./);
  });
});

describe("a picture", () => {
  it("that is old loses its ink and shows its age as large as the headline", async () => {
    await open({ words: { headline: "Nothing new has been seen for 12 s.", isOld: true, ageWords: "12 s" } });
    expect(await page.locator(".age").innerText()).toBe("12 s old");
    expect(await page.locator(".age").evaluate((age) => getComputedStyle(age).fontSize)).toBe(await page.locator("h1").evaluate((h1) => getComputedStyle(h1).fontSize));
    expect(await page.locator(".lanes-window canvas").evaluate((canvas) => getComputedStyle(canvas).opacity)).toBe("0.4");
  });

  it("is announced once: a headline whose age alone grows is read out no more", async () => {
    await open({ words: { headline: "Nothing new has been seen for 12 s.", advice: null } });
    const said = (): Promise<string> => page.locator(".watch-header [role=status]").innerText();
    const first = await said();
    await page.evaluate(() => { (window as unknown as { saidInstead: object }).saidInstead = { headline: "Nothing new has been seen for 14 s.", advice: null }; });
    await expect.poll(() => page.locator("h1").innerText(), SOON).toBe("Nothing new has been seen for 14 s.");
    expect(await said()).toBe(first);
    await page.evaluate(() => { (window as unknown as { saidInstead: object }).saidInstead = { headline: "The print is paused.", advice: null }; });
    await expect.poll(said, SOON).toBe("The print is paused.");
  });

  it("tells when it was drawn and with readings up to which stamp, and keeps no list of that", async () => {
    await open();
    await page.evaluate(() => {
      const seen: number[] = [];
      (window as unknown as { seen: number[] }).seen = seen;
      new PerformanceObserver((list) => { for (const entry of list.getEntriesByName("aslaid:drawn")) seen.push((entry as PerformanceMark).detail.byS as number); }).observe({ entryTypes: ["mark"] });
    });
    const bodies = bodiesOf(folder, 20);
    for (const body of bodies.slice(Math.floor(0.8 * bodies.length))) await client().send(runId, body);
    const seen = (): Promise<number[]> => page.evaluate(() => (window as unknown as { seen: number[] }).seen);
    await expect.poll(async () => (await seen()).length, { timeout: 20_000 }).toBeGreaterThan(0);
    const stamps = await seen();
    expect(stamps).toEqual([...stamps].sort((a, b) => a - b));
    expect(await page.evaluate(() => performance.getEntriesByName("aslaid:drawn").length)).toBe(0);
  });
});

it("in the register a run that is open has pauses of its own, and no abort", async () => {
  page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage();
  await page.goto(server.url);
  const bar = page.locator(".runs.open .pause-bar").first();
  expect(await bar.getByRole("button").allInnerTexts()).toEqual(["Pause at strand’s end", "Pause now", "Pause at layer’s end"]);
  const polled = pollCommands(client(), runId, 0);
  await bar.getByRole("button", { name: "Pause now" }).click();
  expect(await polled).toEqual([expect.objectContaining({ n: 1, kind: "pause", at: "now" })]);
  expect(await axeComplaints(page)).toEqual([]);
});
