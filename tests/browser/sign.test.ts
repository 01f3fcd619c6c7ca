/** Signing a report, in Debian's chromium: by keyboard alone from the list to the signature; who operated the run does not; a session that has ended; a record that was changed. */
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import { nameKeyOf, type Role } from "../../lib/model/person.ts";
import { hashPassphrase } from "../../lib/server/people/passphrase.ts";
import { recordEntry, recordOf } from "../../lib/server/record.ts";
import { newId, nowIso, sharedStore } from "../../lib/server/settings.ts";
import { signaturesOf } from "../../lib/server/signatures.ts";
import { readEntriesOf } from "../../lib/store/logTable.ts";
import { addPerson } from "../../lib/store/people.ts";
import { axeComplaints, launchBrowser } from "../support/browser.ts";
import { openPage, tabTo } from "../support/livePage.ts";
import { signedInAs } from "../support/people.ts";
import { command, EXAMPLE, ownData } from "../support/recorded.ts";
import { startServer, type ServerProcess } from "../support/serverProcess.ts";

const data = ownData();
const PASSPHRASE = "wet paste on machined foam";
let server: ServerProcess, browser: Browser, page: Page, runId = "";

async function letIn(name: string, roles: readonly Role[]): Promise<void> {
  addPerson(sharedStore().db, { id: newId(), name, nameKey: nameKeyOf(name), roles, passphraseHash: await hashPassphrase(PASSPHRASE), createdAt: nowIso() });
}
beforeAll(async () => {
  runId = (await command("import", EXAMPLE)).out.trim();
  await letIn("Kim Sand", ["reviewer"]);
  await letIn("Dana Reyes", ["operator", "reviewer"]);
  server = await startServer(join(data.place, "data"));
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.stop("SIGKILL");
  await data.restore();
});
afterEach(async () => { for (const context of browser.contexts()) await context.close(); });

async function open(path: string, name: string): Promise<void> {
  page = await openPage(browser, `${server.url}${path}`, { token: signedInAs(sharedStore().db, name).token });
  await page.waitForLoadState("networkidle");
}
/** Tabs to a link, at most 60 times, and follows it. */
async function pressLink(path: string): Promise<void> {
  for (let i = 0; i < 60 && await page.evaluate(() => document.activeElement?.getAttribute("href") ?? "") !== path; i++) await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
}
async function typeInto(label: string | RegExp, text: string): Promise<void> {
  expect(await tabTo(page, label)).toBe(true);
  await page.keyboard.type(text);
}
/** The text of a section of the report. */
const section = (id: string): Promise<string> => page.locator(`section#${id}`).innerText();

