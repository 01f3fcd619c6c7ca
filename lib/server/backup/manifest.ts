/** What a backup says of itself: every file in it with its hash, and what was wrong already when it was made. */
import { z } from "zod";
import { InputError } from "../../base/errors.ts";

export const MANIFEST = "manifest.json";
export const DATABASE = "aslaid.db";

const manifest = z.object({
  format: z.literal("aslaid-backup/1"),
  /** ISO 8601, UTC. */
  madeAt: z.string(),
  version: z.string(),
  /** Of the key that seals; `isHere`: its file lies in the backup. */
  signingKey: z.object({ keyId: z.string(), isHere: z.boolean() }),
  runCount: z.number(),
  /** Records that were not whole already, each with what was wrong. */
  notWhole: z.array(z.object({ runId: z.string(), problem: z.string() })),
  /** Raw files whose bytes were not those of their name any more. */
  changed: z.array(z.string()),
  files: z.array(z.object({ name: z.string(), sha256: z.string(), size: z.number() })),
});
export type Manifest = z.output<typeof manifest>;

/** InputError store.damaged where the text is none of ours. */
export function readManifest(text: string, file: string): Manifest {
  const parsed = manifest.safeParse(parseOrNull(text));
  if (!parsed.success) throw new InputError("store.damaged", `a backup with its ${MANIFEST}`, parsed.error.issues[0]?.message ?? "another", { file });
  return parsed.data;
}

function parseOrNull(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}
