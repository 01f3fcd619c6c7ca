/** What a report of 100 000 stations costs: making what measuring says, its sheets of paper, and opening its page. */
import type { BenchRow } from "./bench.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import { bodyOfLarge, makeLargeRun, writeLargeRun } from "./benchRun.ts";
import { served, type Served } from "./benchServer.ts";
import type { Io } from "./io.ts";

const WHAT = "the report of 100 000 stations";

async function timeOf(io: Io, work: () => unknown): Promise<string> {
  const began = io.nowMs();
  await work();
  return `${((io.nowMs() - began) / 1000).toFixed(1)} s`;
}

/** Its PDF as a page asks for it; nothing of the wait is the bench's own. */
async function fetchPaper({ url }: Served, runId: string): Promise<void> {
  const answered = await fetch(`${url}/api/runs/${runId}/report/pdf`);
  if (!answered.ok) throw new TypeError(`${answered.status}`);
  await answered.arrayBuffer();
}

export async function reportRows(io: Io): Promise<BenchRow[]> {
  io.err("a run of 100 000 stations, and its report");
  const large = makeLargeRun(), before = process.memoryUsage().rss, making = await timeOf(io, () => bodyOfLarge(large)), grown = process.memoryUsage().rss - before;
  const rows: BenchRow[] = [{ what: `${WHAT}: what measuring says`, value: making, aim: "< 20 s with its paper" }, { what: `${WHAT}: memory on top`, value: `${(grown / 2 ** 20).toFixed(0)} MB`, aim: "< 1 GB" }];
  return served(writeLargeRun, async (server, runId) => {
    io.err("its paper");
    rows.push({ what: `${WHAT}: its PDF, record checked`, value: await timeOf(io, () => fetchPaper(server, runId)), aim: "" });
    if (!hasBrowser()) return rows;
    io.err("its page");
    await inBrowser(async (browser) => {
      const page = await browser.newPage({ viewport: { width: 1280, height: 900 } }), address = `${server.url}/runs/${runId}/report`;
      await page.goto(`${server.url}/sign-in`); // the browser and the server's pages are awake
      rows.push({ what: `${WHAT}: its page, opened`, value: await timeOf(io, () => page.goto(address, { waitUntil: "domcontentloaded" })), aim: "< 2 s" });
    });
    return rows;
  });
}
