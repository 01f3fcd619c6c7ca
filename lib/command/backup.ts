/** `backup FILE`: everything that is kept, in one file, while a server runs. */
import { sizeWords } from "../base/sizeWords.ts";
import { aboutServer } from "../server/about.ts";
import { backupTo } from "../server/backup/backup.ts";
import { dataFolder, newId, nowIso, openOwnStore, ownKeyIsSet } from "../server/settings.ts";
import type { Io } from "./io.ts";
import { oneFileIn } from "./oneFile.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent backup -- FILE

Writes everything that is kept in ASLAID_DATA (default data/) into one new zip, also while a server runs and a print goes on: the database as
of one instant, the files of all runs by their hash, and of prints that go on what has come so far. Prints the file.
The key that seals goes along where it lies in the data folder; a key of your own (ASLAID_SIGNING_KEY) does not: keep it yourself.
Whoever has the file can seal in your name and try passphrases: keep it as you keep the data folder. Nothing is written over.
Exit 0: written; 1: written, and something in the data folder was not whole already, named on stderr; 2: bad input, one clear error on
stderr, and no file.
`;

export async function backupCommand(argv: readonly string[], io: Io): Promise<number> {
  const file = oneFileIn(argv, "one file to be made");
  if (file === null) {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io), store = openOwnStore();
  try {
    const { runCount, bytes, signingKey, notWhole, changed } = await backupTo(store, {
      dataFolder: dataFolder(), file, ownKey: ownKeyIsSet(), version: aboutServer(import.meta.url).version, newId, nowIso, heard: (done) => progress(() => `copying: ${sizeWords(done)}`),
    });
    io.err(`${runCount} ${runCount === 1 ? "run" : "runs"}, ${sizeWords(bytes)}. ${signingKey.isHere ? "The key that seals is in it." : `The key that seals, ${signingKey.keyId}, is a file of your own and is not in it: keep it yourself.`}`);
    for (const { runId, problem } of notWhole) io.err(`Not whole already: run ${runId}: ${problem}.`);
    for (const name of changed) io.err(`Not whole already: the bytes of ${name} are not those of its name.`);
    await io.out(`${file}\n`);
    return notWhole.length + changed.length === 0 ? 0 : 1;
  } finally {
    await store.close();
  }
}
