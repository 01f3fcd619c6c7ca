/** The sound bar and the alert lights in Chromium, alone on a page: what a person touches, hears and sees. */
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AlarmCause } from "../../app/components/alarm/useAlarm.ts";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import { ALERT_LIGHTS } from "../../lib/model/alertLights.ts";
import { bundleAlarms, evaluateUntouched, openAlarms } from "../support/alarmBundle.ts";
import { lightComplaint } from "../support/alarmLimits.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { hueDeg } from "../support/hue.ts";

let browser: Browser, script: string;
beforeAll(async () => {
  browser = await launchBrowser();
  script = await bundleAlarms();
});
afterAll(() => browser.close());

const QUIET: AlarmCause = { priority: null, isLost: false, newest: 0 };
async function show(page: Page, cause: AlarmCause): Promise<void> {
  await evaluateUntouched(page, `alarms.show(${JSON.stringify(cause)})`);
}
/** "high: Sounding: high priority": what the bar is marked with, and what it says. */
async function bar(page: Page): Promise<unknown> {
  return evaluateUntouched(page, `(() => { const bar = document.querySelector(".sound-bar"); return bar && bar.dataset.sounding + ": " + bar.querySelector("[role=status]").textContent; })()`);
}
/** The bar comes to be marked with this and to say this. */
const becomes = async (page: Page, wanted: string): Promise<void> => expect.poll(() => bar(page), { timeout: 8000 }).toBe(wanted);
async function open(options: BrowserContextOptions = {}, complaints: string[] = []): Promise<Page> {
  const page = await openAlarms(browser, script, { options, complaints });
  await show(page, QUIET);
  await expect.poll(() => bar(page), { timeout: 8000 }).not.toBeNull();
  return page;
}
/** Something comes out of the loudspeaker, or has ceased to. */
async function isHeard(page: Page, wanted: boolean): Promise<void> {
  await expect.poll(async () => Number(await evaluateUntouched(page, "alarms.loudest()")) > 0.1, { timeout: 8000, interval: 20 }).toBe(wanted);
}
const ASLEEP = "none: Sound is off until this screen is touched", QUIET_BAR = "none: Sound is on", PAUSED = "none: Sound is paused; a new or more urgent alert ends the pause";
const HIGH = "high: Sounding: high priority", MEDIUM = "medium: Sounding: medium priority", LOW = "low: Sounding: low priority", LOST = "lost: Sounding: this screen has lost its server";
const TEST = "none: This is a test: high priority";

