/** People at the pages, in Debian's chromium: in by the first link, a finding decided in that name, out, and others let in, changed and retired. */
import { join } from "node:path";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, tabTo, type PageOptions } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData();
const PASSPHRASE = "wet paste on machined foam", OTHER = "a strand is laid on a strand";
let server: ServerProcess, browser: Browser, page: Page, runId = "", firstLink = "";
beforeAll(async () => {
  runId = (await command("import", EXAMPLE)).out.trim();
  server = await startServer(join(data.place, "data"));
  firstLink = /at (http\S+\/first\?key=\S+)$/m.exec(server.said())?.[1] ?? "";
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { for (const context of browser.contexts()) await context.close(); });

async function open(path: string, options: PageOptions = {}): Promise<void> {
  page = await openPage(browser, path.startsWith("http") ? path : `${server.url}${path}`, options);
  await page.waitForLoadState("networkidle"); // scripts are in and keys are heard
}
const sentence = (): Promise<string> => page.locator("h1").innerText();
const tokenOf = (name: string): string => signedInAs(sharedStore().db, name).token;
async function typeInto(label: string | RegExp, text: string): Promise<void> {
  expect(await tabTo(page, label)).toBe(true);
  await page.keyboard.type(text);
}
const cookies = async (context: BrowserContext): Promise<Record<string, object>> => Object.fromEntries((await context.cookies()).map(({ name, httpOnly, sameSite, secure }) => [name, { httpOnly, sameSite, secure }]));

describe("the first person", () => {
  it("comes in by the printed link by keyboard alone, decides about a finding in that name, signs out, and the form then asks to sign in and leads back to it", { timeout: 120_000 }, async () => {
    await open(firstLink);
    expect(await sentence()).toBe("You are the first person here.");
    expect(await axeComplaints(page)).toEqual([]);
    await typeInto(/^Name, as it will stand in logs/, "Dana Reyes");
    await typeInto("Passphrase", "too short");
    await page.keyboard.press("Enter");
    await page.getByText("Not done: expected 15 to 500 characters, got 9.").waitFor();
    await page.getByLabel("Passphrase", { exact: true }).fill("");
    await typeInto("Passphrase", PASSPHRASE);
    await page.keyboard.press("Enter");
    await page.waitForURL(`${server.url}/`);
    expect(await page.locator(".who").innerText()).toMatch(/People\s+Dana Reyes\s+Sign out/);
    expect(await cookies(page.context())).toEqual({ "aslaid-session": { httpOnly: true, sameSite: "Strict", secure: false }, "aslaid-screen": { httpOnly: true, sameSite: "Strict", secure: false } });

    await page.goto(`${server.url}/runs/${runId}#finding-1`, { waitUntil: "networkidle" });
    await page.waitForSelector(".findings a[aria-current]");
    await page.keyboard.press("d");
    await page.keyboard.type("fal");
    await page.getByRole("button", { name: "Write to the log" }).press("Enter");
    await page.getByText("Written to the log.").waitFor();
    expect(await page.locator(".decided").innerText()).toMatch(/Dana Reyes, 20\d\d-/);
    expect(readEntriesOf(sharedStore().db, runId, "finding.disposed").map(({ actor, payload }) => [actor, payload.disposition])).toEqual([["Dana Reyes", "false"]]);

    await page.locator(".who").first().getByRole("button", { name: "Sign out" }).click();
    await page.locator(".above").getByRole("link", { name: "Sign in" }).waitFor();
    await page.waitForLoadState("networkidle");
    await page.keyboard.press("d");
    expect(await page.evaluate(() => document.activeElement?.textContent)).toBe("Sign in to do this");
    expect(await page.getByRole("form", { name: "Disposition of this finding" }).count()).toBe(0);
    await page.keyboard.press("Enter");
    await page.waitForURL(/\/sign-in\?next=/);
    await page.waitForLoadState("networkidle");
    await typeInto(/^Name/, "dana reyes");
    await typeInto("Passphrase", PASSPHRASE);
    await page.keyboard.press("Enter");
    await page.waitForURL(`${server.url}/runs/${runId}#finding-1`);
    expect(await page.locator(".who").first().innerText()).toContain("Dana Reyes");
  });

  it("is the last one by that link: it then says that it does not count any more", async () => {
    await open(firstLink);
    expect(await sentence()).toBe("This link does not count any more.");
    expect(await axeComplaints(page)).toEqual([]);
  });
});

describe("signing in", () => {
  it("tells a wrong name and a wrong passphrase in the same words, then asks to wait", async () => {
    await open("/sign-in?next=https://evil.example/");
    const said: string[] = [];
    for (const [name, passphrase] of [["Nobody", PASSPHRASE], ["Nobody", OTHER], ["Nobody", PASSPHRASE], ["Nobody", OTHER], ["Nobody", PASSPHRASE]] as const) {
      await page.getByLabel("Name").fill(name);
      await page.getByLabel("Passphrase", { exact: true }).fill(passphrase);
      await page.getByRole("button", { name: "Sign in" }).click();
      await expect.poll(() => page.locator(".entry-form [role=status]").innerText()).not.toBe("");
      await expect.poll(() => page.getByRole("button", { name: "Sign in" }).isEnabled()).toBe(true);
      said.push(await page.locator(".entry-form [role=status]").innerText());
    }
    expect(said.slice(0, 4)).toEqual(Array.from({ length: 4 }, () => "Not signed in: the name or the passphrase is not right."));
    expect(said[4]).toMatch(/^Not signed in: wait \d s, and try again\.$/);
    await page.getByLabel("Name").fill("Dana Reyes");
    await page.getByRole("button", { name: "Sign in" }).click();
    await page.waitForURL(`${server.url}/`); // and to nowhere foreign
  });

  it("shows what is typed only where its owner asks for it", async () => {
    await open("/sign-in");
    const field = page.getByLabel("Passphrase", { exact: true });
    expect(await field.getAttribute("type")).toBe("password");
    await page.getByLabel("show it").check();
    expect(await field.getAttribute("type")).toBe("text");
  });

  it("says what Aslaid is not, before anybody acts", async () => {
    await open("/sign-in");
    const words = await page.locator(".cautions").innerText();
    for (const part of ["does not make a print safe", "no medical device and no emergency stop", "hardware stop first", "Pause and abort never ask who you are", "responsible licensed people come first"]) expect(words).toContain(part);
  });

  it("the own passphrase is changed there, and every browser can be signed out", async () => {
    await open("/sign-in", { token: tokenOf("Dana Reyes") });
    expect(await sentence()).toBe("You are signed in as Dana Reyes.");
    await page.getByLabel("Passphrase as it is").fill(PASSPHRASE);
    await page.getByLabel("New passphrase").fill(OTHER);
    await page.getByRole("button", { name: "Change it" }).click();
    await page.getByText("Changed. You are signed out on every other browser.").waitFor();
    await page.getByRole("button", { name: "Sign out on every browser" }).click();
    await expect.poll(sentence).toBe("Sign in.");
    expect(sharedStore().db.prepare(`SELECT count(*) FROM "Session" WHERE revokedAt IS NULL`).pluck().get()).toBe(0);
  });
});

describe("people", () => {
  it("an administrator lets somebody in by a link, who comes in with it and is told what role something asks for; then gets a role, then is retired", { timeout: 120_000 }, async () => {
    await open("/people", { token: tokenOf("Dana Reyes") });
    const form = page.getByRole("form", { name: "Let somebody in" });
    await form.getByLabel("Name, as it will stand in logs").fill("DANA REYES");
    await form.getByRole("button", { name: "Make a link" }).click();
    await page.getByText("Not invited: somebody has this name, or had it, and logs name them by it.").waitFor();
    await form.getByLabel("Name, as it will stand in logs").fill("M. Ort");
    await form.getByLabel("operator").uncheck();
    await form.getByLabel("reviewer").check();
    await form.getByRole("button", { name: "Make a link" }).click();
    const link = await page.getByLabel(/^The link for M\. Ort/).inputValue();
    expect(link).toMatch(new RegExp(`^${server.url}/invited\\?key=[\\w-]{43}$`));
    await expect.poll(() => page.getByRole("region", { name: "Links that are on their way" }).innerText()).toMatch(/M\. Ort\s+invited as reviewer, by Dana Reyes; counts until 20/);
    expect(await axeComplaints(page)).toEqual([]);
    const administrator = page;

    await open(link);
    expect(await page.locator(".detail").innerText()).toBe("Choose a passphrase, and you are in. Your role: reviewer.");
    await page.getByLabel("Passphrase", { exact: true }).fill(PASSPHRASE);
    await page.getByRole("button", { name: "Come in" }).click();
    await page.waitForURL(`${server.url}/`);
    await page.goto(`${server.url}/prepare`, { waitUntil: "networkidle" });
    expect(await page.locator(".may-do").innerText()).toBe("This asks for the role engineer. M. Ort has reviewer.");
    await page.goto(`${server.url}/people`);
    expect([await page.locator(".may-do").innerText(), (await page.locator("main").innerText()).includes("Dana Reyes")]).toEqual(["This asks for the role administrator. M. Ort has reviewer.", false]);
    const invited = page;

    page = administrator;
    await page.reload({ waitUntil: "networkidle" });
    const row = page.getByRole("listitem").filter({ hasText: "M. Ort" });
    expect(await row.locator(".person-facts").innerText()).toMatch(/signed in on one browser/);
    await row.getByLabel("engineer").check();
    await row.getByRole("button", { name: "Keep the roles of M. Ort" }).click();
    await row.getByText("The roles are kept.").waitFor();
    await invited.goto(`${server.url}/prepare`);
    expect(await invited.locator(".arming").count()).toBe(1);
    await row.getByRole("button", { name: "Retire: M. Ort" }).click();
    await row.getByText("Retired.").waitFor();
    await invited.goto(`${server.url}/prepare`);
    expect(await invited.locator(".making > .may-do").innerText()).toBe("Sign in to do this");
    const own = page.getByRole("listitem").filter({ hasText: "Dana Reyes" });
    await own.getByRole("button", { name: "Retire: Dana Reyes" }).click();
    await own.getByText("Not done: there has to be another administrator first.").waitFor();
  });

  it("nobody who is not signed in sees one", async () => {
    await open("/people");
    expect([await page.locator("section .may-do").innerText(), (await page.locator("main").innerText()).includes("Dana")]).toEqual(["Sign in to do this", false]);
  });
});

describe.each(["/sign-in", "/sign-in signed in", "/people", "/"])("the page %s", (name) => {
  const options = (): PageOptions => (name === "/sign-in" ? {} : { token: tokenOf("Dana Reyes") });
  const path = name.split(" ")[0] as string;

  it.each(["light", "dark"] as const)("has nothing that axe finds wrong in %s, and targets of 44 px", async (colorScheme) => {
    await open(path, { ...options(), colorScheme });
    expect(await axeComplaints(page)).toEqual([]);
    const heights = await page.locator("main button, main .above a, main input[type=text], main input[type=password], main .role-boxes label, main .may-do a").evaluateAll((all) => all.map((each) => each.getBoundingClientRect().height));
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(44);
  });

  it.each([1920, 1440, 1024, 390])("at %i px nothing runs out of it sideways", async (width) => {
    await open(path, { ...options(), width });
    expect(await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth)).toBe(0);
  });
});
