/** The command line: picks the command and turns its errors into one sentence and an exit code. */
import { InputError } from "../base/errors.ts";
import type { Io } from "./io.ts";
import type { RunningServer, StartOptions } from "./start.ts";

type Command = (argv: readonly string[], io: Io) => Promise<number>;

interface Entry { readonly about: string; readonly load: () => Promise<Command> }

const COMMANDS: Readonly<Record<string, Entry>> = {
  inspect: { about: "measures a recorded run without a server", load: async () => (await import("./inspect.ts")).inspect },
  import: { about: "brings a recorded run in and prints its run id", load: async () => (await import("./import.ts")).importCommand },
  export: { about: "writes a run folder again, with its record", load: async () => (await import("./export.ts")).exportCommand },
  verify: { about: "tells whether an exported record is whole", load: async () => (await import("./verify.ts")).verifyCommand },
  drop: { about: "gives up the raw data of a run that was exported", load: async () => (await import("./drop.ts")).dropCommand },
  backup: { about: "writes everything that is kept into one file, while the server runs", load: async () => (await import("./backup.ts")).backupCommand },
  restore: { about: "brings a backup back into an empty data folder", load: async () => (await import("./restore.ts")).restoreCommand },
  recompute: { about: "measures a run again under other bands, beside its own result", load: async () => (await import("./recompute.ts")).recomputeCommand },
  scan: { about: "adds a scan of a finished run once its material had set", load: async () => (await import("./scan.ts")).scanCommand },
  calibrate: { about: "a camera's numbers and its place on the tool from pictures of a board", load: async () => (await import("./calibrate.ts")).calibrateCommand },
  token: { about: "makes, lists and revokes the tokens that devices send with", load: async () => (await import("./token.ts")).tokenCommand },
  rehearse: { about: "the simulated cell: a run folder with its truth, or a live run on a server", load: async () => (await import("./rehearse.ts")).rehearse },
  bench: { about: "measures the speed of measuring and reading, and memory", load: async () => (await import("./bench.ts")).bench },
};

const HELP = `Aslaid measures a bead of paste while it is soft. Commands, each with --help:
${Object.entries(COMMANDS).map(([name, entry]) => `  npm run --silent ${name.padEnd(9)} -- …   ${entry.about}`).join("\n")}
`;

/** Exit codes: what the command says; 2 for bad input and bad usage, with one clear error on stderr. */
export async function main(argv: readonly string[], io: Io = terminal()): Promise<number> {
  const [name = "", ...rest] = argv;
  const entry = COMMANDS[name];
  if (entry === undefined) {
    const asked = name === "" || name === "--help" || name === "help";
    if (asked) await io.out(HELP);
    else io.err(`There is no command "${name}": expected one of ${Object.keys(COMMANDS).join(", ")}.`);
    return asked ? 0 : 2;
  }
  try {
    return await (await entry.load())(rest, io);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    io.err(`${error.code}: ${error.message}`);
    return 2;
  }
}

/** The server, for scripts/start.mjs. Loaded only when it is wanted: commands need neither pages nor database. */
export async function start(options: StartOptions): Promise<RunningServer> {
  return (await import("./start.ts")).start(options);
}

function terminal(): Io {
  return {
    out: (text) => new Promise((done, fail) => {
      process.stdout.write(text, (error) => { if (error) fail(error); else done(); });
    }),
    err: (line) => { process.stderr.write(`${line}\n`); },
    nowMs: () => performance.now(),
  };
}
