/** The sound bar and the alert lights in Chromium, alone on a page: what a person touches, hears and sees. */
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { AlarmCause } from "../../app/components/alarm/useAlarm.ts";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import { ALERT_LIGHTS } from "../../lib/model/alertLights.ts";
import { bundleAlarms, openAlarms } from "../support/alarmBundle.ts";
import { lightComplaint } from "../support/alarmLimits.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { hueDeg } from "../support/hue.ts";

let browser: Browser, script: string;
beforeAll(async () => {
  browser = await launchBrowser();
  script = await bundleAlarms();
});
afterAll(() => browser.close());

interface Alarms { show: (cause: AlarmCause) => void }
const QUIET: AlarmCause = { priority: null, isLost: false, newest: 0 };
async function show(page: Page, cause: AlarmCause): Promise<void> {
  await page.evaluate((what) => { (window as unknown as { alarms: Alarms }).alarms.show(what); }, cause);
}
async function open(options: BrowserContextOptions = {}, complaints: string[] = []): Promise<Page> {
  const page = await openAlarms(browser, script, { options, complaints });
  await show(page, QUIET);
  return page;
}
async function sounds(page: Page, kind: string): Promise<void> {
  await page.locator(`.sound-bar[data-sounding="${kind}"]`).waitFor();
}

describe("the sound bar", () => {
  it("is silent and says so until a touch anywhere, then sounds what is most urgent, a lost server before all", async () => {
    const complaints: string[] = [], page = await open({}, complaints);
    await show(page, { ...QUIET, priority: "medium", newest: 3 });
    await page.getByText("Sound is off until this screen is touched").waitFor();
    await sounds(page, "none");
    await page.locator("h1").click();
    await sounds(page, "medium");
    await show(page, { priority: "high", isLost: false, newest: 4 });
    await sounds(page, "high");
    await page.getByText("Sounding: high priority").waitFor();
    await show(page, { priority: "high", isLost: true, newest: 4 });
    await sounds(page, "lost");
    await show(page, QUIET);
    await sounds(page, "none");
    await page.getByText("Sound is on").waitFor();
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it("a key wakes it as a touch does", async () => {
    const page = await open();
    await show(page, { priority: "low", isLost: false, newest: 2 });
    await page.keyboard.press("Shift");
    await sounds(page, "low");
    await page.context().close();
  });

  it("the test button wakes it and sounds one burst of high priority, which says that it is a test and ends by itself", async () => {
    const page = await open();
    await page.getByRole("button", { name: "Test the sound" }).click();
    await page.getByText("This is a test: high priority").waitFor();
    await sounds(page, "none");
    await page.getByText("Sound is on").waitFor({ timeout: 8000 });
    await page.context().close();
  });

  it("an alert ends a test and sounds itself", async () => {
    const page = await open();
    await page.getByRole("button", { name: "Test the sound" }).click();
    await page.getByText("This is a test: high priority").waitFor();
    await show(page, { priority: "low", isLost: false, newest: 1 });
    await sounds(page, "low");
    await page.getByText("Sounding: low priority").waitFor();
    await page.context().close();
  });

  it("a pause is silent and counts down from 2:00, a less urgent alert leaves it, a newer one ends it, a second touch too", async () => {
    const page = await open(), pause = page.getByRole("button", { name: "Pause the sound for 2 min" });
    await page.locator("h1").click();
    await show(page, { priority: "medium", isLost: false, newest: 6 });
    await pause.click();
    await sounds(page, "none");
    await page.getByRole("button", { name: "Sound again now, 1:58 left" }).waitFor();
    await show(page, { priority: "low", isLost: false, newest: 6 });
    await page.getByText("Sound is paused").waitFor();
    await show(page, { priority: "low", isLost: false, newest: 7 });
    await sounds(page, "low");
    await pause.click();
    await sounds(page, "none");
    await show(page, { priority: "high", isLost: false, newest: 7 });
    await sounds(page, "high");
    await pause.click();
    await page.getByRole("button", { name: /^Sound again now/ }).click();
    await sounds(page, "high");
    await page.context().close();
  });

  it("a pause is over after 120 s", async () => {
    const page = await open();
    await page.clock.install();
    await page.locator("h1").click();
    await show(page, { priority: "high", isLost: false, newest: 9 });
    await page.getByRole("button", { name: "Pause the sound for 2 min" }).click();
    await page.clock.runFor(118_500);
    await page.getByText("Sound is paused").waitFor();
    await sounds(page, "none");
    await page.clock.runFor(2500);
    await sounds(page, "high");
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
    const { fill } = getComputedStyle(element.querySelector(".light") as Element), [r, g, b] = fill.match(/\d+/g)?.map(Number) as [number, number, number];
    const { strokeWidth } = getComputedStyle(element.querySelector(".outline") as Element);
    return { flashes, hex: `#${[r, g, b].map((channel) => channel.toString(16).padStart(2, "0")).join("")}`, outlinePx: Number.parseFloat(strokeWidth) };
  });
}

describe("alert lights as the browser shows them (IEC 60601-1-8, Table 2)", () => {
  it.each((["light", "dark"] as const).flatMap((colorScheme) => ALERT_PRIORITIES.map((priority) => [priority, colorScheme] as const)))("%s on the %s sheet: rate, duty and colour are the table's, all in step, and only the light flashes", async (priority, colorScheme) => {
    const page = await open({ colorScheme, reducedMotion: "no-preference" }), { flashes, hex } = await seen(page, priority, true);
    const flash = flashes[0] ?? { flashHz: 0, duty: 1 };
    expect(hex).toBe(ALERT_LIGHTS[priority][colorScheme]);
    expect(lightComplaint(priority, { flashHz: Math.round(flash.flashHz * 1000) / 1000, duty: flash.duty, hueDeg: hueDeg(hex) })).toBeNull();
    expect(flashes.map(({ on, startMs }) => ({ on, startMs }))).toEqual(priority === "low" ? [] : [{ on: "light", startMs: 0 }]);
    expect((await seen(page, priority, false)).flashes).toEqual([]);
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
