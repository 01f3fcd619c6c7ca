/** The browser that a bench draws in: Debian's, without a graphics card. */
import { existsSync } from "node:fs";
import type { Browser } from "playwright-core";

const CHROMIUM = "/usr/bin/chromium";
const ARGUMENTS: readonly string[] = ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];

export function hasBrowser(): boolean {
  return existsSync(CHROMIUM);
}

/** Opens the browser while `work` goes on. */
export async function inBrowser<T>(work: (browser: Browser) => Promise<T>): Promise<T> {
  const { chromium } = await import("playwright-core"), browser = await chromium.launch({ executablePath: CHROMIUM, args: [...ARGUMENTS] });
  try {
    return await work(browser);
  } finally {
    await browser.close();
  }
}
