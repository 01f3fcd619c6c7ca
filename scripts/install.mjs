/** The packages, and the one part that is compiled here. Nothing is downloaded but from the package registry. */
import { createHash } from "node:crypto";
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { runStep } from "./run-step.mjs";
import { readStamp, writeStamp } from "./stamps.mjs";

const NPM = process.platform === "win32" ? "npm.cmd" : "npm";

const stampFile = (root) => join(root, "node_modules", ".aslaid-packages");
const nativeStampFile = (root) => join(root, "node_modules", ".aslaid-native");
const nativeFile = (root) => join(root, "node_modules", "better-sqlite3", "build", "Release", "better_sqlite3.node");

function lockHash(root) {
  return createHash("sha256").update(readFileSync(join(root, "package-lock.json"))).digest("hex");
}

/** True where node_modules holds every package of the lock at its version: somebody ran npm by hand. */
export function matchesLock(root) {
  try {
    const wanted = JSON.parse(readFileSync(join(root, "package-lock.json"), "utf8")).packages;
    const there = JSON.parse(readFileSync(join(root, "node_modules", ".package-lock.json"), "utf8")).packages;
    return Object.entries(wanted).every(([path, entry]) =>
      path === "" || entry.optional === true || entry.devOptional === true || entry.peer === true || there[path]?.version === entry.version);
  } catch {
    return false;
  }
}

export function packagesAreInstalled(root) {
  return readStamp(stampFile(root)) === lockHash(root);
}

export async function installPackages(root, say) {
  if (packagesAreInstalled(root)) return;
  if (!matchesLock(root)) {
    await runStep({
      title: "Installing the packages of package-lock.json (about a minute)", command: NPM, args: ["ci", "--include=dev", "--no-progress"], cwd: root, say,
      advice: "The packages could not be installed: check that the package registry can be reached, then start again.",
    });
  }
  writeStamp(stampFile(root), lockHash(root));
}

const nativeStamp = () => `${process.platform} ${process.arch} ABI ${process.versions.modules}`;

export function databaseIsCompiled(root) {
  return readStamp(nativeStampFile(root)) === nativeStamp() && existsSync(nativeFile(root));
}

function databaseLoads(root) {
  const probe = "new (require('better-sqlite3'))(':memory:').close()";
  return existsSync(nativeFile(root)) && spawnSync(process.execPath, ["-e", probe], { cwd: root, stdio: "ignore" }).status === 0;
}

/** Headers that came with this Node, so that node-gyp need not fetch them. */
function headersOfNode() {
  const prefix = dirname(dirname(process.execPath));
  return existsSync(join(prefix, "include", "node", "node.h")) ? { npm_config_nodedir: prefix } : {};
}

export async function compileDatabase(root, say) {
  if (databaseIsCompiled(root)) return;
  if (!databaseLoads(root)) {
    await runStep({
      title: "Compiling better-sqlite3 for this machine, once; this takes 2 to 3 minutes", command: NPM,
      args: ["rebuild", "better-sqlite3", "--ignore-scripts=false"], cwd: root, say,
      env: { npm_config_build_from_source: "true", ...(process.env.npm_config_nodedir === undefined ? headersOfNode() : {}) },
      advice: "better-sqlite3 could not be compiled: it needs a C++ compiler, make and python3 (on Debian: apt-get install build-essential python3); then start again.",
    });
  }
  writeStamp(nativeStampFile(root), nativeStamp());
}
