/** From the arrival of a profile to its pixel: one page that draws the live print, and nine more readers of its events, on the same machine. */
import type { Browser } from "playwright-core";
import type { BenchRow } from "./bench.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import type { Wire } from "./benchCalls.ts";
import { follow, Latencies, sendPrint } from "./benchPrint.ts";
import type { Io } from "./io.ts";

const OTHER_READERS = 9;
/** The page draws its first picture before the print begins, ms. */
const ARMED_MS = 3000;

/** What the page noted each time that it had drawn: the newest reading in the picture, and when by the wall clock. */
interface Drawn { readonly byS: number; readonly ms: number }

async function openWatch(browser: Browser, url: string, drawn: (what: Drawn) => void): Promise<void> {
  const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
  await page.exposeFunction("aslaidDrawn", drawn);
  await page.addInitScript(() => {
    const told = (globalThis as unknown as { aslaidDrawn(this: void, what: { byS: number; ms: number }): void }).aslaidDrawn;
    new PerformanceObserver((list) => {
      for (const mark of list.getEntriesByName("aslaid:drawn") as PerformanceMark[]) told({ byS: (mark.detail as { byS: number }).byS, ms: performance.timeOrigin + mark.startTime });
    }).observe({ type: "mark" });
  });
  await page.goto(url);
}

export async function watchRows(io: Io, wire: Wire): Promise<BenchRow[]> {
  if (!hasBrowser()) return [{ what: "arrival to pixel", value: "no Chromium", aim: "" }];
  const latencies = new Latencies(), end = new AbortController();
  await inBrowser((browser) => sendPrint(io, wire, (tS, ms) => latencies.noteSent(tS, ms), async (runId) => {
    for (let i = 0; i < OTHER_READERS; i++) follow(wire, runId, end.signal, () => undefined).catch(() => undefined);
    await openWatch(browser, `${wire.url}/runs/${runId}`, ({ byS, ms }) => latencies.note(byS, ms));
    await new Promise((done) => { setTimeout(done, ARMED_MS); });
  })).finally(() => end.abort());
  return [
    { what: `arrival to pixel with nine more readers, ${latencies.count} pictures: half of them within`, value: latencies.within(0.5), aim: "< 150" },
    { what: "arrival to pixel: 99 % of them within", value: latencies.within(0.99), aim: "< 400" },
  ];
}
