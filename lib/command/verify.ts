/** `verify FOLDER`: whether an exported record is whole. Needs neither database nor server. */
import { readFile } from "node:fs/promises";
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { sizeWords } from "../base/sizeWords.ts";
import { verifyRecord } from "../log/verifyRecord.ts";
import type { KnownKey, WholeRecord } from "../log/verifyRecord.ts";
import { openRecordFolder } from "../source/recordFolder.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";

const HELP = `npm run --silent verify -- FOLDER [--key publicKey.pem]

Checks an exported run: every entry of its log, every seal, every file. Needs nothing but the folder and the key.
  --key FILE      the public key as it is known from elsewhere: that of the last seal, which covers everything before. Where the key was changed, an
                  earlier one vouches only for what it sealed itself: then the record is not whole by it, and verify says how far it goes.
                  Without --key the record shows only that it is sealed throughout, and by whose key the reader cannot tell
Exit 0: whole; 1: not whole, naming the first entry, seal or file that is wrong or missing; 2: cannot be read, one clear error on stderr.
`;

const USAGE = "FOLDER [--key publicKey.pem]";

function parse(argv: readonly string[]): { readonly folder: string; readonly key: string | null } | "help" {
  let parsed: { values: { help?: boolean; key?: string }; positionals: string[] };
  try {
    parsed = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, key: { type: "string" } } });
  } catch (error) {
    throw new InputError("command.usage", USAGE, (error as Error).message, {}, error);
  }
  const { values: { help, key }, positionals: [folder, ...more] } = parsed;
  if (help) return "help";
  if (folder === undefined || more.length > 0) throw new InputError("command.usage", USAGE, `${parsed.positionals.length} arguments`, {});
  return { folder, key: key ?? null };
}

async function readKey(file: string): Promise<KnownKey> {
  try {
    return { pem: await readFile(file, "utf8"), file };
  } catch (cause) {
    throw new InputError("log.badKey", "a public key in PEM", `none that can be read (${(cause as NodeJS.ErrnoException).code})`, { file, key: "--key" }, cause);
  }
}

function wholeWords({ runId, count, head, sealCount, lastSealAt, keyId, isFinished, fileCount, dropped, keys }: WholeRecord, isKeyKnown: boolean): string {
  return [
    `whole: run ${runId}, ${count} entries, ${sealCount} ${sealCount === 1 ? "seal" : "seals"}, ${fileCount} files`,
    ...(isFinished ? [] : ["the run had not finished when this was exported"]),
    ...dropped.map(({ name, size, sha256 }) => `dropped: ${name} (${sizeWords(size)}, SHA-256 ${sha256})`),
    `head ${head}, sealed ${lastSealAt}`,
    ...keys.slice(0, -1).map((each) => `earlier key ${each.keyId}, of the seals up to entry ${each.untilCount}; an entry says that it was changed`),
    isKeyKnown ? `key ${keyId}, as given by --key` : `key ${keyId}: compare it with the one that you know from elsewhere; anybody can seal with a key of their own`,
    "",
  ].join("\n");
}

export async function verifyCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io);
  const record = await openRecordFolder(asked.folder);
  const known = asked.key === null ? null : await readKey(asked.key);
  const verified = await verifyRecord(record, known, (bytes) => progress(() => `verifying: ${sizeWords(bytes)} of files`));
  await io.out(verified.fault === null ? wholeWords(verified, known !== null) : `not whole: ${verified.fault.words}\n`);
  return verified.fault === null ? 0 : 1;
}