describe("a reviewer", () => {
  it("goes from the list of runs to a signature by keyboard alone: a wrong passphrase is said at its field, and name, time and meaning stand there after", { timeout: 120_000 }, async () => {
    await open("/", "Kim Sand");
    await pressLink(`/runs/${runId}`);
    await page.waitForURL(`${server.url}/runs/${runId}**`);
    await page.waitForLoadState("networkidle");
    await pressLink(`/runs/${runId}/report`);
    await page.waitForURL(`${server.url}/runs/${runId}/report`);
    await page.waitForLoadState("networkidle");
    expect(await section("signatures")).toContain("Not signed.");
    expect(readEntriesOf(sharedStore().db, runId, "report.opened").map(({ actor }) => actor)).toEqual(["Kim Sand"]);

    await page.locator('.sign-form input[type="radio"]').first().focus();
    await page.keyboard.press("ArrowDown"); // from accept to accept with remarks
    await typeInto("Remarks, which stand with the signature", "The gap lies at the rim.");
    await typeInto("Your passphrase, again", "another set of words");
    await page.keyboard.press("Enter");
    await page.getByText("The passphrase is not right; nothing was signed.").waitFor();
    expect(await page.getByLabel("Your passphrase, again").getAttribute("aria-invalid")).toBe("true");
    expect(await axeComplaints(page)).toEqual([]);
    expect(signaturesOf(runId)).toEqual([]);

    await page.getByLabel("Your passphrase, again").focus();
    await page.keyboard.type(PASSPHRASE);
    await page.keyboard.press("Enter");
    await page.locator(".signed-now").waitFor();
    expect(await page.locator(".signed-now").innerText()).toMatch(/^Signed: accepted with remarks by Kim Sand, 20\d\d-\d\d-\d\d \d\d:\d\d:\d\d UTC\.$/);
    await page.locator("section#signatures table").waitFor();
    expect(await section("signatures")).toMatch(/Kim Sand\s+20\d\d-.*accepted with remarks\s+The gap lies at the rim\.\s+the first \S+ entries; nothing new came after/);
    expect(signaturesOf(runId).map(({ printedName, meaning, remarks, ownRun }) => [printedName, meaning, remarks, ownRun])).toEqual([["Kim Sand", "acceptWithRemarks", "The gap lies at the rim.", false]]);
    expect(recordOf(runId).whole).toBe(true);
  });

  it("whose session has ended is led to sign in and back, and what was typed is there still", { timeout: 120_000 }, async () => {
    await open(`/runs/${runId}/report`, "Kim Sand");
    await page.getByLabel("Reject").check();
    await page.getByLabel("Reason of the rejection").fill("The end is missing.");
    await page.getByLabel("Your passphrase, again").fill(PASSPHRASE);
    sharedStore().db.prepare(`UPDATE "Session" SET revokedAt = ?`).run(nowIso());
    await page.getByRole("button", { name: "Sign", exact: true }).click();
    await page.getByText("Not signed: your session has ended.").waitFor();
    await page.getByRole("link", { name: "Sign in and come back here" }).click();
    await page.waitForURL(/\/sign-in\?next=/);
    await page.waitForLoadState("networkidle");
    await page.getByLabel("Name").fill("Kim Sand");
    await page.getByLabel("Passphrase", { exact: true }).fill(PASSPHRASE);
    await page.keyboard.press("Enter");
    await page.waitForURL(`${server.url}/runs/${runId}/report`);
    await page.waitForLoadState("networkidle");
    expect([await page.getByRole("radio", { name: "Reject" }).isChecked(), await page.getByLabel("Reason of the rejection").inputValue()]).toEqual([true, "The end is missing."]);
    await page.getByLabel("Your passphrase, again").fill(PASSPHRASE);
    await page.getByRole("button", { name: "Sign", exact: true }).click();
    await page.locator(".signed-now").waitFor();
    expect(signaturesOf(runId).map(({ meaning }) => meaning)).toContain("reject");
  });
});

describe("no signature", () => {
  it("by whoever operated the run: the page says so in place of the form, and nobody else is kept from it", async () => {
    const { db } = sharedStore();
    db.prepare(`UPDATE "Run" SET state = 'finished' WHERE id = ?`).run(runId);
    recordEntry(sharedStore(), runId, { actor: "Dana Reyes", at: nowIso(), kind: "gate.opened", payload: { layer: 1, reason: "looked at by eye" } });
    await open(`/runs/${runId}/report`, "Dana Reyes");
    await page.getByText("You operated this run, and nobody signs their own: you opened its gate.").waitFor();
    expect(await page.locator(".sign-form").count()).toBe(0);
    expect(await section("signatures")).toContain("One entry came after the signature of Kim Sand");
    await page.context().close();
    await open(`/runs/${runId}/report`, "Kim Sand");
    await page.locator(".sign-form").waitFor();
  });

  it("under a record that was changed: the page says what, and offers none", async () => {
    const { db } = sharedStore();
    db.exec(`UPDATE "Reading" SET areaMm2 = areaMm2 * 1.01 WHERE stationIndex = 1`);
    await open(`/runs/${runId}/report`, "Kim Sand");
    await page.getByText(/^What is not whole is not signed\. The record is not whole: what the database holds of the run and its readings is not what was written into it\.$/).waitFor();
    expect(await page.locator("header .advice").allInnerTexts()).toContainEqual(expect.stringMatching(/^The record is not whole: what the database holds/));
    expect(await section("record")).toContain("The record is not whole");
    expect(await page.locator(".sign-form").count()).toBe(0);
  });
});
