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
  await page.route("http://alarms.test/", (route) => route.fulfill({ contentType: "text/html", body: `<!doctype html><html lang="en"><title>Alarms</title><style>${css}</style><main id="root"></main></html>` }));
  await page.goto("http://alarms.test/");
  await page.addScriptTag({ content: script });
  return page;
}
