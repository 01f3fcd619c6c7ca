import { spawn } from "node:child_process";
import { Stop } from "./stop.mjs";

const KEPT_CHARS = 8000;
const running = new Set();

/** Passes a signal on to whatever step is running and to everything that it has started: a compiler must not outlive us. */
export function killRunningSteps(signal) {
  for (const child of running) {
    try {
      process.kill(-child.pid, signal);
    } catch {
      // it has ended already
    }
  }
}

/**
 * Runs one step of the preparation with its output held back; every 15 s a line says that it still runs.
 * A failure shows the end of the output and stops with `advice`.
 */
export async function runStep({ title, command, args, cwd, env, say, advice }) {
  const startedAt = Date.now();
  say(title);
  const child = spawn(command, args, { cwd, env: { ...process.env, ...env }, stdio: ["ignore", "pipe", "pipe"], detached: true });
  running.add(child);
  process.on("SIGINT", killRunningSteps);
  process.on("SIGTERM", killRunningSteps);
  let tail = "";
  const keep = (chunk) => { tail = (tail + chunk).slice(-KEPT_CHARS); };
  child.stdout.on("data", keep);
  child.stderr.on("data", keep);
  const ticker = setInterval(() => say(`  … still at it, ${Math.round((Date.now() - startedAt) / 1000)} s`), 15_000);
  const [code, signal] = await new Promise((resolve) => {
    child.on("error", (error) => { keep(`${error.message}\n`); resolve([-1, null]); });
    child.on("close", (exitCode, by) => resolve([exitCode, by]));
  });
  clearInterval(ticker);
  running.delete(child);
  process.off("SIGINT", killRunningSteps);
  process.off("SIGTERM", killRunningSteps);
  if (code !== 0) {
    if (tail !== "") process.stderr.write(`${tail.trimEnd()}\n`);
    throw new Stop(signal === null ? advice : `Interrupted (${signal}) at: ${title}.`);
  }
  const seconds = (Date.now() - startedAt) / 1000;
  if (seconds > 5) say(`  done in ${Math.round(seconds)} s`);
}
