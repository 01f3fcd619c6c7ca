import { callerFolder, prepare, root } from "./prepare.mjs";
import { killRunningSteps } from "./run-step.mjs";
import { listenComplaint, readSettings, requireFreePort, requireWritable } from "./settings.mjs";
import { reportAndFail, Stop } from "./stop.mjs";

const say = (line) => process.stdout.write(`${line}\n`);

/** Longest that an orderly end may take before the process ends anyway, ms. */
const END_WITHIN_MS = 5000;

/** From the settings to a server that answers; returns once it listens. The process ends by SIGINT or SIGTERM. */
export async function startServer() {
  let server = null;
  let asked = false;
  const end = (signal) => {
    if (asked) process.exit(1);
    asked = true;
    killRunningSteps(signal);
    if (server === null) process.exit(1);
    setTimeout(() => process.exit(1), END_WITHIN_MS).unref();
    server.stop().then(() => process.exit(0), (error) => { reportAndFail(error); process.exit(1); });
  };
  process.on("SIGINT", end);
  process.on("SIGTERM", end);
  try {
    const { host, port, dataFolder, signingKey, looking, ownRuns } = readSettings(process.env, root, callerFolder());
    requireWritable(dataFolder);
    await requireFreePort(host, port);
    const bundle = await prepare({ database: true, pages: true, say });
    Object.assign(process.env, { ASLAID_ROOT: root, ASLAID_DATA: dataFolder, ASLAID_SIGNING_KEY: signingKey, ASLAID_HOST: host, ASLAID_LOOKING: looking, ASLAID_OWN_RUNS: ownRuns, NODE_ENV: "production", NEXT_TELEMETRY_DISABLED: "1", NEXT_MANUAL_SIG_HANDLE: "true" });
    process.chdir(root);
    const commands = await import(bundle);
    server = await listenOrStop(commands, host, port);
    say([`Aslaid is ready at ${server.url}`, ...server.notes].join("\n"));
  } catch (error) {
    reportAndFail(error);
    process.exit();
  }
}

async function listenOrStop(commands, host, port) {
  try {
    return await commands.start({ host, port, say });
  } catch (error) {
    const complaint = listenComplaint(error, host, port) ?? (error.name === "InputError" ? `${error.code === "log.badKey" ? "The key for seals cannot be used" : "The database cannot be opened"}: ${error.message}.` : null);
    throw complaint === null ? error : new Stop(complaint);
  }
}
