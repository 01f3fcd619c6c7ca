/** The pages in Debian's chromium: axe on every one in light and dark, findings walked by keyboard, sizes from phone to wall. */
import { execFileSync } from "node:child_process";
import { rmSync } from "node:fs";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { Finding } from "../../lib/model/result.ts";
import { openStore } from "../../lib/store/openStore.ts";
import { writeRun } from "../../lib/store/writeRun.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { holdSession, signedInAs, type SignedInTest } from "../support/people.ts";
import { madeRun } from "../support/madeRun.ts";
import { madeResult } from "../support/madeResult.ts";
import type { MadeSettings } from "../support/madeResult.ts";
import type { ServerProcess } from "../support/serverProcess.ts";
import { ROOT, startServer } from "../support/serverProcess.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";

const base: MadeSettings = { layers: 2, strands: 6, lengthMm: 20, spacingMm: 0.5, widthMm: 1, heightMm: 0.5, faults: [] };
const stray: Finding = {
  kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2: 1.9, volumeMm3: 0.6, lengthMm: 2.1, position: [15.2, 5.2, 1], worst: { metric: "areaMm2", value: 1.9, limit: 0.5 },
};

const folder = tempFolder();
const ids = { real: "", faulty: "", fused: "", one: "", notBegun: "", large: "" };
let server: ServerProcess;
let browser: Browser;
let page: Page;
let dana: SignedInTest;

function fill(): void {
  const newId = countedIds();
  const store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId });
  const put = (number: number, settings: MadeSettings, more: readonly Finding[] = []): string => {
    const result = madeResult(settings);
    const run = madeRun(number, newId, { ...result, findings: [...result.findings, ...more] });
    return writeRun(store.db, { ...run, strands: run.strands.map((strand) => ({ ...strand, lengthMm: settings.lengthMm })) });
  };
  ids.faulty = put(1, { ...base, faults: [
    { layer: 2, strand: 5, fromMm: 6, toMm: 8.5, kind: "gap" }, { layer: 2, strand: 2, fromMm: 9, toMm: 13, kind: "underExtrusion" }, { layer: 1, strand: 4, fromMm: 15, toMm: 18, kind: "displacedStrand" },
    { layer: 2, strand: 3, fromMm: 2, toMm: 5, kind: "overExtrusion" }, { layer: 1, strand: 1, fromMm: 4, toMm: 7, kind: "liftedStrand" }, { layer: 2, strand: 6, fromMm: 0, toMm: 2.5, kind: "unmeasured" },
  ] }, [stray]);
  ids.fused = put(2, { ...base, fused: true });
  ids.one = put(3, { ...base, layers: 1, strands: 1, lengthMm: 60 });
  ids.notBegun = put(4, { ...base, layers: 1, laidStrands: 0 });
  ids.large = put(5, { ...base, layers: 1, strands: 10, lengthMm: 100, spacingMm: 0.5 });
  dana = signedInAs(store.db, "Dana Reyes", { roles: ["reviewer"] });
  void store.close();
  ids.real = execFileSync(process.execPath, ["scripts/launch.mjs", "import", "fixtures/mandible-angle"], { cwd: ROOT, env: { ...process.env, ASLAID_DATA: folder }, encoding: "utf8" }).trim();
}

beforeAll(async () => {
  fill();
  server = await startServer(folder);
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(path: string, { width = 1280, height = 800, colorScheme = "light", isSignedIn = false }: { width?: number; height?: number; colorScheme?: "light" | "dark"; isSignedIn?: boolean } = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: "reduce" });
  if (isSignedIn) await holdSession(context, server.url, dana.token);
  page = await context.newPage();
  await page.goto(`${server.url}${path}`, { waitUntil: "networkidle" }); // scripts are in and keys are heard
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
}

const chosenWords = (): Promise<string> => page.locator(".findings a[aria-current]").innerText();
const readout = (): Promise<string> => page.locator("#station-title").innerText();

describe("axe finds nothing wrong", () => {
  const pages = ["register", "real", "faulty", "fused", "one", "notBegun", "unknown run", "unknown page"] as const;
  const pathOf = (name: (typeof pages)[number]): string => (name === "register" ? "/" : name === "unknown run" ? "/runs/none" : name === "unknown page" ? "/nowhere" : `/runs/${ids[name]}`);
  for (const name of pages) {
    for (const colorScheme of ["light", "dark"] as const) {
      it(`on the sheet "${name}" in ${colorScheme}, text at 7 : 1 or better`, async () => {
        await open(pathOf(name), { colorScheme });
        expect(await axeComplaints(page)).toEqual([]);
      });
    }
  }
});

