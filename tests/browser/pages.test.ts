/** The pages in Debian's chromium: axe on every one in light and dark, findings walked by keyboard, sizes from phone to wall. */
import { existsSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { CHROMIUM } from "../../scripts/chromium.mjs";
import type { Finding } from "../../lib/model/result.ts";
import { openStore } from "../../lib/store/openStore.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { madeRun } from "../support/madeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import type { MadeSettings } from "../support/madeResult.ts";
import type { ServerProcess } from "../support/serverProcess.ts";
import { startServer } from "../support/serverProcess.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";

const ARGUMENTS = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const base: MadeSettings = { layers: 2, strands: 6, lengthMm: 20, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [] };
const stray: Finding = {
  kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 1.9, volumeMm3: 0.6, lengthMm: 2.1, position: [15.2, 5.2, 1], worst: { metric: "areaMm2", value: 1.9, limit: 0.5 },
};

const folder = tempFolder();
const ids = { faulty: "", fused: "", one: "", notBegun: "", large: "" };
let server: ServerProcess;
let browser: Browser;
let page: Page;

function fill(): void {
  const newId = countedIds();
  const store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  const put = (number: number, settings: MadeSettings, more: readonly Finding[] = []): string => {
    const result = madeResult(settings);
    return writeRun(store.db, madeRun(number, newId, { ...result, findings: [...result.findings, ...more] }));
  };
  ids.faulty = put(1, { ...base, faults: [
    { layer: 2, strand: 5, fromMm: 6, toMm: 8.5, kind: "gap" }, { layer: 2, strand: 2, fromMm: 9, toMm: 13, kind: "underExtrusion" }, { layer: 1, strand: 4, fromMm: 15, toMm: 18, kind: "displacedStrand" },
    { layer: 2, strand: 3, fromMm: 2, toMm: 5, kind: "overExtrusion" }, { layer: 1, strand: 1, fromMm: 4, toMm: 7, kind: "liftedStrand" }, { layer: 2, strand: 6, fromMm: 0, toMm: 2.5, kind: "unmeasured" },
  ] }, [stray]);
  ids.fused = put(2, { ...base, fused: true });
  ids.one = put(3, { ...base, layers: 1, strands: 1, lengthMm: 60 });
  ids.notBegun = put(4, { ...base, layers: 1, laidStrands: 0 });
  ids.large = put(5, { ...base, layers: 1, strands: 10, lengthMm: 100, spacingMm: 0.5 });
  void store.close();
}

beforeAll(async () => {
  if (!existsSync(CHROMIUM)) throw new Error(`The browser tests need ${CHROMIUM}: as root run "apt-get install -y chromium".`);
  fill();
  server = await startServer(folder);
  browser = await chromium.launch({ executablePath: CHROMIUM, args: ARGUMENTS });
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(path: string, { width = 1280, height = 800, colorScheme = "light" }: { width?: number; height?: number; colorScheme?: "light" | "dark" } = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: "reduce" });
  page = await context.newPage();
  await page.goto(`${server.url}${path}`);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
}

/** What axe finds wrong, as "rule: element" lines; best-practice rules and enhanced contrast (7 : 1) included. */
async function axeComplaints(): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run: (context: Document, options: object) => Promise<{ violations: { id: string; nodes: { target: string[]; failureSummary: string }[] }[] }> } };
    const { violations } = await axe.run(document, { rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } } });
    return violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.target.join(" ")}: ${node.failureSummary}`));
  });
}

const chosenWords = (): Promise<string> => page.locator(".findings a[aria-current]").innerText();
const readout = (): Promise<string> => page.locator("#station-title").innerText();

describe("axe finds nothing wrong", () => {
  const pages = ["register", "faulty", "fused", "one", "notBegun", "unknown run", "unknown page"] as const;
  const pathOf = (name: (typeof pages)[number]): string => (name === "register" ? "/" : name === "unknown run" ? "/runs/none" : name === "unknown page" ? "/nowhere" : `/runs/${ids[name]}`);
  for (const name of pages) {
    for (const colorScheme of ["light", "dark"] as const) {
      it(`on the sheet "${name}" in ${colorScheme}, text at 7 : 1 or better`, async () => {
        await open(pathOf(name), { colorScheme });
        expect(await axeComplaints()).toEqual([]);
      });
    }
  }
});

describe("the register", () => {
  it("lists five runs, newest first, each with its sentence and its mark, and opens one by keyboard", async () => {
    await open("/");
    expect(await page.locator("h1").innerText()).toBe("Five runs are kept. The newest is acceptable.");
    expect(await page.locator(".run-line .run-name").allInnerTexts()).toEqual(["run 5", "run 4\nREHEARSAL", "run 3", "run 2\nREHEARSAL", "run 1\nDEMO"]);
    expect(await page.locator(".run-state").last().innerText()).toBe("Not acceptable: six act findings. 91.5 % of the laid length is in band.");
    for (let i = 0; i < 6; i++) await page.keyboard.press("Tab"); // the first link brings a run in
    await page.keyboard.press("Enter");
    await page.waitForURL(`**/runs/${ids.faulty}`);
    expect(await page.locator("h1").innerText()).toContain("Not acceptable: six act findings.");
  });
});

describe("the review sheet", () => {
  it("opens on the worst finding, and n and p walk all seven and around, focus and place going along", async () => {
    await open(`/runs/${ids.faulty}`);
    await page.waitForSelector(".findings a[aria-current]");
    expect(await chosenWords()).toContain("Gap");
    expect(await readout()).toMatch(/^Section · strand 5 at 7\.\d mm/);
    const kinds: string[] = [];
    for (let i = 0; i < 7; i++) {
      await page.keyboard.press("n");
      kinds.push(await page.locator(".findings a[aria-current] .kind").innerText());
      expect(await page.evaluate(() => document.activeElement?.getAttribute("aria-current"))).toBe("true");
    }
    expect(kinds).toEqual(["Displaced strand", "Lifted strand", "Stray material", "Under-extrusion", "Over-extrusion", "Not seen", "Gap"]);
    await page.keyboard.press("p");
    expect(await chosenWords()).toContain("Not seen");
    expect(page.url()).toMatch(/#finding-7$/);
  });

  it("a finding of another layer turns to that layer, marks its place there and shows its station", async () => {
    await open(`/runs/${ids.faulty}`);
    await page.locator(".findings a", { hasText: "Displaced strand" }).press("Enter");
    expect(await page.locator(".drawing figcaption").innerText()).toContain("Layer 1");
    expect(await page.locator(".drawing .stretch.selected").getAttribute("class")).toContain("displacedStrand");
    expect(await readout()).toContain("strand 4 at 16.5 mm");
    expect(await readout()).toContain("displaced, proven");
  });

  it("an address with #finding-3 opens on that finding", async () => {
    await open(`/runs/${ids.faulty}#finding-3`);
    await page.waitForFunction(() => document.querySelector(".findings a[aria-current]")?.id === "finding-3");
    expect(await chosenWords()).toContain("Lifted strand");
  });

  it("arrow keys walk stations of 0.5 mm and strands, and say where they are", async () => {
    await open(`/runs/${ids.one}`);
    const slider = page.getByRole("slider");
    await slider.focus();
    await page.keyboard.press("Home");
    await page.keyboard.press("ArrowRight");
    await page.keyboard.press("ArrowRight");
    expect(await slider.getAttribute("aria-valuetext")).toBe("strand 1 at 1.0 mm, in band");
    expect(await readout()).toContain("strand 1 at 1.0 mm");
    await page.keyboard.press("End");
    expect(await slider.getAttribute("aria-valuetext")).toBe("strand 1 at 60.0 mm, in band");
  });

  it("a click in a lane reads the station that lies there", async () => {
    await open(`/runs/${ids.notBegun}`);
    const box = await page.locator(".drawing .lanes-window").boundingBox();
    await page.mouse.click((box?.x ?? 0) + (box?.width ?? 0) / 2, (box?.y ?? 0) + (box?.height ?? 0) * 0.5);
    expect(await readout()).toMatch(/strand [34] at \d+\.\d mm\s+not laid yet/);
    expect(await page.locator(".reading-words").innerText()).toContain("Not laid.");
  });

  it("layers are chosen in the title block", async () => {
    await open(`/runs/${ids.fused}`);
    const block = page.getByLabel("Title block of sheet 1 of 3");
    await block.getByRole("button", { name: "2", exact: true }).click();
    expect(await page.locator(".drawing figcaption").innerText()).toContain("Layer 2");
    expect(await page.locator(".map-of-layer figcaption").innerText()).toContain("Layer 2");
    expect(await block.innerText()).toContain("nobody yet");
  });

  it("draws nothing where nothing was seen: the strand seen from 3 mm on has its first thick line there", async () => {
    await open(`/runs/${ids.faulty}`, { colorScheme: "dark" });
    await page.waitForSelector(".findings a[aria-current]");
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    await page.waitForSelector(".lanes-paper");
    const paths = page.locator(".lanes-paper").nth(1);
    const firstX = async (line: string): Promise<number> => {
      const starts = (await paths.locator(line).getAttribute("d") ?? "").split("M").slice(1).map((piece) => piece.split(/[ ,L]/).map(Number));
      const lowest = Math.max(...starts.map(([, y]) => y as number)); // the last strand's side view is lowest on the paper
      return Math.min(...starts.filter(([, y]) => lowest - (y as number) < 12).map(([x]) => x as number));
    };
    const perMm = await paths.evaluate((svg) => {
      const [from, to] = [...svg.querySelectorAll(".axis-number")].map((text) => [Number.parseFloat(text.textContent ?? ""), Number(text.getAttribute("x"))] as const);
      return ((to?.[1] ?? 0) - (from?.[1] ?? 0)) / ((to?.[0] ?? 0) - (from?.[0] ?? 0));
    });
    expect((await firstX(".measured-line") - await firstX(".planned-line")) / perMm).toBeCloseTo(3, 0);
  });

  it.each([[1920, 1080], [1280, 800], [390, 844]])("at %i × %i nothing runs out of the sheet sideways", async (width, height) => {
    await open(`/runs/${ids.faulty}`, { width, height });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });

  it("2 010 stations on one layer move from station to station in under 100 ms a key", async () => {
    await open(`/runs/${ids.large}`);
    await page.getByRole("slider").focus();
    const spentMs = await page.evaluate(async () => {
      const frame = (): Promise<number> => new Promise((done) => { requestAnimationFrame(done); });
      const slider = document.querySelector("[role=slider]") as HTMLElement;
      await frame();
      const startedAt = performance.now();
      for (let i = 0; i < 20; i++) {
        slider.dispatchEvent(new KeyboardEvent("keydown", { key: "ArrowRight", bubbles: true }));
        await frame();
      }
      return (performance.now() - startedAt) / 20;
    });
    expect(spentMs).toBeLessThan(100);
  });

  it("on paper every layer is drawn, in the light inks", async () => {
    await open(`/runs/${ids.faulty}`, { colorScheme: "dark" });
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    await page.waitForSelector(".lanes-paper");
    expect(await page.locator(".lanes").evaluateAll((figures) => figures.filter((figure) => figure.getBoundingClientRect().height > 0).length)).toBe(2);
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue("--mark-gap").trim())).toBe("#8f0f6b");
  });

  it("a run that is not kept answers 404 in words", async () => {
    await open("/runs/018f0000-0000-7000-8000-000000000000");
    expect(await page.locator("h1").innerText()).toBe("No run of this number is kept here.");
    expect((await fetch(page.url())).status).toBe(404);
  });

  it("loads nothing from elsewhere and complains of nothing on the console", async () => {
    const context = await browser.newContext();
    page = await context.newPage();
    const elsewhere: string[] = [];
    const complaints: string[] = [];
    page.on("request", (request) => { if (!request.url().startsWith(server.url) && !request.url().startsWith("data:")) elsewhere.push(request.url()); });
    page.on("console", (message) => { if (message.type() === "error") complaints.push(message.text()); });
    page.on("pageerror", (error) => { complaints.push(error.message); });
    await page.goto(`${server.url}/runs/${ids.faulty}`);
    await page.waitForLoadState("networkidle");
    expect([elsewhere, complaints]).toEqual([[], []]);
  });
});
