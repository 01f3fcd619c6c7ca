/** Bringing a run in on the page, in Debian's chromium: folder and zip by keyboard, dropped ones, a bad one, a cancelled one. */
import { cpSync, existsSync, mkdirSync, readFileSync, readdirSync, rmSync, truncateSync, writeFileSync } from "node:fs";
import { request } from "node:http";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openSqlite } from "../../lib/store/connection.ts";
import { madeZip } from "../support/madeZip.ts";
import { holdSession, signedInAs, type SignedInTest } from "../support/people.ts";
import { ROOT, startServer, type ServerProcess } from "../support/serverProcess.ts";
import { tempFolder } from "../support/tempStore.ts";

const EXAMPLE = join(ROOT, "fixtures/example-run");
/** Large enough that it cannot have been sent before Cancel is pressed, bytes. */
const LARGE_BYTES = 2e9;

const folder = tempFolder();
const data = join(folder, "data");
const staging = join(data, "staging");
const made = (name: string): string => join(folder, name);
let server: ServerProcess;
let browser: Browser;
let page: Page;
let dana: SignedInTest;

function makeRuns(): void {
  cpSync(EXAMPLE, made("bad-run"), { recursive: true });
  writeFileSync(made("bad-run/plan.csv"), readFileSync(join(EXAMPLE, "plan.csv"), "utf8").replace(/^((?:.*\n){2}[^,]*,[^,]*,)[^,]*/, "$1six"));
  cpSync(EXAMPLE, made("large-run"), { recursive: true });
  truncateSync(made("large-run/profiles.ndjson"), LARGE_BYTES);
  writeFileSync(made("example.zip"), madeZip(readdirSync(EXAMPLE).map((name) => ({ name: `example-run/${name}`, data: readFileSync(join(EXAMPLE, name)) }))));
  writeFileSync(made("leaves.zip"), madeZip([{ name: "job.json", data: "{}" }, { name: "../../evil.csv", data: "evil" }]));
}

beforeAll(async () => {
  makeRuns();
  mkdirSync(join(staging, "left-behind", "run"), { recursive: true });
  writeFileSync(join(staging, "left-behind", "run", "profiles.arrow"), "half");
  server = await startServer(data);
  browser = await launchBrowser();
  const db = openSqlite(join(data, "aslaid.db"));
  dana = signedInAs(db, "Dana Reyes", { roles: ["engineer"] });
  db.close();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop();
  rmSync(folder, { recursive: true, force: true });
});
afterEach(async () => { await page?.context().close(); });

async function open(colorScheme: "light" | "dark" = "light", width = 1280): Promise<void> {
  const context = await browser.newContext({ viewport: { width, height: 800 }, colorScheme, reducedMotion: "reduce" });
  await holdSession(context, server.url, dana.token);
  page = await context.newPage();
  page.on("filechooser", () => undefined); // from now on dialogs are the test's; asked for at the key press it may come too late
  await goToImport();
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
}

/** Opens the sheet and waits until its buttons act: the input of folders becomes one when React has taken over. */
async function goToImport(): Promise<void> {
  await page.goto(`${server.url}/import`);
  await page.waitForFunction(() => document.querySelector<HTMLInputElement>("input[type=file]")?.webkitdirectory === true);
}

const focused = (): Promise<string> => page.evaluate(() => document.activeElement?.textContent ?? "");
const sentence = (): Promise<string> => page.locator("h1").innerText();

/** Goes with Tab alone to the button, opens its dialog with Enter and gives the path there. */
async function chooseByKeyboard(button: string, path: string): Promise<void> {
  for (let i = 0; i < 20 && await focused() !== button; i++) await page.keyboard.press("Tab");
  expect(await focused()).toBe(button);
  const [chooser] = await Promise.all([page.waitForEvent("filechooser"), page.keyboard.press("Enter")]);
  await chooser.setFiles(path);
}

async function drop(path: string): Promise<void> {
  const session = await page.context().newCDPSession(page);
  for (const type of ["dragEnter", "dragOver", "drop"] as const) {
    await session.send("Input.dispatchDragEvent", { type, x: 300, y: 500, data: { items: [], files: [path], dragOperationsMask: 1 } });
  }
}

/** Enter on the focused link opens the run's sheet; gives the run's id. */
async function openSheet(): Promise<string> {
  await page.waitForFunction(() => document.activeElement?.textContent === "Open its sheet");
  await page.keyboard.press("Enter");
  await page.waitForURL("**/runs/*");
  return page.url().split("/").at(-1) ?? "";
}

