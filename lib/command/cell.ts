/** The live half of `rehearse`: the simulated cell on a running server, and causes for such a cell. Clock, environment, signals and chance come in here. */
import { randomUUID } from "node:crypto";
import { readFileSync } from "node:fs";
import { InputError } from "../base/errors.ts";
import { fillCamera, type CameraSettings } from "../rehearsal/camera/cameraSettings.ts";
import { parseCause } from "../rehearsal/liveCauses.ts";
import { openDesk, type Desk } from "../rehearsal/liveDesk.ts";
import { JOB_PARTS, type JobParts } from "../rehearsal/liveJob.ts";
import type { Clock } from "../rehearsal/liveLine.ts";
import { LiveRun, type Ending } from "../rehearsal/liveRun.ts";
import { openWire } from "../rehearsal/liveWire.ts";
import { planStrands } from "../rehearsal/planned.ts";
import { fillSettings, type RehearsalSettings } from "../rehearsal/settings.ts";
import { checkPlaces } from "../rehearsal/simulate.ts";
import { makeSurface } from "../rehearsal/surface.ts";
import type { ProfileFormat } from "../rehearsal/write.ts";
import type { Io } from "./io.ts";
import { cameraOf, numberOf, settingsOf, type Values } from "./rehearseOptions.ts";

/** A number of a live option within its closed range. */
function within(values: Values, name: string, [least, most]: readonly [number, number], usual: number): number {
  const value = values[name] === undefined ? usual : numberOf(values, name);
  if (!(value >= least && value <= most)) throw new InputError("command.usage", `a number from ${least} to ${most}`, String(value), { key: `--${name}` });
  return value;
}

/** Device token: the file named, else ASLAID_TOKEN. */
function readToken(values: Values): string {
  const named = values["token-file"], token = (typeof named === "string" ? readText(named, "--token-file") : process.env.ASLAID_TOKEN ?? "").trim();
  if (token === "" || /\s/.test(token)) throw new InputError("command.usage", "a device token in --token-file or ASLAID_TOKEN", token === "" ? "none" : "one with blanks", { key: "--token-file" });
  return token;
}

function readText(file: string, key: string): string {
  try {
    return readFileSync(file, "utf8");
  } catch (cause) {
    throw new InputError("command.usage", "a file that can be read", JSON.stringify(file), { key }, cause);
  }
}

/** Parts of the job from a file. */
function readParts(values: Values): JobParts {
  const { job } = values;
  if (typeof job !== "string") return {};
  let parts: unknown;
  try {
    parts = JSON.parse(readText(job, "--job"));
  } catch (cause) {
    if (cause instanceof InputError) throw cause;
    throw new InputError("command.usage", "a file that holds JSON", JSON.stringify(job), { key: "--job" }, cause);
  }
  const keys = typeof parts === "object" && parts !== null && !Array.isArray(parts) ? Object.keys(parts) : [""];
  const stray = keys.find((key) => !JOB_PARTS.some((part) => part === key));
  if (stray !== undefined) throw new InputError("command.usage", `an object with ${JOB_PARTS.join(", ")}`, JSON.stringify(stray), { key: "--job" });
  return parts as JobParts;
}

/** Settings that a live cell can print: people take off and lay again, and a print tells where it is. */
function liveSettings(values: Values): RehearsalSettings {
  const settings = fillSettings(settingsOf(values));
  if (settings.rework.length > 0) throw new InputError("command.usage", "a live run without --rework (take a stretch off at the training desk)", "--rework", { key: "--rework" });
  if (!settings.progress) throw new InputError("command.usage", "a live run with progress", "--no-progress", { key: "--no-progress" });
  checkPlaces(settings, planStrands(settings, makeSurface(settings.surface, settings.radiusMm)));
  return settings;
}

/** The camera of a live cell, which has its profilers too. */
function liveCamera(values: Values): CameraSettings | null {
  const camera = cameraOf(values);
  if (camera?.alone === true) throw new InputError("command.usage", "a live run with its profiler", "--no-profiler", { key: "--no-profiler" });
  return camera === null ? null : fillCamera(camera);
}

/** The wall clock as the cell's. */
export function wallClock(io: Io): Clock {
  return {
    nowMs: io.nowMs,
    sleep: (ms, signal) => new Promise((done) => {
      if (signal.aborted) {
        done();
        return;
      }
      const timer = setTimeout(wake, ms);
      signal.addEventListener("abort", wake, { once: true });
      function wake(): void {
        clearTimeout(timer);
        signal.removeEventListener("abort", wake);
        done();
      }
    }),
  };
}

/** Prints on the server at --live, and prints the run's id alone. 0: finished; 1: aborted, refused or stopped. */
export async function rehearseLive(values: Values, format: ProfileFormat, io: Io): Promise<number> {
  const pace = within(values, "pace", [1, 20], 1), syringeMm3 = within(values, "syringe", [1, 1e6], 3000);
  const port = values.control === undefined ? null : within(values, "control", [0, 65535], 0);
  if (port !== null && !Number.isInteger(port)) throw new InputError("command.usage", "a port", String(port), { key: "--control" });
  const camera = liveCamera(values), settings = liveSettings(values), parts = readParts(values), wire = openWire(String(values.live), readToken(values));
  const stop = new AbortController(), onSignal = (): void => stop.abort();
  let desk: Desk | null = null;
  const run: LiveRun = new LiveRun({
    settings, syringeMm3, pace, ...(camera === null ? {} : { camera }), parts, format, wire, clock: wallClock(io), unixMs: Date.now(), idempotencyKey: randomUUID(), stop: stop.signal, say: io.err,
    async onRun(runId) {
      await io.out(`${runId}\n`);
      if (port === null) return;
      desk = await listen(port, run);
      io.err(`Training desk at ${desk.url}`);
    },
  });
  process.on("SIGINT", onSignal);
  process.on("SIGTERM", onSignal);
  try {
    return tellEnding(await run.run(), io);
  } finally {
    process.off("SIGINT", onSignal);
    process.off("SIGTERM", onSignal);
    await (desk as Desk | null)?.close();
  }
}

async function listen(port: number, run: LiveRun): Promise<Desk> {
  try {
    return await openDesk(port, { state: () => run.state, cause: (request) => run.cause(request) });
  } catch (cause) {
    throw new InputError("command.usage", "a free port", String(port), { key: "--control" }, cause);
  }
}

function tellEnding(ending: Ending, io: Io): number {
  const words = { finished: "The run is finished.", aborted: "The run was aborted.", stopped: "Stopped: the run is left as it is, not finished.", refused: ending.kind === "refused" ? `Given up: ${ending.why}` : "" };
  io.err(words[ending.kind]);
  return ending.kind === "finished" ? 0 : 1;
}

/** Sends a cause to the training desk at --cell, and prints what it did. 1: it cannot be had now, or nobody answers. */
export async function causeInCell(values: Values, io: Io): Promise<number> {
  const { cell } = values, { kind, undo, place } = parseCause(String(values.cause), values.undo === true);
  if (typeof cell !== "string" || !URL.canParse("/cause", cell)) throw new InputError("command.usage", "--cell with the address of a training desk", JSON.stringify(cell) ?? "none", { key: "--cell" });
  let response: Response;
  try {
    response = await fetch(new URL("/cause", cell), { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify({ kind, undo, ...place }) });
  } catch {
    io.err(`No training desk answers at ${cell}.`);
    return 1;
  }
  const text = await response.text();
  if (response.status === 200) await io.out(`${(JSON.parse(text) as { said: string }).said}\n`);
  else io.err(text.trim());
  return response.status === 200 ? 0 : 1;
}
