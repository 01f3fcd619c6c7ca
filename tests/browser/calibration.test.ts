/** A camera calibrated on the page, in Debian's chromium: by keyboard, from boards that are rendered here; refused input told; axe in both colour schemes. */
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { stands } from "../support/boardScene.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, tabTo, type PageOptions } from "../support/livePage.ts";
import { ownData } from "../support/recorded.ts";
import { raysOf, renderBoard, type Scene } from "../support/renderedBoard.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";

const SCENE: Scene = { board: { columns: 7, rows: 4, pitchMm: 8 }, pattern: "checkerboard", lens: { fx: 430, fy: 428, cx: 203, cy: 147, k1: -0.15, k2: 0.04, p1: 0, p2: 0, k3: 0 }, widthPx: 400, heightPx: 300, noise: 1.5 };
const PICTURES = 9;
const data = ownData(), boards = join(data.place, "boards"), pictures = Array.from({ length: PICTURES }, (_, i) => join(boards, `view-${i}.png`));
let server: ServerProcess, browser: Browser, page: Page;

beforeAll(async () => {
  mkdirSync(boards);
  const rays = raysOf(SCENE), random = makeRandom(61, "grain");
  for (const [i, stand] of stands(SCENE.board, SCENE.lens, SCENE.widthPx, { seed: 61, count: PICTURES, tiltRad: 0.6, fill: 0.45 }).entries()) {
    await sharp(renderBoard(SCENE, rays, stand, random), { raw: { width: SCENE.widthPx, height: SCENE.heightPx, channels: 1 } }).png().toFile(pictures[i]!);
  }
  writeFileSync(join(boards, "board.json"), JSON.stringify({ pattern: "checkerboard", pitchMm: 8, camera: "camera-3" }));
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  rmSync(boards, { recursive: true });
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

async function open(options: PageOptions = {}): Promise<void> {
  page = await openPage(browser, `${server.url}/calibration`, options);
  await page.waitForLoadState("networkidle"); // scripts are in and keys are heard
}
const sentence = (): Promise<string> => page.locator("h1").innerText();

async function solveByKeyboard(files: readonly string[]): Promise<void> {
  expect(await tabTo(page, /^Choose (pictures|others)$/)).toBe(true);
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Enter")]);
  await chooser.setFiles([...files]);
  await expect.poll(sentence).toBe("Ready to be solved.");
  expect(await tabTo(page, "Solve")).toBe(true);
  await page.keyboard.press("Enter");
}

describe("the page of a calibration", () => {
  it.each(["light", "dark"] as const)("takes pictures by keyboard and shows judgement, boards, errors and the job's blocks; axe finds nothing wrong in %s", async (colorScheme) => {
    await open({ colorScheme });
    expect(await axeComplaints(page)).toEqual([]);
    await solveByKeyboard([...pictures, join(boards, "board.json")]);
    await expect.poll(sentence, { timeout: 20_000 }).toMatch(/^The calibration of camera-3 is (good|doubtful)\.$/);
    const blocks = JSON.parse(await page.locator(".job-blocks").innerText()) as { devices: [{ id: string; fx: number; calibration: { u: { fx: number }; points: number } }] };
    expect(blocks.devices[0]).toMatchObject({ id: "camera-3", calibration: { pictures: PICTURES, points: 28 * PICTURES } });
    expect(Math.abs(blocks.devices[0].fx - SCENE.lens.fx)).toBeLessThan(4 * blocks.devices[0].calibration.u.fx);
    for (const id of ["calibration-boards", "calibration-errors", "calibration-pictures"]) expect(await page.locator(`#drawing-${id} svg path`).count()).toBeGreaterThan(PICTURES);
    expect(await page.locator("#drawing-calibration-errors figcaption").innerText()).toMatch(/errors \d+ times as long as they are/);
    expect(await axeComplaints(page)).toEqual([]);
  });

  it.each([1440, 390])("at %i px nothing runs out of it sideways", async (width) => {
    await open({ width });
    await solveByKeyboard([...pictures.slice(0, 4), join(boards, "board.json")]);
    await expect.poll(sentence, { timeout: 20_000 }).toMatch(/^The calibration of camera-3 is /);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });

  it("says what is missing: pictures without a board's pattern and pitch", async () => {
    await open();
    await solveByKeyboard(pictures.slice(0, 3));
    await expect.poll(sentence, { timeout: 20_000 }).toBe("No calibration came of it.");
    expect(await page.locator(".detail").innerText()).toBe("board.json, pattern: expected one of \"checkerboard\", \"dots\", got nothing.");
  });
});
