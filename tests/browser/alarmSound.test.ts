/** Bursts as Chromium makes them, measured in their samples and held to IEC 60601-1-8, Tables 3 and 4 (limits from memory, tests/support/alarmLimits.ts). */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ALERT_PRIORITIES } from "../../lib/model/alert.ts";
import type { SoundKind } from "../../lib/model/alertSound.ts";
import { bundleAlarms, openAlarms } from "../support/alarmBundle.ts";
import { burstComplaints } from "../support/alarmLimits.ts";
import { launchBrowser } from "../support/browser.ts";
import { hear, partialsDb, type Sound } from "../support/heard.ts";

const SAMPLE_HZ = 32_000;
/** Times are read over a period of the tone, and edges that are straight come out rounded. */
const TOLERANCE_S = 0.0015;
/** From the start of the first burst to past the end of the second, s. */
const LASTS_S: Readonly<Record<SoundKind, number>> = { lost: 10.5, high: 12, medium: 13, low: 19 };
const PULSES: Readonly<Record<SoundKind, number>> = { lost: 4, high: 10, medium: 3, low: 2 };

let browser: Browser, page: Page;
beforeAll(async () => {
  browser = await launchBrowser();
  page = await openAlarms(browser, await bundleAlarms());
});
afterAll(() => browser.close());

interface Alarms { render: (kind: SoundKind, lastsS: number, sampleHz: number) => Promise<number[]> }
const rendered = new Map<SoundKind, Sound>();
async function render(kind: SoundKind): Promise<Sound> {
  const known = rendered.get(kind);
  if (known !== undefined) return known;
  const samples = await page.evaluate(async ([what, lastsS, sampleHz]) => (window as unknown as { alarms: Alarms }).alarms.render(what, lastsS, sampleHz), [kind, LASTS_S[kind], SAMPLE_HZ] as const);
  const sound = { samples, sampleHz: SAMPLE_HZ };
  rendered.set(kind, sound);
  return sound;
}
const ms = (s: number): number => Math.round(s * 1000);

describe("bursts, from their samples", () => {
  it.each(ALERT_PRIORITIES)("%s: pulses, durations, rises, spacings, tones and the silence after it keep to the tables, twice", async (priority) => {
    const sound = await render(priority), pulses = hear(sound), count = PULSES[priority];
    const bursts = [pulses.slice(0, count), pulses.slice(count)];
    const intervalS = (bursts[1]?.[0]?.startS ?? NaN) - (bursts[0]?.at(-1)?.endS ?? NaN);
    for (const burst of bursts) expect(burstComplaints(priority, burst, intervalS, TOLERANCE_S)).toEqual([]);
  });

  it.each(["high", "medium", "low", "lost"] as const)("%s: each pulse has at least 4 partials in 300 to 4000 Hz within 15 dB of its tone, and no sample reaches 1", async (kind) => {
    const sound = await render(kind);
    for (const pulse of hear(sound)) {
      const counted = partialsDb(sound, pulse).filter((db, i) => Math.abs(db) <= 15 && (i + 1) * pulse.toneHz >= 300);
      expect(counted.length).toBeGreaterThanOrEqual(4);
    }
    const peak = sound.samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
    expect(peak).toBeLessThan(1);
    expect(peak).toBeGreaterThan(0.5);
  });

  it("lost: long, short, long, short (500, 100, 500, 100 ms), the second two a fifth lower, again after 6 s", async () => {
    const pulses = hear(await render("lost")), burst = pulses.slice(0, 4);
    expect(pulses).toHaveLength(8);
    for (const [i, want] of [500, 100, 500, 100].entries()) expect(Math.abs(ms((burst[i]?.endS ?? NaN) - (burst[i]?.startS ?? NaN)) - want)).toBeLessThanOrEqual(3);
    expect((burst[0]?.toneHz ?? NaN) / (burst[2]?.toneHz ?? NaN)).toBeCloseTo(1.5, 2);
    expect((burst[1]?.toneHz ?? NaN) / (burst[3]?.toneHz ?? NaN)).toBeCloseTo(1.5, 2);
    const againS = (pulses[4]?.startS ?? NaN) - (burst[3]?.endS ?? NaN);
    expect(againS).toBeGreaterThan(6);
    expect(againS).toBeLessThan(6.3);
  });
});
