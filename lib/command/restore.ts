/** `restore FILE`: a backup back into an empty data folder. */
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { restoreFrom } from "../server/backup/restore.ts";
import { dataFolder, newId, ownKeyIsSet, rootFolder } from "../server/settings.ts";
import type { Io } from "./io.ts";
import { oneFileIn } from "./oneFile.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent restore -- FILE

Brings a backup back into ASLAID_DATA (default data/), which has to be new or empty: nothing is written over. Every file is checked by its
hash, the database page by page, and every run's log; then all of it is moved into place, or nothing. Prints the data folder.
Sealing goes on with the key of the backup; where that was a key of your own, set ASLAID_SIGNING_KEY as before. With another key runs go on
too: their logs then say that the key was changed.
Exit 0: restored; 1: restored, as little whole as it was when the backup was made, named on stderr; 2: damaged or bad input, one clear error
on stderr that names the first damage, and nothing is restored.
`;

export async function restoreCommand(argv: readonly string[], io: Io): Promise<number> {
  const file = oneFileIn(argv, "one file that backup made");
  if (file === null) {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io), stop = new AbortController();
  const onSignal = (name: NodeJS.Signals): void => stop.abort(new InputError("source.stopped", "to read the backup to its end", `${name}: nothing was restored`, { file }));
  process.on("SIGINT", onSignal);
  process.on("SIGTERM", onSignal);
  try {
    const { madeAt, version, runCount, signingKey, notWhole, changed } = await restoreFrom({
      file, dataFolder: dataFolder(), migrationsFolder: join(rootFolder(), "prisma", "migrations"), nowUnixMs: Date.now(), newId, signal: stop.signal, heard: (words) => progress(() => words),
    });
    io.err(`${runCount} ${runCount === 1 ? "run" : "runs"}, as of ${madeAt}, by version ${version}.`);
    if (!signingKey.isHere && !ownKeyIsSet()) io.err(`The key that sealed, ${signingKey.keyId}, is not in the backup: set ASLAID_SIGNING_KEY to its file, or sealing goes on with a new one and the logs say so.`);
    for (const { runId, problem } of notWhole) io.err(`Not whole when it was backed up: run ${runId}: ${problem}.`);
    for (const name of changed) io.err(`Not whole when it was backed up: the bytes of ${name} are not those of its name.`);
    await io.out(`${dataFolder()}\n`);
    return notWhole.length + changed.length === 0 ? 0 : 1;
  } finally {
    process.off("SIGINT", onSignal);
    process.off("SIGTERM", onSignal);
  }
}