describe("the register", () => {
  it("lists six runs, newest first, each with its sentence and its mark, and opens one by keyboard", async () => {
    await open("/");
    expect(await page.locator("h1").innerText()).toBe("Six runs are kept. The newest is not acceptable.");
    expect(await page.locator(".run-line .run-name").allInnerTexts()).toEqual(["bench rehearsal, mandible-angle foam phantom, one conformal layer\nREHEARSAL", "run 5", "run 4\nREHEARSAL", "run 3", "run 2\nREHEARSAL", "run 1\nDEMO"]);
    expect(await page.locator(".run-state").last().innerText()).toBe("Not acceptable: six act findings. 91.5\u00a0% of the laid length is in band.");
    for (let i = 0; i < 12; i++) await page.keyboard.press("Tab");
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
    expect(await page.locator(".lanes figcaption").innerText()).toContain("Layer 1");
    expect(await page.locator(".lanes .stretch.selected").getAttribute("class")).toContain("displacedStrand");
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
    const box = await page.locator(".lanes-window").boundingBox();
    await page.mouse.click((box?.x ?? 0) + (box?.width ?? 0) / 2, (box?.y ?? 0) + (box?.height ?? 0) * 0.46);
    expect(await readout()).toMatch(/strand [34] at \d+\.\d mm\s+not laid yet/);
    expect(await page.locator(".reading-words").innerText()).toContain("Not laid.");
  });

  it("layers are chosen in the title block of any sheet, and the lanes and the map turn to it", async () => {
    await open(`/runs/${ids.fused}`);
    await page.getByLabel("Title block of sheet 2 of 3").getByRole("button", { name: "2", exact: true }).click();
    expect(await page.locator(".lanes figcaption").innerText()).toContain("Layer 2");
    expect(await page.locator(".layer-map figcaption").innerText()).toContain("Layer 2");
  });

  it("a record without an entry is not called whole, and one that was kept is", async () => {
    await open(`/runs/${ids.fused}`);
    expect(await page.getByLabel("Title block of sheet 1 of 3").innerText()).toContain("not whole");
    expect(await page.locator(".record-state").innerText()).toMatch(/^The record is not whole: /);
    await page.goto(`${server.url}/runs/${ids.real}`);
    expect(await page.getByLabel("Title block of sheet 1 of 3").innerText()).toMatch(/whole · head [0-9a-f]{8}…/);
    expect(await page.locator(".record-state").innerText()).toMatch(/^The record is whole: its \d+ entries are sealed/);
  });

  it("draws nothing where nothing was seen: of the strand seen from 3 mm on the canvas has nothing at 1.5 mm, and paste at 6 mm", async () => {
    await open(`/runs/${ids.faulty}`);
    await page.waitForSelector(".findings a[aria-current]");
    const paste = await page.locator(".lanes canvas").evaluate((canvas) => {
      const { width, height } = canvas as HTMLCanvasElement;
      const context = (canvas as HTMLCanvasElement).getContext("2d") as CanvasRenderingContext2D;
      const lanePx = (height - 12) / 6, middlePx = Math.round(6 + 5 * lanePx + 0.3 * lanePx);
      const alphaAt = (mm: number): number => context.getImageData(Math.round(46 + mm * (width - 76) / 20), middlePx, 1, 1).data[3] as number;
      return [alphaAt(1.5), alphaAt(6)];
    });
    expect(paste).toEqual([0, 255]);
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

  it("on paper every layer is drawn in lines and in the light inks, the title block stands at the foot of each of three sheets, and pages are A4 landscape", async () => {
    await open(`/runs/${ids.faulty}`, { colorScheme: "dark" });
    await page.waitForSelector(".findings a[aria-current]");
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    await page.waitForSelector(".lanes-paper");
    expect(await page.locator(".lanes-paper").evaluateAll((drawings) => drawings.filter((drawing) => drawing.getBoundingClientRect().height > 0).length)).toBe(2);
    expect(await page.locator(".layer-map").count()).toBe(2);
    expect(await page.evaluate(() => getComputedStyle(document.documentElement).getPropertyValue("--mark-gap").trim())).toBe("#8f0f6b");
    const feet = await page.locator(".sheets > .sheet").evaluateAll((sheets) => sheets.map((sheet) => [...sheet.children].findLastIndex((child) => !child.matches(".safety")) === [...sheet.children].findIndex((child) => child.matches(".title-block"))));
    expect(feet).toEqual([true, true, true]);
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString("latin1");
    const boxes = [...pdf.matchAll(/\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/g)].map((match) => [Math.round(Number(match[1])), Math.round(Number(match[2]))]);
    expect(boxes.length).toBeGreaterThanOrEqual(3);
    expect(boxes.every(([width, height]) => width === 842 && height === 595)).toBe(true);
  });

  it("by keyboard alone: the worst place, its section, a disposition with a reason in the name of who is signed in, and it stands in the list after the page is opened again", async () => {
    await open(`/runs/${ids.real}`, { isSignedIn: true });
    await page.waitForSelector(".findings a[aria-current]");
    await page.keyboard.press("p");
    await page.keyboard.press("n");
    expect(await chosenWords()).toContain("Gap");
    expect(await readout()).toMatch(/^Section · strand 5 at \d\.\d mm/);
    await expect.poll(() => page.locator(".reading-words").innerText()).toMatch(/profile \d+ of profiler-1, .* points used · crosses: \d+ not used/);
    await page.keyboard.press("d");
    await page.keyboard.type("fal");
    await page.keyboard.press("Tab");
    await page.keyboard.type("laid as");
    await page.keyboard.press("Tab");
    await page.keyboard.type("n and p typed here walk nowhere");
    await page.keyboard.press("Enter");
    await page.getByText("Written to the log.").waitFor();
    expect(await chosenWords()).toMatch(/Gap[\s\S]*· false$/);
    await page.reload();
    await page.waitForSelector(".decided");
    expect(await page.locator(".decided").innerText()).toMatch(/^false: laid as intended, the plan says otherwise; “n and p typed here walk nowhere” Dana Reyes, 20\d\d-/);
    expect(await page.getByLabel("Title block of sheet 1 of 3").innerText()).toContain("Dana Reyes");
  });

  it("a note is pinned to the chosen station, in the name of who is signed in, and leads back there", async () => {
    await open(`/runs/${ids.real}`, { isSignedIn: true });
    const form = page.getByRole("form", { name: "Pin a note" });
    await form.getByLabel("Note at strand").fill("a hair lies across");
    await form.getByRole("button").press("Enter");
    await page.getByText("Written to the log.").waitFor();
    const place = page.locator(".notes .place");
    const words = await place.innerText();
    await page.getByRole("slider").press("Home");
    expect(await readout()).toContain("at 0.0 mm");
    await place.press("Enter");
    expect(words).toContain(/at ([\d.]+ mm)/.exec(await readout())?.[1] as string);
    expect(await page.locator(".notes .by").innerText()).toMatch(/^Dana Reyes, 20\d\d-/);
  });

  it("an own reason without a note, half a form, a request of another site, and one of nobody, are refused", async () => {
    const post = (origin: string, body: object, cookie = dana.cookie): Promise<Response> => fetch(`${server.url}/api/runs/${ids.real}/dispositions`, { method: "POST", headers: { origin, cookie, "content-type": "application/json" }, body: JSON.stringify(body) });
    const body = { resultId: "none", findingIndex: 0, disposition: "false", reason: "other", note: "" };
    expect((await post("http://elsewhere.example", body)).status).toBe(403);
    expect((await post(server.url, body)).status).toBe(400);
    expect((await post(server.url, {})).status).toBe(400);
    expect((await post(server.url, body, "")).status).toBe(401);
  });

  it("keys j and k walk strands, . and , stations, ] and [ layers; turned off they do nothing", async () => {
    await open(`/runs/${ids.fused}`);
    await page.waitForSelector(".lanes figcaption");
    const at = async (key: string): Promise<string> => { await page.keyboard.press(key); return readout(); };
    await page.locator(".lanes-view").press("Home");
    expect(await at("j")).toContain("strand 2 at 0.0 mm");
    expect(await at(".")).toContain("strand 2 at 0.5 mm");
    expect(await at(",")).toContain("strand 2 at 0.0 mm");
    expect(await at("k")).toContain("strand 1 at 0.0 mm");
    await page.keyboard.press("]");
    expect(await page.locator(".lanes figcaption").innerText()).toContain("Layer 2");
    await page.getByText("Keys", { exact: true }).click();
    await page.getByLabel("single keys are on").uncheck();
    await page.locator(".lanes-view").focus();
    expect(await at("j")).toContain("strand 1 at");
  });

  it("zoom by key magnifies about the chosen station, which stays in view", async () => {
    await open(`/runs/${ids.large}`);
    const view = page.locator(".lanes-view");
    await view.press("End");
    for (let i = 0; i < 3; i++) await view.press("+");
    await expect.poll(() => view.evaluate((element) => element.scrollWidth > 6 * element.clientWidth)).toBe(true);
    const placePx = (): Promise<number> => page.locator(".lanes .centre-line").evaluate((line) => Number(line.getAttribute("x1")));
    const widthPx = await view.evaluate((element) => element.clientWidth);
    await expect.poll(async () => await placePx() > 46 && await placePx() < widthPx).toBe(true);
    await view.press("0");
    await expect.poll(() => view.evaluate((element) => element.scrollWidth <= element.clientWidth)).toBe(true);
  });

  it("the chart follows the quantity that is picked by key, and says it in words", async () => {
    await open(`/runs/${ids.one}`);
    expect(await page.locator(".course-words").innerText()).toMatch(/^area ratio: 121 values from 0\.9\d to 1\.0\d/);
    await page.getByLabel("Quantity").focus();
    await page.keyboard.type("wid");
    await expect.poll(() => page.locator(".course-words").innerText()).toMatch(/^width: 121 values from [\d.]+ mm to /);
    expect(await page.locator(".course canvas").getAttribute("aria-label")).toBe("width along the run");
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
    await page.goto(`${server.url}/runs/${ids.real}`);
    await page.waitForLoadState("networkidle");
    expect([elsewhere, complaints]).toEqual([[], []]);
  });
});
