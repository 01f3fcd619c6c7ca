/** Camera frames on the pages of a rehearsed run in Debian's chromium: a strand is dragged away, and frames show it. */
import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, rmSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { openStore } from "../../lib/store/openStore.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { ReadPdf } from "../support/poppler.ts";
import type { ServerProcess } from "../support/serverProcess.ts";
import { ROOT, startServer } from "../support/serverProcess.ts";
import { holdSession, signedInAs, type SignedInTest } from "../support/people.ts";
import { MIGRATIONS, NOW_UNIX_MS, countedIds, tempFolder } from "../support/tempStore.ts";
import { WireClient } from "../support/wireClient.ts";
import { frameBody } from "../support/wirePrint.ts";

const folder = tempFolder(), run = join(tempFolder(), "run");
let server: ServerProcess;
let browser: Browser;
let page: Page;
let id = "";
let frameCount = 0;
let dana: SignedInTest;

const launch = (...args: string[]): string => execFileSync(process.execPath, ["scripts/launch.mjs", ...args], { cwd: ROOT, env: { ...process.env, ASLAID_DATA: folder }, encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }).trim();

const TEXTS = ["file", "device", "frame"];
function frameRows(from: string): Record<string, string | number>[] {
  const [head = "", ...lines] = readFileSync(join(from, "frames.csv"), "utf8").trim().split("\n"), keys = head.split(",").map((key) => key.replace(/_([a-z])/g, (_, c: string) => c.toUpperCase()));
  return lines.map((line) => Object.fromEntries(line.split(",").map((cell, i) => [keys[i] as string, TEXTS.includes(keys[i] as string) ? cell : Number(cell)])));
}

beforeAll(async () => {
  launch("rehearse", "--out", run, "--camera", "--camera-every", "5", "--strands", "3", "--length", "14", "--fault", "drag@1/2/5-9", "--seed", "11");
  frameCount = readdirSync(join(run, "frames")).length;
  id = launch("import", run);
  const store = openStore({ dataFolder: folder, migrationsFolder: MIGRATIONS, signingKeyFile: null, nowUnixMs: NOW_UNIX_MS, newId: countedIds() });
  dana = signedInAs(store.db, "Dana Reyes", { roles: ["operator"] });
  await store.close();
  server = await startServer(folder);
  browser = await launchBrowser();
}, 180_000);
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  for (const each of [folder, join(run, "..")]) rmSync(each, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(path: string, { width = 1280, colorScheme = "light" }: { readonly width?: number; readonly colorScheme?: "light" | "dark" } = {}): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, reducedMotion: "reduce" });
  page = await context.newPage();
  await page.goto(`${server.url}${path}`, { waitUntil: "networkidle" });
}

const caption = (): Promise<string> => page.locator(".frame-viewer figcaption > span").first().innerText();
const lineCount = (): Promise<number> => page.locator(".frame-whole .frame-line").count();

describe("the frame at a finding", () => {
  it("stands whole beside the section, with the gap's outline over it, and is the newest that shows it", async () => {
    await open(`/runs/${id}`);
    await page.locator(".findings a", { hasText: "Gap" }).first().click();
    const image = page.locator(".frame-whole img");
    await page.waitForFunction(() => document.querySelector<HTMLImageElement>(".frame-whole img")?.naturalWidth === 640);
    expect(await image.getAttribute("alt")).toMatch(/^Camera frame frames\/\S+, taken at [\d.]+ s: .*Absent: .*strand 2 of layer 1/);
    expect(await caption()).toContain(`Frame ${frameCount} of ${frameCount}`);
    await page.waitForFunction(() => [...document.querySelectorAll(".frame-whole .frame-line")].some((line) => line.getAttribute("d")?.endsWith("Z") === true && line.getAttribute("stroke-dasharray") === "6 3"));
    expect(await page.locator(".frame-letter", { hasText: "G" }).count()).toBeGreaterThan(0);
    expect(await page.locator("#frame-section-title").innerText()).toContain("strand 2 of layer 1");
  });

  it("arrows go back and forth in time, Home to the first, l takes the lines away; the slider says where it is", async () => {
    await open(`/runs/${id}`);
    await page.locator(".frame-focus").focus();
    for (const [key, at] of [["End", frameCount], ["ArrowLeft", frameCount - 1], ["ArrowLeft", frameCount - 2], ["ArrowRight", frameCount - 1], ["Home", 1], ["ArrowLeft", 1], ["End", frameCount]] as const) {
      await page.keyboard.press(key);
      await page.waitForFunction((words) => document.querySelector(".frame-viewer figcaption")?.textContent?.includes(words) === true, `Frame ${at} of ${frameCount}`);
    }
    expect(await page.locator(".frame-controls input").getAttribute("aria-valuetext")).toMatch(new RegExp(`^${frameCount} of ${frameCount}, [\\d.]+ s, used$`));
    await page.waitForSelector(".frame-whole .frame-line", { state: "attached" });
    expect(await lineCount()).toBeGreaterThan(3);
    await page.keyboard.press("l");
    await page.waitForFunction(() => document.querySelectorAll(".frame-whole .frame-line").length === 0);
  });

  it("a station chosen in the lanes brings the newest frame that shows it", async () => {
    await open(`/runs/${id}`);
    await page.locator(".frame-focus").press("Home");
    await page.waitForFunction((words) => document.querySelector(".frame-viewer figcaption")?.textContent?.includes(words) === true, `Frame 1 of ${frameCount}`);
    await page.locator(".lanes-view").press("ArrowRight");
    await page.waitForFunction(() => document.querySelector(".frame-viewer figcaption")?.textContent?.startsWith("Frame 1 of") === false);
    expect(await caption()).toContain(`Frame ${frameCount} of ${frameCount}`);
  });

  for (const colorScheme of ["light", "dark"] as const) {
    it(`has nothing for axe in ${colorScheme}`, async () => {
      await open(`/runs/${id}`, { colorScheme });
      await page.waitForSelector(".frame-whole img");
      expect(await axeComplaints(page)).toEqual([]);
    });
  }

  it("fits a screen of 390 px", async () => {
    await open(`/runs/${id}`, { width: 390 });
    await page.waitForSelector(".frame-whole img");
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  });
});

