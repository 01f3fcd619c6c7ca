/** What the live page does with its stream of events, and what is left of it after a week. The stream is played by the test; its words begin as the server says them. Rehearsed print, seed 5. */
import { join } from "node:path";
import type { Browser, CDPSession, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { LIVE_EVENT_KINDS } from "../../lib/model/liveEvent.ts";
import { launchBrowser } from "../support/browser.ts";
import { openPage } from "../support/livePage.ts";
import { madeAlert } from "../support/liveWords.ts";
import { command, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";

const data = ownData();
let server: ServerProcess, browser: Browser, page: Page, runId = "";

beforeAll(async () => {
  const folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "2", "--length", "12", "--format", "ndjson")).out.trim();
  const token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
  const client = new WireClient(() => server.url, token), bodies = bodiesOf(folder, 20);
  runId = await client.makeRun(folder, "played");
  for (const body of bodies.slice(0, Math.floor(0.8 * bodies.length))) await client.send(runId, body);
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

/** What a test says on the stream: `numbered` an event with the number so far on, `words` the server's first words with changes. */
interface Played { words: object | null; streams: number; numbered(kind: string, data: unknown, on: number): void; say(changes: object): void }
type Player = Window & typeof globalThis & { readonly played: Played };

function playStream(): void {
  const Real = window.EventSource, heard = new Map<string, (event: MessageEvent) => void>();
  let epoch = "", n = 0;
  const played: Played = {
    words: null, streams: 0,
    numbered: (kind, value, on) => {
      n += on;
      heard.get(kind)?.(new MessageEvent(kind, { data: JSON.stringify(value), lastEventId: `${epoch}-${n}` }));
    },
    say: (changes) => heard.get("words")?.(new MessageEvent("words", { data: JSON.stringify({ ...played.words, ...changes }) })),
  };
  class Source {
    static readonly CLOSED = 2;
    readyState = 1;
    constructor(url: string) {
      const [, first = "", last = "0"] = /after=([0-9a-z]+)-(\d+)/.exec(url) ?? [], real = new Real(url);
      [epoch, n] = [first, Number(last)];
      real.addEventListener("words", (event: MessageEvent<string>) => {
        real.close();
        played.words = JSON.parse(event.data) as object;
        played.streams++;
      });
    }
    addEventListener(kind: string, listener: (event: MessageEvent) => void): void { heard.set(kind, listener); }
    close(): void {
      this.readyState = Source.CLOSED;
      heard.clear();
    }
  }
  window.EventSource = Source as unknown as typeof EventSource;
  Object.assign(window, { played });
}

async function open(): Promise<void> {
  page = await openPage(browser, "about:blank", { width: 1920, height: 1080 });
  await page.addInitScript(playStream);
  await page.goto(`${server.url}/runs/${runId}`);
  await expect.poll(streams, { timeout: 20_000 }).toBe(1);
}
const streams = (): Promise<number> => page.evaluate(() => (window as Player).played.streams);

describe("numbered events", () => {
  it("of every kind follow one another; only a missing one makes the page anew", async () => {
    await open();
    await page.evaluate((kinds) => {
      for (const kind of [...kinds, ...kinds]) (window as Player).played.numbered(kind, kind === "reading" ? [] : {}, 1);
    }, LIVE_EVENT_KINDS);
    await page.waitForTimeout(1500);
    expect(await streams()).toBe(1);
    await page.evaluate(() => (window as Player).played.numbered("health", {}, 2));
    await expect.poll(streams, { timeout: 15_000 }).toBe(2);
  });
});

describe("a screen left open for a week", () => {
  /** After so many days everything that runs often is compiled. */
  const WARM_DAYS = 3, DAY_S = 86_400, ALERTS_EVERY_S = 300;
  let tools: CDPSession;

  /** One day: words each second, ten readings of the same stations with them, alerts that come, are settled and go. */
  function day(of: number): Promise<void> {
    return page.evaluate(async ({ seconds, everyS, alert, first }) => {
      const { played } = window as Player, frame = (): Promise<number> => new Promise((done) => { requestAnimationFrame(done); });
      for (let s = 0; s < seconds; s++) {
        const n = first + Math.floor(s / everyS), at = new Date(Date.UTC(2026, 1, 3) + 1000 * (first * everyS + s)).toISOString();
        played.say({ at, headline: `Layer 1 at ${s} s`, alerts: s % everyS < everyS / 2 ? [{ ...alert, n, title: `Alert ${n}`, state: s % everyS < 60 ? "unacknowledged" : "acknowledged" }] : [] });
        played.numbered("reading", Array.from({ length: 10 }, (_, k) => ({
          layer: 1, strand: 1 + (k & 1), stationIndex: (s + k) % 24, sMm: 0.5 * ((s + k) % 24), attempt: 1, tS: first * everyS + s, byS: first * everyS + s, ageS: 1, widthMm: 1, heightMm: 0.5, areaRatio: 1 + 0.05 * Math.sin(s), offsetMm: 0,
          uWidthMm: 0.01, uHeightMm: 0.01, uAreaMm2: 0.01, uOffsetMm: 0.01, support: "target", sagMm: null, coverage: 1, verdict: "inBand", proven: true,
        })), 1);
        played.numbered("health", {}, 1);
        if (s % 400 === 399) await frame();
      }
    }, { seconds: DAY_S, everyS: ALERTS_EVERY_S, alert: madeAlert(0), first: of * DAY_S / ALERTS_EVERY_S });
  }

  async function kept(): Promise<{ readonly bytes: number; readonly nodes: number; readonly listeners: number }> {
    await page.waitForTimeout(500);
    for (let i = 0; i < 3; i++) await tools.send("HeapProfiler.collectGarbage");
    const { usedSize: bytes } = await tools.send("Runtime.getHeapUsage"), { nodes, jsEventListeners: listeners } = await tools.send("Memory.getDOMCounters");
    return { bytes, nodes, listeners };
  }

  it("holds no more memory, nodes or listeners after its seventh day than after its third", async () => {
    await open();
    tools = await page.context().newCDPSession(page);
    for (let of = 0; of < WARM_DAYS; of++) await day(of);
    const first = await kept();
    for (let of = WARM_DAYS; of < 7; of++) await day(of);
    const last = await kept();
    expect(await streams()).toBe(1); // it was the same page all the time
    expect(last.bytes - first.bytes).toBeLessThan((7 - WARM_DAYS) * DAY_S); // one byte a second
    expect(last.nodes).toBeLessThanOrEqual(first.nodes + 50);
    expect(last.listeners).toBeLessThanOrEqual(first.listeners + 50);
  }, 600_000);
});
