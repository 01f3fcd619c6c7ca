/** Frames a second of a run's page with 100 000 stations while it scrolls and zooms, in headless Chromium without a graphics card. */
import type { Page } from "playwright-core";
import type { BenchRow } from "./bench.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import { writeLargeRun } from "./benchRun.ts";
import { served } from "./benchServer.ts";
import type { Io } from "./io.ts";

/** Frames taken of each movement. */
const FRAMES = 120;

type Movement = "scrolling down" | "zooming" | "scrolling along";

/** Milliseconds a frame, median, while the unrolled strands move a step each frame. */
function frameMs(page: Page, movement: Movement): Promise<number> {
  return page.evaluate(async ({ movement: what, frames }) => {
    const view = document.querySelector(".lanes-view") as HTMLElement;
    const frame = (): Promise<number> => new Promise((done) => { requestAnimationFrame(done); });
    const wheel = (deltaY: number): boolean => view.dispatchEvent(new WheelEvent("wheel", { deltaY, ctrlKey: true, clientX: 500, clientY: 300, bubbles: true, cancelable: true }));
    const ms: number[] = [];
    let before = await frame();
    for (let i = 0; i < frames; i++) {
      if (what === "scrolling down") view.scrollTop = i * 7 % (view.scrollHeight - view.clientHeight);
      else if (what === "scrolling along") view.scrollLeft = i * 23 % (view.scrollWidth - view.clientWidth);
      else wheel(i < frames / 2 ? -20 : 20);
      const now = await frame();
      ms.push(now - before);
      before = now;
    }
    return ms.sort((a, b) => a - b)[frames >> 1] as number;
  }, { movement, frames: FRAMES });
}

/** Rows of frames a second at 100 000 stations; a row that says so where there is no Chromium. */
export async function pageRows(io: Io): Promise<BenchRow[]> {
  if (!hasBrowser()) return [{ what: "frames a second at 100 000 stations", value: "no Chromium", aim: "≥ 30" }];
  io.err("writing a run of 100 000 stations");
  return served(writeLargeRun, ({ url }, runId) => inBrowser(async (browser) => {
    const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
    const began = io.nowMs();
    await page.goto(`${url}/runs/${runId}`);
    await page.waitForSelector(".lanes-view canvas[style]");
    const rows: BenchRow[] = [{ what: "opening the page of 100 000 stations", value: `${((io.nowMs() - began) / 1000).toFixed(1)} s`, aim: "" }];
    for (const movement of ["scrolling down", "zooming", "scrolling along"] as const) {
      io.err(`the page, ${movement}`);
      rows.push({ what: `frames a second at 100 000 stations, ${movement}`, value: (1000 / await frameMs(page, movement)).toFixed(0), aim: "≥ 30" });
    }
    return rows;
  }));
}
