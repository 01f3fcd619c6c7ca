/** Debian's chromium for the browser tests, and what axe says of a page. */
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";
import type { Browser, Page } from "playwright-core";
import { CHROMIUM } from "../../scripts/debian.mjs";

/** Sound waits for a touch, as on a desk: without a window Chromium would let every page sound. */
const SOUND = "--autoplay-policy=document-user-activation-required";
const ARGUMENTS = [SOUND, "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

export async function launchBrowser(): Promise<Browser> {
  if (!existsSync(CHROMIUM)) throw new Error(`The browser tests need ${CHROMIUM}: as root run "apt-get install -y chromium".`);
  return chromium.launch({ executablePath: CHROMIUM, args: ARGUMENTS });
}

/** What axe finds wrong, as "rule: element" lines; best-practice rules and enhanced contrast (7 : 1) included. */
export async function axeComplaints(page: Page): Promise<string[]> {
  await page.evaluate(AXE);
  return page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run: (context: Document, options: object) => Promise<{ violations: { id: string; nodes: { target: string[]; failureSummary: string }[] }[] }> } };
    const { violations } = await axe.run(document, { rules: { "color-contrast-enhanced": { enabled: true }, "target-size": { enabled: true } } });
    return violations.flatMap((violation) => violation.nodes.map((node) => `${violation.id}: ${node.target.join(" ")}: ${node.failureSummary}`));
  });
}