describe("the sound bar", () => {
  it("is silent and says so until a touch anywhere, then sounds what is most urgent, a lost server before all", async () => {
    const complaints: string[] = [], page = await open({}, complaints);
    await show(page, { ...QUIET, priority: "medium", newest: 3 });
    await becomes(page, ASLEEP);
    await isHeard(page, false);
    await page.mouse.click(600, 350);
    await becomes(page, MEDIUM);
    await isHeard(page, true);
    await show(page, { priority: "high", isLost: false, newest: 4 });
    await becomes(page, HIGH);
    await isHeard(page, true);
    await show(page, { priority: "high", isLost: true, newest: 4 });
    await becomes(page, LOST);
    await isHeard(page, true);
    await show(page, QUIET);
    await becomes(page, QUIET_BAR);
    await isHeard(page, false);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it("a key wakes it as a touch does", async () => {
    const page = await open();
    await show(page, { priority: "low", isLost: false, newest: 2 });
    expect(await bar(page)).toBe(ASLEEP);
    await page.keyboard.press("k");
    await becomes(page, LOW);
    await isHeard(page, true);
    await page.context().close();
  });

  it("the test button wakes it and sounds one burst of high priority, which says that it is a test and ends by itself", async () => {
    const page = await open();
    expect(await bar(page)).toBe(ASLEEP);
    await page.getByRole("button", { name: "Test the sound" }).click();
    await becomes(page, TEST);
    await isHeard(page, true);
    await becomes(page, QUIET_BAR);
    await isHeard(page, false);
    await page.context().close();
  });

  it("an alert ends a test and sounds itself, and the test does not come back after it", async () => {
    const page = await open();
    await page.getByRole("button", { name: "Test the sound" }).click();
    await becomes(page, TEST);
    await show(page, { priority: "low", isLost: false, newest: 1 });
    await becomes(page, LOW);
    await show(page, { ...QUIET, newest: 1 });
    expect(await bar(page)).toBe(QUIET_BAR);
    await isHeard(page, false);
    await page.context().close();
  });

  it("a pause is silent and counts down from 2:00; a less urgent alert leaves it; a newer one, a more urgent one and a second touch end it", async () => {
    const page = await open(), pause = page.getByRole("button", { name: "Pause the sound for 2 min" });
    await page.locator("h1").click();
    await show(page, { priority: "medium", isLost: false, newest: 6 });
    await pause.click();
    await becomes(page, PAUSED);
    await isHeard(page, false);
    await page.getByRole("button", { name: /^Sound again now, 1:5\d left$/ }).waitFor();
    await show(page, { priority: "low", isLost: false, newest: 6 });
    await becomes(page, PAUSED);
    await show(page, { priority: "low", isLost: false, newest: 7 });
    await becomes(page, LOW);
    await pause.click();
    await becomes(page, PAUSED);
    await show(page, { priority: "high", isLost: false, newest: 7 });
    await becomes(page, HIGH);
    await pause.click();
    await page.getByRole("button", { name: /^Sound again now/ }).click();
    await becomes(page, HIGH);
    await isHeard(page, true);
    expect(await pause.isEnabled()).toBe(true);
    await page.context().close();
  });

  it("a pause stands after 118.5 s and is over after 121 s", async () => {
    const page = await open();
    await page.clock.install();
    await page.locator("h1").click();
    await show(page, { priority: "high", isLost: false, newest: 9 });
    await page.getByRole("button", { name: "Pause the sound for 2 min" }).click();
    await page.clock.runFor(118_500);
    expect(await bar(page)).toBe(PAUSED);
    await page.clock.runFor(2500);
    await becomes(page, HIGH);
    await page.context().close();
  });

  it.each(["light", "dark"] as const)("axe finds nothing in %s, targets are at least 44 px each way, and nothing is wider than a phone of 380 px", async (colorScheme) => {
    const page = await open({ colorScheme, viewport: { width: 380, height: 700 } });
    await show(page, { priority: "high", isLost: false, newest: 5 });
    expect(await axeComplaints(page)).toEqual([]);
    const sizes = await page.locator("button").evaluateAll((all) => all.flatMap((one) => [one.getBoundingClientRect().width, one.getBoundingClientRect().height]));
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(44);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(380);
    await page.context().close();
  });
});

/** What the browser animates: on which elements, for how long a flash, and which share of it is lit; and the colour. */
async function seen(page: Page, priority: string, isFlashing: boolean) {
  const light = page.locator(`.alert-light.${priority}${isFlashing ? ".flashing" : ":not(.flashing)"}`);
  return light.evaluate((element) => {
    const flashes = element.getAnimations({ subtree: true }).map((flash) => {
      const effect = flash.effect as KeyframeEffect, dark = effect.getKeyframes().find((frame) => Number(frame.fillOpacity) === 0);
      return { on: effect.target?.getAttribute("class") ?? "", startMs: Number(flash.startTime), flashHz: 1000 / Number(effect.getComputedTiming().duration), duty: dark?.computedOffset ?? 1 };
    });
    const { fill } = getComputedStyle(element.querySelector(".light") as Element), [r, g, b] = (fill.match(/\d+/g) ?? []).map(Number) as [number, number, number];
    const { strokeWidth } = getComputedStyle(element.querySelector(".outline") as Element);
    return { flashes, hex: `#${[r, g, b].map((channel) => channel.toString(16).padStart(2, "0")).join("")}`, outlinePx: Number.parseFloat(strokeWidth) };
  });
}

describe("alert lights as the browser shows them (IEC 60601-1-8, Table 2)", () => {
  it.each((["light", "dark"] as const).flatMap((colorScheme) => ALERT_PRIORITIES.map((priority) => [priority, colorScheme] as const)))("%s on the %s sheet: rate, duty and colour are the table's, all in step, and only the light flashes; low, which does not, has a thick outline instead", async (priority, colorScheme) => {
    const page = await open({ colorScheme, reducedMotion: "no-preference" }), { flashes, hex, outlinePx } = await seen(page, priority, true);
    const flash = flashes[0] ?? { flashHz: 0, duty: 1 };
    expect(hex).toBe(ALERT_LIGHTS[priority][colorScheme]);
    expect(lightComplaint(priority, { flashHz: Math.round(flash.flashHz * 1000) / 1000, duty: flash.duty, hueDeg: hueDeg(hex) })).toBeNull();
    expect(flashes.map(({ on, startMs }) => ({ on, startMs }))).toEqual(priority === "low" ? [] : [{ on: "light", startMs: 0 }]);
    const acknowledged = await seen(page, priority, false);
    expect(acknowledged.flashes).toEqual([]);
    if (priority === "low") expect(outlinePx).toBeGreaterThanOrEqual(2 * acknowledged.outlinePx);
    await page.context().close();
  });

  it("with reduced motion nothing flashes, and what is not acknowledged has an outline at least twice as thick", async () => {
    const page = await open({ reducedMotion: "reduce" });
    for (const priority of ALERT_PRIORITIES) {
      const unacknowledged = await seen(page, priority, true), acknowledged = await seen(page, priority, false);
      expect(unacknowledged.flashes).toEqual([]);
      expect(unacknowledged.outlinePx).toBeGreaterThanOrEqual(2 * acknowledged.outlinePx);
    }
    await page.context().close();
  });
});