it("what an earlier process left half-way is swept away at the start", () => {
  expect(existsSync(staging)).toBe(false);
});

describe("by keyboard alone", () => {
  it("a folder comes in, and the same run as a zip is the same run", async () => {
    await open();
    await chooseByKeyboard("Choose a folder", EXAMPLE);
    const runId = await openSheet();
    await goToImport();
    await chooseByKeyboard("Choose a zip", made("example.zip"));
    await page.waitForFunction(() => document.querySelector("h1")?.textContent === "example.zip was here already.");
    expect(await openSheet()).toBe(runId);
    expect(readdirSync(staging)).toEqual([]);
  });

  it("a bad one says file, line and key, keeps nothing, and a good one can be chosen after it", async () => {
    await open();
    await chooseByKeyboard("Choose a folder", made("bad-run"));
    await page.locator(".fault").waitFor();
    expect(await sentence()).toBe("plan.csv is not right at line 3: bad-run was not brought in.");
    expect(await page.locator(".detail").innerText()).toBe("Expected a finite number, got \"six\". Nothing of the run is kept.");
    expect(await page.locator(".fault dd").allInnerTexts()).toEqual(["plan.csv", "3", "x_mm"]);
    expect([await focused(), readdirSync(staging)]).toEqual([await sentence(), []]);
    await chooseByKeyboard("Choose another folder", EXAMPLE);
    await openSheet();
  });

  it("a large one is cancelled while it is sent, and nothing of it is left", async () => {
    await open();
    await chooseByKeyboard("Choose a folder", made("large-run"));
    await page.locator("[role=progressbar]").waitFor();
    expect(await focused()).toBe("Cancel");
    expect(await page.locator("[aria-live=polite]").innerText()).toContain("large-run is being sent.");
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelector("h1")?.textContent === "large-run was cancelled.");
    expect([await focused(), readdirSync(staging)]).toEqual(["large-run was cancelled.", []]);
  });
});

describe("dropped on the sheet", () => {
  it("a folder and a zip come in", async () => {
    await open();
    await drop(EXAMPLE);
    const runId = await openSheet();
    await goToImport();
    await drop(made("example.zip"));
    expect(await openSheet()).toBe(runId);
  });

  it("a zip with a path that leaves the folder is refused by its entry's name", async () => {
    await open();
    await drop(made("leaves.zip"));
    await page.locator(".fault").waitFor();
    expect(await sentence()).toBe("../../evil.csv is not right: leaves.zip was not brought in.");
    expect([existsSync(join(data, "evil.csv")), existsSync(join(staging, "evil.csv")), readdirSync(staging)]).toEqual([false, false, []]);
  });
});

describe("the sheet", () => {
  it.each(["light", "dark"] as const)("has nothing that axe finds wrong in %s, before and after a bad run", async (colorScheme) => {
    await open(colorScheme);
    expect(await axeComplaints(page)).toEqual([]);
    await drop(made("bad-run"));
    await page.locator(".fault").waitFor();
    expect(await axeComplaints(page)).toEqual([]);
  });

  it.each([1920, 1280, 390])("at %i px nothing runs out of it sideways", async (width) => {
    await open("light", width);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });

  it("is reached from the register", async () => {
    await open();
    await page.goto(server.url);
    await page.getByRole("link", { name: "Bring a run in" }).click();
    await page.waitForURL("**/import");
    expect(await sentence()).toBe("Bring a recorded run in.");
  });
});

describe("another site's page", () => {
  const statusOf = (headers: Record<string, string>): Promise<number | undefined> => new Promise((done, fail) => {
    request(`${server.url}/api/imports?kind=folder&name=x&fileCount=1&byteCount=1`, { method: "POST", headers }, (response) => { response.resume(); done(response.statusCode); }).on("error", fail).end();
  });

  it("can begin nothing, whatever name it calls the server by", async () => {
    const { port } = new URL(server.url);
    expect(await statusOf({ Origin: "http://evil.example" })).toBe(403);
    expect(await statusOf({ Host: `evil.example:${port}`, Origin: `http://evil.example:${port}` })).toBe(403);
    expect(await statusOf({ Origin: server.url })).toBe(401);
    expect(await statusOf({ Origin: server.url, Cookie: dana.cookie })).toBe(200);
  });
});
