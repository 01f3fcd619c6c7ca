/** Brings a clone to where a command or the server can run. Each step is done only when its inputs have changed. */
import { existsSync, readdirSync, renameSync, rmSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { compileDatabase, databaseIsCompiled, installPackages, packagesAreInstalled } from "./install.mjs";
import { runStep } from "./run-step.mjs";
import { hashInputs, readStamp, withLock, writeStamp } from "./stamps.mjs";
import { Stop } from "./stop.mjs";

export const root = dirname(dirname(fileURLToPath(import.meta.url)));
const dist = join(root, "dist");
const stampOf = (name) => join(dist, "stamps", name);
const CLIENT = join(root, "lib", "store", "generated");
/** One folder a bundle, named by what it was made from, so that a running server keeps the one it began with. */
const BUNDLES = join(dist, "commands");
const BUNDLES_KEPT = 3;
const bin = (name) => join(root, "node_modules", ".bin", name);

const clientHash = () => hashInputs(root, ["prisma/schema.prisma", "prisma.config.ts", "package-lock.json"]);
const codeHash = (client) => hashInputs(root, ["lib", "tsconfig.json", "package-lock.json", "scripts/prepare.mjs"], { skip: ["generated"], extra: client });

/** What has to be made from the sources as they are now: the client and the bundle always, the pages for the server. */
function stepsOfNow(pages) {
  const client = clientHash();
  const code = codeHash(client);
  const bundle = join(BUNDLES, code.slice(0, 16));
  const steps = [
    { name: "client", hash: client, made: CLIENT, make: generateClient },
    { name: "bundle", hash: code, made: bundle, make: (say) => bundleCommands(bundle, say) },
  ];
  if (pages) steps.push({ name: "pages", hash: hashInputs(root, ["app", "next.config.js"], { extra: code }), made: join(root, ".next", "BUILD_ID"), make: buildPages });
  return { bundle, steps };
}

const isDone = (step) => existsSync(step.made) && (step.name === "bundle" || readStamp(stampOf(step.name)) === step.hash);

async function generateClient(say) {
  rmSync(CLIENT, { recursive: true, force: true });
  await runStep({
    title: "Generating the database client", command: bin("prisma"), args: ["generate"], cwd: root, say,
    env: { PRISMA_SCHEMA_ENGINE_BINARY: "/bin/true", CHECKPOINT_DISABLE: "1", PRISMA_HIDE_UPDATE_MESSAGE: "1" },
    advice: "The database client could not be generated from prisma/schema.prisma: the lines above say why.",
  });
}

async function bundleCommands(folder, say) {
  say("Bundling the commands");
  const esbuild = await import("esbuild");
  const part = `${folder}.${process.pid}`;
  try {
    await esbuild.build({
      entryPoints: {
        command: join(root, "lib", "command", "main.ts"),
        ...Object.fromEntries(["keeper", "engine", "frame", "settle"].map((name) => [name, join(root, "lib", "server", "live", `${name}Thread.ts`)])),
        recompute: join(root, "lib", "server", "recompute", "recomputeProcess.ts"),
        look: join(root, "lib", "server", "look", "lookThread.ts"),
      }, outdir: part, outExtension: { ".js": ".mjs" }, chunkNames: "[name]-[hash]",
      absWorkingDir: root, bundle: true, splitting: true, format: "esm", platform: "node", target: "node20", packages: "external", sourcemap: true, logLevel: "warning",
    });
  } catch (error) {
    rmSync(part, { recursive: true, force: true });
    throw new Stop(`The commands could not be bundled: ${error.errors?.length ?? 1} error(s) in lib/, shown above.`, { cause: error });
  } finally {
    await esbuild.stop(); // or its service process lives as long as the server
  }
  rmSync(folder, { recursive: true, force: true });
  renameSync(part, folder);
  const made = readdirSync(BUNDLES).map((name) => join(BUNDLES, name));
  const oldestLast = made.sort((a, b) => statSync(b).mtimeMs - statSync(a).mtimeMs);
  for (const old of oldestLast.slice(BUNDLES_KEPT)) rmSync(old, { recursive: true, force: true });
}

async function buildPages(say) {
  await runStep({
    title: "Building the pages (half a minute)", command: process.execPath, args: [join(root, "node_modules", "next", "dist", "bin", "next"), "build"], cwd: root, say,
    env: { NEXT_TELEMETRY_DISABLED: "1", NODE_ENV: "production" },
    advice: "The pages could not be built: the lines above say why.",
  });
}

/**
 * Makes what is missing and gives the bundled commands of lib/command/main.ts, as a module to import.
 * `say` gets one line of progress at a time.
 * @param {{ database: boolean, pages: boolean, say: (line: string) => void }} what
 * @returns {Promise<string>} a file URL
 */
export async function prepare({ database, pages, say }) {
  const installed = () => packagesAreInstalled(root) && (!database || databaseIsCompiled(root));
  const urlOf = (bundle) => pathToFileURL(join(bundle, "command.mjs")).href;
  const now = installed() ? stepsOfNow(pages) : null;
  if (now !== null && now.steps.every(isDone)) return urlOf(now.bundle);
  return withLock(join(root, "dist", "lock"), say, async () => {
    await installPackages(root, say);
    if (database) await compileDatabase(root, say);
    const { bundle, steps } = stepsOfNow(pages);
    for (const step of steps) {
      if (isDone(step)) continue;
      await step.make(say);
      writeStamp(stampOf(step.name), step.hash);
    }
    return urlOf(bundle);
  });
}

/** The folder that the caller stood in: npm runs scripts in the package root and names the caller's in INIT_CWD. */
export function callerFolder() {
  const here = process.cwd();
  return here === root && process.env.INIT_CWD !== undefined ? process.env.INIT_CWD : here;
}
