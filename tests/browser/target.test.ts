/** The target in space in Debian's chromium, drawn in software: rehearsed print on a mandible-angle phantom (fixtures/mandible-angle, invented faults). */
import { join } from "node:path";
import type { Browser, Locator, Page } from "playwright-core";
import sharp from "sharp";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { SHEET } from "../../lib/model/marks.ts";
import { unpackTarget, type TargetShape } from "../../lib/model/targetShape.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, type PageOptions } from "../support/livePage.ts";
import { command, ownData } from "../support/recorded.ts";
import { bodiesOf, WireClient } from "../support/wireClient.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData();
let server: ServerProcess, browser: Browser, page: Page, runId = "", shape: TargetShape, token = "", folder = "";

beforeAll(async () => {
  runId = (await command("import", join(ROOT, "fixtures", "mandible-angle"))).out.trim();
  folder = (await command("rehearse", "--out", join(data.place, "run"), "--seed", "5", "--strands", "2", "--length", "12", "--format", "ndjson")).out.trim();
  token = (await command("token", "add", "cell")).out.trim();
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
  shape = unpackTarget(await (await fetch(`${server.url}/api/runs/${runId}/target`)).arrayBuffer());
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { await page?.context().close(); });

const target = (): Locator => page.locator(".target");
const picture = (): Locator => page.locator(".target-picture");
const caption = (): Promise<string> => target().locator("figcaption").innerText();
const pressed = (): Promise<string> => target().locator("button[aria-pressed=true]").first().innerText();

/** Counts pictures: each begins with one clearing of the canvas. */
const COUNT = `window.drawn = 0; const clear = WebGL2RenderingContext.prototype.clear; WebGL2RenderingContext.prototype.clear = function (mask) { window.drawn++; clear.call(this, mask); };`;
const drawn = (): Promise<number> => page.evaluate(() => (window as unknown as { drawn: number }).drawn);
/** Until nothing more is drawn for a while. */
async function rested(): Promise<number> {
  let before = -1;
  await expect.poll(async () => { const now = await drawn(), isSame = now > 0 && now === before; before = now; return isSame; }, { interval: 400, timeout: 20_000 }).toBe(true);
  return before;
}

async function open(path = `/runs/${runId}`, options: PageOptions = {}, script = COUNT): Promise<void> {
  page = await openPage(browser, "about:blank", options);
  await page.addInitScript(script);
  await page.goto(`${server.url}${path}`);
  await target().scrollIntoViewIfNeeded();
}

/** A key is heard once the page is awake, which its first picture shows. */
async function view(key: string): Promise<void> {
  await expect.poll(drawn, { timeout: 20_000 }).toBeGreaterThan(0);
  await picture().focus();
  await page.keyboard.press(key);
  await rested();
}

/** px of a station from the picture's upper left in the view from above, from the scale bar and the plan alone. */
async function placeOf(strand: number, station: number): Promise<[number, number]> {
  const box = (await picture().boundingBox())!, bar = await target().locator(".scale-bar path").evaluate((path: SVGPathElement) => path.getBBox().width), mm = Number.parseFloat(await target().locator(".scale-bar text").innerHTML());
  const all = shape.strands.flatMap(({ positionsMm }) => Array.from({ length: positionsMm.length / 3 }, (_, i) => [positionsMm[3 * i]!, positionsMm[3 * i + 1]!] as const));
  const middle = [0, 1].map((k) => (Math.min(...all.map((at) => at[k]!)) + Math.max(...all.map((at) => at[k]!))) / 2), { positionsMm } = shape.strands[strand - 1]!;
  return [box.width / 2 + (positionsMm[3 * station]! - middle[0]!) * bar / mm, box.height / 2 - (positionsMm[3 * station + 1]! - middle[1]!) * bar / mm];
}

/** Colours of the picture at places, #rrggbb, without the lines over it. */
async function coloursAt(places: readonly (readonly [number, number])[]): Promise<string[]> {
  await page.addStyleTag({ content: ".target-overlay, .target .hint { visibility: hidden !important; } .target-picture::after { display: none; }" });
  const { data: pixels, info } = await sharp(await picture().screenshot()).removeAlpha().raw().toBuffer({ resolveWithObject: true });
  return places.map(([x, y]) => `#${[0, 1, 2].map((k) => (pixels[3 * (Math.round(y) * info.width + Math.round(x)) + k] as number).toString(16).padStart(2, "0")).join("")}`);
}

describe("the target in space", () => {
  it.each(["light", "dark"] as const)("in %s has bone where beads lie by plan and scale bar, and the sheet's own ground in a corner; the words say so", async (colorScheme) => {
    await open(undefined, { colorScheme });
    await view("2");
    const [bead, corner] = await coloursAt([await placeOf(1, 12), [4, 4]]) as [string, string], [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(bead.slice(at, at + 2), 16)) as [number, number, number];
    expect(corner).toBe(SHEET[colorScheme]);
    expect(bead).not.toBe(SHEET[colorScheme]);
    expect(r > 150 && r >= g && g > b).toBe(true); // bone: bright, and warmer than grey
    expect(await picture().getAttribute("aria-label")).toMatch(/^Target in parallel projection, [\d.]+ : 1, seen from above: layer 1, 259 of \d+ stations drawn as measured beads\. Tagged: .*Gap strand \d of layer 1/);
  });

  it("is drawn when something changes, and not once in a second when nothing does", async () => {
    await open();
    const before = await rested();
    await page.waitForTimeout(1000);
    expect(await drawn()).toBe(before);
    await view("ArrowLeft");
    expect(await drawn()).toBeGreaterThan(before);
  });

  it("views by key change the picture, are named and pressed; arrows turn it away from them, + makes it larger", async () => {
    await open();
    const seen = new Map<string, string>();
    for (const [key, name, words] of [["1", "Front", "from the front"], ["2", "Top", "from above"], ["3", "Left", "from the left"], ["4", "Right", "from the right"], ["5", "Rear", "from the rear"], ["6", "Along normal", "along the layer’s normal"], ["0", "Oblique", "° from above"]] as const) {
      await view(key);
      expect([await pressed(), (await caption()).includes(words)]).toEqual([name, true]);
      seen.set((await picture().screenshot()).toString("base64"), name);
    }
    expect(seen.size).toBe(7);
    const before = await caption();
    await view("+");
    const scaleOf = (text: string): number => Number(/([\d.]+) : 1/.exec(text)?.[1]);
    expect(scaleOf(await caption()) / scaleOf(before)).toBeCloseTo(1.4, 0);
    await view("ArrowRight");
    expect(await target().locator(".target-controls [aria-pressed=true]").count()).toBe(0);
  });

  it("turns with the pointer, enlarges with the wheel, and every control is a button of at least 44 px", async () => {
    await open();
    await rested();
    const before = await caption(), box = (await picture().boundingBox())!;
    await page.mouse.move(box.x + 300, box.y + 200);
    await page.mouse.down();
    await page.mouse.move(box.x + 380, box.y + 180, { steps: 4 });
    await page.mouse.up();
    await rested();
    const turned = await caption();
    expect(turned).not.toBe(before);
    await page.mouse.wheel(0, -300);
    await rested();
    expect(await caption()).not.toBe(turned);
    for (const button of await target().getByRole("button").all()) {
      const size = (await button.boundingBox())!;
      expect(Math.min(size.width, size.height)).toBeGreaterThanOrEqual(44);
    }
  });

  it("two fingers drawn apart to twice their distance make it twice as large", async () => {
    await open(undefined, {}, `${COUNT} Element.prototype.setPointerCapture = () => undefined;`); // of no real fingers
    await rested();
    const barPx = (): Promise<number> => target().locator(".scale-bar").evaluate((bar) => (bar.querySelector("path") as SVGPathElement).getBBox().width / Number.parseFloat(bar.querySelector("text")?.textContent ?? ""));
    const before = await barPx();
    await picture().evaluate((element) => {
      const box = element.getBoundingClientRect(), touch = (type: string, pointerId: number, x: number): boolean => element.dispatchEvent(new PointerEvent(type, { pointerId, pointerType: "touch", clientX: box.left + x, clientY: box.top + 150, bubbles: true }));
      touch("pointerdown", 1, 200); touch("pointerdown", 2, 300);
      touch("pointermove", 1, 150); touch("pointermove", 2, 350);
      touch("pointerup", 1, 150); touch("pointerup", 2, 350);
    });
    await rested();
    expect(await barPx() / before).toBeCloseTo(2, 1);
    expect(await pressed()).toBe("Oblique");
  });

  it("a tap on a bead chooses that station", async () => {
    await open();
    await view("2");
    const [x, y] = await placeOf(7, 30);
    await picture().click({ position: { x, y } });
    await expect.poll(() => page.locator("#station-title").innerText()).toMatch(/^Section · strand 7 at 15\.0 mm/);
  });

  it("a tag leads to its finding's station", async () => {
    await open();
    await rested();
    await target().locator(".stretch", { hasText: "U" }).locator("text").click();
    await expect.poll(() => page.locator("#station-title").innerText()).toMatch(/^Section · strand 2 at /);
  });

  it.each(["light", "dark"] as const)("axe finds nothing wrong with it in %s", async (colorScheme) => {
    await open(undefined, { colorScheme });
    await view("0");
    expect(await axeComplaints(page)).toEqual([]);
  });

  it("is an image on paper, in the inks of paper", async () => {
    await open(undefined, { colorScheme: "dark" });
    await rested();
    await page.emulateMedia({ media: "print", colorScheme: "dark" });
    const image = picture().locator("img");
    await expect.poll(() => image.count()).toBe(1);
    const source = await image.getAttribute("src"), { channels } = await sharp(Buffer.from(source!.slice("data:image/png;base64,".length), "base64")).stats();
    expect(channels[3]!.mean).toBeGreaterThan(5); // something is drawn
    expect(await picture().locator("canvas").isVisible()).toBe(false);
  });
});

describe("where there is no picture", () => {
  it("without WebGL one sentence says so, the strands unrolled serve, and axe finds nothing wrong", async () => {
    await open(undefined, {}, `const get = HTMLCanvasElement.prototype.getContext; HTMLCanvasElement.prototype.getContext = function (kind, ...more) { return /^webgl/.test(kind) ? null : get.call(this, kind, ...more); };`);
    await expect.poll(() => target().locator(".target-none").innerText()).toBe("This browser draws no picture in space (it has no WebGL): the strands unrolled show the same stations.");
    expect(await page.locator(".lanes-view canvas[style]").count()).toBe(1);
    expect(await target().getByRole("button").count()).toBe(0);
    expect(await axeComplaints(page)).toEqual([]);
  });

  it("a lost picture says so, and is there again when it is given back", async () => {
    await open();
    await rested();
    await page.evaluate(() => {
      const lose = document.querySelector<HTMLCanvasElement>(".target-picture canvas")!.getContext("webgl2")!.getExtension("WEBGL_lose_context")!;
      lose.loseContext();
      (window as unknown as { lose: WEBGL_lose_context }).lose = lose;
    });
    await expect.poll(() => target().locator(".target-none").allInnerTexts()).toEqual([expect.stringMatching(/^The graphics card has taken this picture away/)]);
    const before = await drawn();
    await page.evaluate(() => (window as unknown as { lose: WEBGL_lose_context }).lose.restoreContext());
    await expect.poll(() => target().locator(".target-none").count()).toBe(0);
    await expect.poll(drawn).toBeGreaterThan(before);
    expect(await picture().isVisible()).toBe(true);
  });

  it("an unknown run's stations are a 404 in JSON", async () => {
    const response = await fetch(`${server.url}/api/runs/none/target`);
    expect([response.status, ((await response.json()) as { problem: { code: string } }).problem.code]).toEqual([404, "store.noRun"]);
  });
});

describe("a run that streams in", () => {
  it("has planned lines, then beads as readings come, and the newest profile with its age", async () => {
    const client = new WireClient(() => server.url, token), id = await client.makeRun(folder, "run 1"), bodies = bodiesOf(folder, 20);
    await open(`/runs/${id}`);
    await rested();
    expect(await picture().getAttribute("aria-label")).toMatch(/0 of 50 stations drawn as measured beads/);
    for (const body of bodies.slice(0, Math.floor(0.7 * bodies.length))) await client.send(id, body);
    await expect.poll(async () => Number(/, (\d+) of 50 stations drawn/.exec(await picture().getAttribute("aria-label") ?? "")?.[1])).toBeGreaterThan(15);
    await expect.poll(() => target().locator(".target-profile text").innerHTML()).toMatch(/^profile, [\d.]+ s ago$/);
    expect(await target().getByRole("button", { name: "Follow" }).getAttribute("aria-pressed")).toBe("false");
    await client.call("POST", `/runs/${id}/finish`);
  });
});
