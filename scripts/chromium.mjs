/** The browser that the page tests drive: Debian's own. */
import { existsSync } from "node:fs";
import { runStep } from "./run-step.mjs";
import { Stop } from "./stop.mjs";

export const CHROMIUM = "/usr/bin/chromium";

const ADVICE = `The browser tests need ${CHROMIUM}: as root run "apt-get update && apt-get install -y chromium", then "npm test" again.`;

/** Installs it where that can be done; a Stop that says how otherwise. */
export async function requireChromium(root, say) {
  if (existsSync(CHROMIUM)) return;
  const mayInstall = process.getuid?.() === 0 && existsSync("/usr/bin/apt-get");
  if (!mayInstall) throw new Stop(ADVICE);
  const env = { DEBIAN_FRONTEND: "noninteractive" };
  await runStep({ title: "Refreshing the list of Debian packages", command: "apt-get", args: ["update", "-qq"], cwd: root, env, say, advice: ADVICE });
  await runStep({ title: "Installing chromium for the browser tests (a minute or two)", command: "apt-get", args: ["install", "-y", "-qq", "--no-install-recommends", "chromium"], cwd: root, env, say, advice: ADVICE });
  if (!existsSync(CHROMIUM)) throw new Stop(ADVICE);
}
