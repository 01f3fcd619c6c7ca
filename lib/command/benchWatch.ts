/** From the arrival of a profile to its pixel: one page that draws the live print, and nine more readers of its events, on the same machine. */
import type { Browser } from "playwright-core";
import type { BenchRow } from "./bench.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import type { Wire } from "./benchCalls.ts";
import { FRAME_CAMERA, FrameSender } from "./benchCamera.ts";
import { follow, Latencies, PRINT, sendPrint } from "./benchPrint.ts";
import type { LiveFrames } from "../model/liveEvent.ts";
import { simulate } from "../rehearsal/simulate.ts";
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

/** Beside frames of a camera: how many are measured while they come, and the same marks. */
export async function watchRows(io: Io, wire: Wire, withFrames: boolean): Promise<BenchRow[]> {
  if (!hasBrowser()) return [{ what: "arrival to pixel", value: "no Chromium", aim: "" }];
  const latencies = new Latencies(), end = new AbortController(), rehearsal = simulate(PRINT, withFrames ? FRAME_CAMERA : null), camera = withFrames ? new FrameSender(wire, rehearsal) : null;
  const heard: { readonly frames: LiveFrames; readonly ms: number }[] = [];
  const takeFrames = (kind: string, text: string): void => { if (kind === "frame") heard.push({ frames: JSON.parse(text) as LiveFrames, ms: io.nowMs() }); };
  await inBrowser((browser) => sendPrint(io, wire, rehearsal, {
    noteSent: (tS, ms) => latencies.noteSent(tS, ms), camera,
    ready: async (runId) => {
      for (let i = 0; i < OTHER_READERS; i++) follow(wire, runId, end.signal, i === 0 ? takeFrames : () => undefined).catch(() => undefined);
      await openWatch(browser, `${wire.url}/runs/${runId}`, ({ byS, ms }) => latencies.note(byS, ms));
      await new Promise((done) => { setTimeout(done, ARMED_MS); });
    },
  })).finally(() => end.abort());
  const beside = camera === null ? "" : " beside frames";
  return [
    { what: `arrival to pixel${beside} with nine more readers, ${latencies.count} pictures: half of them within`, value: latencies.within(0.5), aim: "< 150" },
    { what: `arrival to pixel${beside}: 99 % of them within`, value: latencies.within(0.99), aim: "< 400" },
    ...(camera === null ? [] : frameRows(heard, camera.sentCount)),
  ];
}

function frameRows(heard: readonly { readonly frames: LiveFrames; readonly ms: number }[], sentCount: number): BenchRow[] {
  const first = heard[0], last = heard.at(-1);
  if (first === undefined || last === undefined) return [{ what: "frames measured while they come", value: "none was told of", aim: "≥ 4 a second" }];
  const { keptCount, measuredCount, skippedCount, newest } = last.frames;
  return [
    { what: `frames of 1280 × 960 measured while they come, ${measuredCount} of ${keptCount}, ${skippedCount} left for the end${newest?.used === false ? `, the newest not used: ${newest.reason}` : ""}`, value: `${(1000 * measuredCount / (last.ms - first.ms)).toFixed(1)} a second`, aim: "≥ 4" },
    { what: "frames sent and kept", value: `${keptCount} of ${sentCount}`, aim: "all" },
  ];
}