describe("the report", () => {
  it("has the frame at the gap on the page and on paper, and says how many frames came", async () => {
    await open(`/runs/${id}/report`);
    expect(await page.locator("#frames p").first().innerText()).toMatch(/frames came/);
    const images = page.locator("#findings image");
    expect(await images.count()).toBeGreaterThan(0);
    expect((await page.request.get(`${server.url}${await images.first().getAttribute("href")}`)).headers()["content-type"]).toBe("image/png");
    const pdf = new ReadPdf(await (await page.request.get(`${server.url}/api/runs/${id}/report/pdf`)).body());
    try {
      expect(pdf.pictures().length).toBe(await images.count());
      expect(pdf.pictures()[0]?.widthPx).toBeGreaterThanOrEqual(220);
    } finally {
      pdf.close();
    }
  });
});

describe("a print that a camera alone watches", () => {
  it("shows its newest measured frame with what is missing, and takes a rectangle of paste that a person sets by keyboard, once signed in", async () => {
    const alone = join(run, "..", "alone"), token = launch("token", "add", "cell"), client = new WireClient(() => server.url, token);
    launch("rehearse", "--out", alone, "--camera", "--no-profiler", "--camera-size", "320x240", "--camera-scale", "9", "--strands", "1", "--length", "8", "--seed", "4");
    const { camera: _, ...job } = JSON.parse(readFileSync(join(alone, "job.json"), "utf8")) as Record<string, unknown>, [row] = frameRows(alone);
    const made = await client.call("POST", "/runs", { type: "application/json", text: JSON.stringify({ job, planText: readFileSync(join(alone, "plan.csv"), "utf8"), planFormat: "csv" }) }), { runId } = made.json as { runId: string };
    const { type, bytes } = frameBody(row ?? {}, readFileSync(join(alone, String(row?.["file"]))));
    expect((await client.call("POST", `/runs/${runId}/frames`, { type, text: bytes as Uint8Array<ArrayBuffer> })).status).toBe(200);
    const context = await browser.newContext({ viewport: { width: 1920, height: 1080 }, reducedMotion: "reduce" });
    await holdSession(context, server.url, dana.token);
    page = await context.newPage();
    await page.goto(`${server.url}/runs/${runId}`);
    await page.getByRole("button", { name: "Frame", exact: true }).click();
    await page.waitForFunction(() => document.querySelector<HTMLImageElement>(".paste-marking img")?.naturalWidth === 320);
    expect(await page.locator(".frame-viewer figcaption").innerText()).toContain("not used: nobody knew by then how the paste looks");
    expect(await axeComplaints(page)).toEqual([]);
    await page.getByLabel("left, px").fill("40");
    await page.getByLabel("left, px").press("ArrowUp");
    await page.getByLabel("right, px").fill("60");
    await page.getByRole("button", { name: "All of this is paste" }).press("Enter");
    await page.waitForFunction(() => document.querySelector(".paste-marking [role=status]")?.textContent?.startsWith("It stands in the log.") === true);
    const settled = await client.call("POST", `/runs/${runId}/finish`);
    expect(settled.status).toBe(200);
    expect(launch("export", runId, "--out", join(run, "..", "exported"))).not.toBe("");
    expect(readFileSync(join(run, "..", "exported", "paste.csv"), "utf8").trim().split("\n")[1]).toMatch(/,camera-1,frames\/\S+,41,\d+,60,\d+,Dana Reyes$/);
  });
});

describe("kept pictures", () => {
  const hashOf = (name: string): string => createHash("sha256").update(readFileSync(join(run, name))).digest("hex");
  it("are served byte for byte by their hash, as what they are and as nothing that runs; no other file of the run is", async () => {
    await open("/");
    const name = `frames/${readdirSync(join(run, "frames"))[0]}`, got = await page.request.get(`${server.url}/api/runs/${id}/pictures/${hashOf(name)}`);
    expect(createHash("sha256").update(await got.body()).digest("hex")).toBe(hashOf(name));
    expect(got.headers()).toMatchObject({ "content-type": "image/png", "x-content-type-options": "nosniff" });
    expect(got.headers()["content-security-policy"]).toContain("sandbox");
    for (const other of [hashOf("job.json"), "0".repeat(64), "../job.json"]) expect((await page.request.get(`${server.url}/api/runs/${id}/pictures/${encodeURIComponent(other)}`)).status()).toBe(404);
    expect((await page.request.get(`${server.url}/api/runs/none/pictures/${hashOf(name)}`)).status()).toBe(404);
  });
});
