/** Pictures a second of the target in space with 50 000 stations, in headless Chromium without a graphics card: while readings arrive, and while it is turned. */
import type { Page } from "playwright-core";
import { simulate } from "../rehearsal/simulate.ts";
import type { BenchRow } from "./bench.ts";
import { makeRun } from "./benchCalls.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import { served, withToken } from "./benchServer.ts";
import type { Io } from "./io.ts";

const STRANDS = 100, STATIONS = 500, SPACING_MM = 0.5, READINGS_A_SECOND = 200;
const FRAMES = 60, LIVE_MS = 6000;

/** Strands of 249.5 mm, 2.2 mm apart, over a cylinder of radius 220 mm. */
function bentPlan(): string {
  const rows = ["layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s"], radiusMm = 220, lengthMm = (STATIONS - 1) * SPACING_MM;
  for (let strand = 1; strand <= STRANDS; strand++) {
    for (let sMm = 0; sMm <= lengthMm; sMm += SPACING_MM) {
      const angle = (sMm - lengthMm / 2) / radiusMm, [x, z] = [Math.sin(angle), Math.cos(angle)];
      rows.push([1, strand, (radiusMm * x).toFixed(6), (2.2 * strand).toFixed(3), (radiusMm * z).toFixed(6), x.toFixed(12), 0, z.toFixed(12), 1, 0.5, 8, ""].join(","));
    }
  }
  return `${rows.join("\n")}\n`;
}

/** Stands in for the page's event stream: it sends readings as fast as the bench says, and counts what is drawn. */
function fakeEvents(): void {
  const page = window as unknown as { bench: { drawn: number; told: number; send: (readings: unknown[]) => void } };
  const heard = new Map<string, (event: MessageEvent) => void>();
  let epoch = "", n = 0;
  page.bench = { drawn: 0, told: 0, send: (readings) => {
    n++;
    page.bench.told += readings.length;
    heard.get("reading")?.(new MessageEvent("reading", { data: JSON.stringify(readings), lastEventId: `${epoch}-${n}` }));
  } };
  class Source {
    static readonly CLOSED = 2;
    readyState = 1;
    constructor(url: string) {
      const [, first = "", last = "0"] = /after=([0-9a-z]+)-(\d+)/.exec(url) ?? [];
      [epoch, n] = [first, Number(last)];
    }
    addEventListener(kind: string, listener: (event: MessageEvent) => void): void { heard.set(kind, listener); }
    close(): void { heard.clear(); }
  }
  window.EventSource = Source as unknown as typeof EventSource;
  const clear = Object.getOwnPropertyDescriptor(WebGL2RenderingContext.prototype, "clear")?.value as (this: WebGL2RenderingContext, mask: number) => void; // once a picture
  WebGL2RenderingContext.prototype.clear = function counted(mask) { page.bench.drawn++; clear.call(this, mask); };
}

/** Sends the second half of the stations at so many a second, after the first half at once; pictures drawn a second. */
function liveRate(page: Page): Promise<number> {
  return page.evaluate(async ({ strands, stations, perSecond, liveMs }) => {
    const { bench } = window as unknown as { bench: { drawn: number; send: (readings: unknown[]) => void } };
    const reading = (k: number): unknown => ({
      layer: 1, strand: 1 + Math.floor(k / stations), stationIndex: k % stations, sMm: 0.5 * (k % stations), attempt: 1, tS: k, byS: k, ageS: 1, widthMm: 1 + 0.04 * Math.sin(k * 0.9), heightMm: 0.5 + 0.01 * Math.sin(k * 1.3), areaRatio: 1, offsetMm: 0.03 * Math.sin(k * 0.31),
      coverage: 1, verdict: k % 997 < 40 ? "under" : "inBand", proven: true,
    });
    let next = strands * stations / 2;
    bench.send(Array.from({ length: next }, (_, k) => reading(k)));
    await new Promise((done) => { setTimeout(done, 2500); });
    const began = performance.now(), before = bench.drawn;
    await new Promise<void>((done) => {
      const timer = setInterval(() => {
        bench.send(Array.from({ length: perSecond / 20 }, () => reading(next++)));
        if (performance.now() - began > liveMs) { clearInterval(timer); done(); }
      }, 50);
    });
    return 1000 * (bench.drawn - before) / (performance.now() - began);
  }, { strands: STRANDS, stations: STATIONS, perSecond: READINGS_A_SECOND, liveMs: LIVE_MS });
}

/** Milliseconds a frame, median, and pictures of the target drawn a second: while a pointer turns it, and while nothing moves. */
function frames(page: Page, turns: boolean): Promise<{ readonly frameMs: number; readonly picturesPerS: number }> {
  return page.evaluate(async ({ turning, count }) => {
    const { bench } = window as unknown as { bench: { drawn: number } }, picture = document.querySelector(".target-picture") as HTMLElement, frame = (): Promise<number> => new Promise((done) => { requestAnimationFrame(done); });
    picture.setPointerCapture = () => undefined; // of no real pointer
    const point = (type: string, i: number): boolean => picture.dispatchEvent(new PointerEvent(type, { pointerId: 1, clientX: 300 + 3 * i, clientY: 300 + i, button: 0, bubbles: true }));
    const ms: number[] = [];
    if (turning) point("pointerdown", 0);
    let before = await frame();
    const began = before, drawn = bench.drawn;
    for (let i = 1; i <= count; i++) {
      if (turning) point("pointermove", i);
      const now = await frame();
      ms.push(now - before);
      before = now;
    }
    const picturesPerS = 1000 * (bench.drawn - drawn) / (before - began);
    if (turning) point("pointerup", count);
    return { frameMs: ms.sort((a, b) => a - b)[count >> 1] as number, picturesPerS };
  }, { turning: turns, count: FRAMES });
}

/** Rows of the target's picture; one that says so where there is no Chromium. */
export async function targetRows(io: Io): Promise<BenchRow[]> {
  if (!hasBrowser()) return [{ what: "pictures a second of the target, 50 000 stations", value: "no Chromium", aim: "≥ 10" }];
  return served(withToken, (server, token) => inBrowser(async (browser) => {
    io.err("a live run of 50 000 stations");
    const runId = await makeRun({ ...server, token }, { jobJson: simulate({ strands: 1, lengthMm: 3 }).jobJson, planCsv: bentPlan() });
    const page = await browser.newPage({ viewport: { width: 1280, height: 720 } });
    await page.addInitScript(fakeEvents);
    await page.goto(`${server.url}/runs/${runId}`, { timeout: 120_000 });
    await page.waitForFunction(() => (window as unknown as { bench: { drawn: number } }).bench.drawn > 0, undefined, { timeout: 120_000 });
    io.err("the target, readings arriving");
    const live = await liveRate(page), rest = await frames(page, false);
    io.err("the target, turning");
    const turning = await frames(page, true);
    return [
      { what: `pictures a second of the target, 50 000 stations, ${READINGS_A_SECOND} readings a second`, value: live.toFixed(1), aim: "≥ 2" },
      { what: "pictures a second of the target, 50 000 stations, turning", value: turning.picturesPerS.toFixed(0), aim: "≥ 10" },
      { what: "a frame of it turning, in frames of the same page at rest", value: (turning.frameMs / rest.frameMs).toFixed(1), aim: "≤ 6" },
    ];
  }));
}
