/** Content hashes of inputs, stamps of what was made from them, and a lock so that two starts do not make the same thing at once. */
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, renameSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { setTimeout as sleep } from "node:timers/promises";

/** Files under `path` (a file or a folder), sorted; folders named in `skip` are left out. A path that is not there gives none. */
export function filesUnder(path, skip = []) {
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat === undefined) return [];
  if (stat.isFile()) return [path];
  const names = readdirSync(path).filter((name) => !skip.includes(name)).sort();
  return names.flatMap((name) => filesUnder(join(path, name), skip));
}

/**
 * SHA-256 over names and contents of all files under the given paths, and over `extra` text.
 * @param {string} root
 * @param {readonly string[]} paths
 * @param {{ skip?: readonly string[], extra?: string }} [more]
 */
export function hashInputs(root, paths, { skip = [], extra = "" } = {}) {
  const hash = createHash("sha256").update(extra);
  for (const path of paths) {
    for (const file of filesUnder(join(root, path), skip)) {
      const content = readFileSync(file);
      hash.update(`\0${file.slice(root.length)}\0${content.length}\0`).update(content);
    }
  }
  return hash.digest("hex");
}

export function readStamp(file) {
  try {
    return readFileSync(file, "utf8");
  } catch {
    return null;
  }
}

/** Written whole or not at all. */
export function writeStamp(file, text) {
  mkdirSync(dirname(file), { recursive: true });
  const part = `${file}.${process.pid}`;
  writeFileSync(part, text);
  renameSync(part, file);
}

function holderIsAlive(lockFolder) {
  const pid = Number(readStamp(join(lockFolder, "pid")) ?? Number.NaN);
  if (!Number.isInteger(pid)) {
    // The holder has made the folder and not yet written its number, or died in between: it gets ten seconds.
    const made = statSync(lockFolder, { throwIfNoEntry: false });
    return made !== undefined && Date.now() - made.mtimeMs < 10_000;
  }
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === "EPERM";
  }
}

/** Runs `work` while no other process of this folder does; a lock whose holder has died is taken over. */
export async function withLock(lockFolder, say, work) {
  mkdirSync(dirname(lockFolder), { recursive: true });
  for (let waited = 0; ; waited++) {
    try {
      mkdirSync(lockFolder);
      break;
    } catch (error) {
      if (error.code !== "EEXIST") throw error;
      if (!holderIsAlive(lockFolder)) {
        rmSync(lockFolder, { recursive: true, force: true });
        continue;
      }
      if (waited === 4) say("another Aslaid process is preparing this folder; waiting for it");
      await sleep(250);
    }
  }
  try {
    writeStamp(join(lockFolder, "pid"), String(process.pid));
    return await work();
  } finally {
    rmSync(lockFolder, { recursive: true, force: true });
  }
}
