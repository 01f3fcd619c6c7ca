/** `token`: who may send data over the wire. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { nowIso, openOwnStore } from "../server/settings.ts";
import { endToken, makeToken } from "../server/tokens.ts";
import { listTokens } from "../store/tokens.ts";
import type { Store } from "../store/openStore.ts";
import type { Io } from "./io.ts";

const HELP = `npm run --silent token -- add NAME [--device ID]
npm run --silent token -- list
npm run --silent token -- revoke NAME

  add     makes a token and prints it alone on stdout; it is shown this once and kept as a hash.
          With --device it sends for that device alone: no runs, progress, signals, rework, paste, commands or finish.
  list    a line a token: name, device, made, last used, revoked
  revoke  the token counts no more, from the next call on
Exit 0: done; 2: bad usage, one clear error on stderr.
`;

function parse(argv: readonly string[]): { readonly words: readonly string[]; readonly device: string | null; readonly help: boolean } {
  try {
    const { values, positionals } = parseArgs({ args: [...argv], allowPositionals: true, options: { help: { type: "boolean" }, device: { type: "string" } } });
    return { words: positionals, device: values.device ?? null, help: values.help ?? false };
  } catch (error) {
    throw new InputError("command.usage", "token add NAME [--device ID], token list or token revoke NAME", (error as Error).message, {}, error);
  }
}

export async function tokenCommand(argv: readonly string[], io: Io): Promise<number> {
  const { words: [action, name, ...more], device, help } = parse(argv);
  if (help) {
    await io.out(HELP);
    return 0;
  }
  const wanted = action === "list" ? 0 : 1;
  if (!["add", "list", "revoke"].includes(action ?? "") || (name === undefined ? 0 : 1) + more.length !== wanted || (device !== null && action !== "add")) {
    throw new InputError("command.usage", "add NAME [--device ID], list or revoke NAME", JSON.stringify(argv.join(" ")), {});
  }
  const store = openOwnStore();
  try {
    await carryOut(store, { action: action as "add" | "list" | "revoke", name: name ?? "", device }, io);
  } finally {
    await store.close();
  }
  return 0;
}

async function carryOut(store: Store, { action, name, device }: { readonly action: "add" | "list" | "revoke"; readonly name: string; readonly device: string | null }, io: Io): Promise<void> {
  if (action === "add") await io.out(`${makeToken(store, { name, device, at: nowIso() })}\n`);
  else if (action === "revoke") endToken(store, name, nowIso());
  else for (const token of listTokens(store.db)) await io.out(`${token.name}\t${token.device ?? "all devices"}\tmade ${token.createdAt}\tlast used ${token.lastUsedAt ?? "never"}\t${token.revokedAt === null ? "counts" : `revoked ${token.revokedAt}`}\n`);
}
