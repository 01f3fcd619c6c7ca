import { callerFolder, prepare, root } from "./prepare.mjs";
import { absoluteDataFolder, absoluteSigningKey } from "./settings.mjs";
import { reportAndFail } from "./stop.mjs";

/** Commands that open the database and so need its compiled part. */
const OPENS_DATABASE = ["import", "export", "drop", "backup", "restore", "recompute", "scan", "token"];

/** Runs one command of lib/command/ in this process; its exit code becomes the process's. */
export async function launch(argv) {
  process.stdout.on("error", (error) => {
    if (error.code === "EPIPE") process.exit(0); // the reader has had enough
    throw error;
  });
  try {
    const caller = callerFolder();
    Object.assign(process.env, { ASLAID_ROOT: root, ASLAID_DATA: absoluteDataFolder(process.env, root, caller), ASLAID_SIGNING_KEY: absoluteSigningKey(process.env, caller) });
    const bundle = await prepare({ database: OPENS_DATABASE.includes(argv[0] ?? ""), pages: false, say: (line) => process.stderr.write(`${line}\n`) });
    process.chdir(caller);
    const { main } = await import(bundle);
    process.exitCode = await main(argv);
  } catch (error) {
    reportAndFail(error);
  }
}
