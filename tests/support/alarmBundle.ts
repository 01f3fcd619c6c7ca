/** A page with alarms alone, bundled and served to a browser without a server. */
import { join, resolve } from "node:path";
import * as esbuild from "esbuild";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { readFileSync } from "node:fs";

const ROOT = resolve(import.meta.dirname, "..", "..");
const CSS = ["app/sheet.css", "app/components/alarm/alarm.css"];

/** The script of tests/support/alarmPage.ts with all that it imports. */
export async function bundleAlarms(): Promise<string> {
  const { outputFiles } = await esbuild.build({
    entryPoints: [join(ROOT, "tests", "support", "alarmPage.ts")], absWorkingDir: ROOT, bundle: true, write: false, format: "iife", platform: "browser", target: "es2022", jsx: "automatic",
    define: { "process.env.NODE_ENV": JSON.stringify("production") }, logLevel: "warning",
  });
  await esbuild.stop();
  return (outputFiles[0] as esbuild.OutputFile).text;
}

/** Opens it; what its console says and what it throws goes to `complaints`. */
export async function openAlarms(browser: Browser, script: string, { options = {}, complaints = [] }: { options?: BrowserContextOptions; complaints?: string[] } = {}): Promise<Page> {
  const page = await (await browser.newContext({ bypassCSP: true, viewport: { width: 760, height: 400 }, ...options })).newPage();
  page.on("console", (message) => { complaints.push(message.text()); });
  page.on("pageerror", (error) => { complaints.push(String(error)); });
  const css = CSS.map((path) => readFileSync(join(ROOT, path), "utf8")).join("\n");
  await page.route("http://alarms.test/", (route) => route.fulfill({ contentType: "text/html", body: `<!doctype html><html lang="en"><title>Alarms</title><style>${css}</style><main id="root"></main><script src="/alarms.js"></script></html>` }));
  await page.route("http://alarms.test/alarms.js", (route) => route.fulfill({ contentType: "text/javascript", body: script }));
  await page.goto("http://alarms.test/");
  return page;
}

/** What an expression comes to in the page. Unlike the page's own evaluate and its locators, it does not pass for a touch of the screen. */
export async function evaluateUntouched(page: Page, expression: string): Promise<unknown> {
  const session = await page.context().newCDPSession(page);
  const { result, exceptionDetails } = await session.send("Runtime.evaluate", { expression, returnByValue: true, userGesture: false });
  await session.detach();
  if (exceptionDetails !== undefined) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
  return result.value;
}
