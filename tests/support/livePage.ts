/** A browser on a running server, and a cell that a test plays. */
import type { Browser, Page } from "playwright-core";
import type { NumberedCommand } from "../../lib/model/wire.ts";
import { holdSession } from "./people.ts";
import type { WireClient } from "./wireClient.ts";

export interface PageOptions { readonly width?: number; readonly height?: number; readonly colorScheme?: "light" | "dark"; /** Of somebody who is signed in; none: nobody is. */ readonly token?: string }

/** A page of its own context, loaded and with its type. An event stream keeps the network busy, so that is not waited for. */
export async function openPage(browser: Browser, url: string, { width = 1280, height = 800, colorScheme = "light", token }: PageOptions = {}): Promise<Page> {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, reducedMotion: "reduce" });
  if (token !== undefined) await holdSession(context, url, token);
  const page = await context.newPage();
  page.on("filechooser", () => undefined); // from now on dialogs are the test's; asked for at the key press it may come too late
  await page.goto(url);
  await page.evaluate(() => document.fonts.ready.then(() => undefined));
  return page;
}

/** Presses Tab until what has the focus is called so, at most 60 times; false: it never was. */
export async function tabTo(page: Page, name: string | RegExp): Promise<boolean> {
  for (let i = 0; i < 60; i++) {
    const at = await page.evaluate(() => {
      const element = document.activeElement as HTMLElement & { readonly labels?: NodeListOf<HTMLElement> | null };
      return element.labels?.[0]?.textContent ?? element.textContent ?? "";
    });
    if (typeof name === "string" ? at === name : name.test(at)) return true;
    await page.keyboard.press("Tab");
  }
  return false;
}

/** The commands of a run after number `after`, as a cell polls for them. */
export async function pollCommands(client: WireClient, runId: string, after: number): Promise<NumberedCommand[]> {
  const { json } = await client.call("GET", `/runs/${runId}/commands?after=${after}&waitS=10`);
  return json as NumberedCommand[];
}

/** The cell's answer to a command. */
export async function answerCommand(client: WireClient, runId: string, n: number, outcome: "done" | "refused", note = ""): Promise<void> {
  const { status } = await client.call("POST", `/runs/${runId}/commands/${n}/receipt`, { type: "application/json", text: JSON.stringify({ outcome, tS: 12.5, note }) });
  if (status !== 200) throw new Error(`${status}`);
}
