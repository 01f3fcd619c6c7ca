/** The simulated cell that `npm start` begins while no run of a real device is stored: another process, which knows the public wire and a token. */
import { spawn, type ChildProcess } from "node:child_process";
import { join } from "node:path";
import { createInterface } from "node:readline";
import { hasRealRun, listOpenRuns, makerOf } from "../../store/liveRuns.ts";
import type { Store } from "../../store/openStore.ts";
import { renewToken } from "../tokens.ts";
import type { LiveHub } from "./hub.ts";

export interface OwnCellSettings {
  readonly store: Store;
  readonly hub: LiveHub;
  /** False: none is to be begun. */
  readonly isOn: boolean;
  /** The server's own address. */
  readonly url: string;
  readonly rootFolder: string;
  readonly at: string;
  /** One line for people. */
  readonly say: (line: string) => void;
}

/** The name of its token: what it left open when the server ended is known by it. */
const OWN_TOKEN = "rehearsal";
/** What it prints: the mandible angle of the demonstration, four layers, slowly enough to be watched for some minutes. */
const PRINT = ["--surface", "mandibleAngle", "--pattern", "open", "--strands", "7", "--pitch", "1.9", "--length", "18", "--layers", "4", "--speed", "4", "--points", "420", "--dx", "0.0325", "--seed", "12"];

/** Begins it, and ends what an earlier one left open. Returns what stops it; null: runs of real devices are stored, or it is switched off. */
export function startOwnCell({ store, hub, isOn, url, rootFolder, at, say }: OwnCellSettings): (() => void) | null {
  for (const run of listOpenRuns(store.db)) {
    if (makerOf(store.db, run.id) === OWN_TOKEN && run.endAsked === null) hub.abandon(run.id).catch((error: unknown) => console.error(`the rehearsal ${run.id} could not be ended:`, error));
  }
  if (!isOn || hasRealRun(store.db)) return null;
  const token = renewToken(store, OWN_TOKEN, at);
  const cell: ChildProcess = spawn(process.execPath, [join(rootFolder, "scripts", "launch.mjs"), "rehearse", "--live", url, "--control", "0", ...PRINT], {
    cwd: rootFolder, env: { ...process.env, ASLAID_TOKEN: token }, stdio: ["ignore", "ignore", "pipe"],
  });
  cell.on("error", (error) => say(`The rehearsal could not be started: ${error.message}`));
  if (cell.stderr !== null) createInterface({ input: cell.stderr }).on("line", (line) => { if (line.startsWith("Training desk at ")) say(`A rehearsal is printing. ${line}`); });
  return () => { cell.kill("SIGTERM"); };
}
