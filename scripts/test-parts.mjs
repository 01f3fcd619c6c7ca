import { spawn } from "node:child_process";
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { join, relative } from "node:path";
import { requirePackage } from "./debian.mjs";
import { prepare, root } from "./prepare.mjs";
import { killRunningSteps } from "./run-step.mjs";
import { Stop } from "./stop.mjs";

const REPORTS = join(root, "dist", "test");
const say = (line) => process.stdout.write(`${line}\n`);
const moduleFile = (...parts) => join(root, "node_modules", ...parts);
let child = null;

/** Runs a program with its output shown; gives its exit code. */
function show(command, args) {
  return new Promise((done) => {
    child = spawn(command, args, { cwd: root, stdio: ["ignore", "inherit", "inherit"], env: { ...process.env, NODE_ENV: "test" } });
    child.on("error", (error) => { say(error.message); done(1); });
    child.on("close", (code) => done(code ?? 1));
  });
}

/** A check that passes or fails as a whole. */
async function check(command, args) {
  const passed = await show(command, args) === 0;
  return { passed: Number(passed), failed: Number(!passed), skipped: 0 };
}

/** One Vitest project, counted from its JSON report; a run that ends badly without a failed test still counts as one. */
async function vitest(project) {
  const report = join(REPORTS, `${project}.json`);
  const code = await show(process.execPath, [moduleFile("vitest", "vitest.mjs"), "run", "--project", project, "--reporter=default", "--reporter=json", `--outputFile.json=${report}`]);
  const counts = readCounts(report);
  return code !== 0 && counts.failed === 0 ? { ...counts, failed: 1 } : counts;
}

function readCounts(report) {
  try {
    const { numPassedTests, numFailedTests, numPendingTests, numTodoTests, testResults } = JSON.parse(readFileSync(report, "utf8"));
    return { passed: numPassedTests, failed: numFailedTests, skipped: numPendingTests + numTodoTests, names: testResults.flatMap(failuresOf) };
  } catch {
    return { passed: 0, failed: 1, skipped: 0 };
  }
}

/** A test file's failed tests by file and title, each with its first line of why. */
function failuresOf({ name, assertionResults }) {
  return assertionResults.filter(({ status }) => status === "failed").map(({ fullName, failureMessages }) => `${relative(root, name)} > ${fullName}: ${(failureMessages[0] ?? "").split("\n")[0]}`);
}

/** Pictures of boards from elsewhere: where they cannot be had, the tests on them are skipped and the others go on. */
async function sampleBoards() {
  try {
    await requirePackage("opencv-doc", root, say);
  } catch (error) {
    if (!(error instanceof Stop)) throw error;
    say(`${error.message}\nThey are skipped.`);
  }
}

const PARTS = [
  { name: "prepare", run: async () => { await prepare({ database: true, pages: true, say }); return { passed: 0, failed: 0, skipped: 0 }; } },
  { name: "lint", run: () => check(moduleFile(".bin", "oxlint"), ["--type-aware", "--quiet"]) },
  { name: "types", run: () => check(moduleFile(".bin", "tsc"), ["--noEmit"]) },
  { name: "architecture", run: () => vitest("architecture") },
  { name: "units", run: async () => { await requirePackage("poppler-utils", root, say); return vitest("units"); } },
  { name: "integration", run: async () => { await sampleBoards(); return vitest("integration"); } },
  { name: "browser", run: async () => { await requirePackage("chromium", root, say); return vitest("browser"); } },
];

async function runPart({ name, run }) {
  say(`\n── ${name} ──`);
  const startedAt = Date.now();
  let counts;
  try {
    counts = await run();
  } catch (error) {
    say(error instanceof Stop ? error.message : error.stack);
    counts = { passed: 0, failed: 1, skipped: 0 };
  }
  return { name, seconds: (Date.now() - startedAt) / 1000, ...counts };
}

/** Every part runs, whatever became of those before it, but nothing runs where the preparation failed. */
export async function testAll() {
  for (const signal of ["SIGINT", "SIGTERM"]) process.on(signal, () => { child?.kill(signal); killRunningSteps(signal); process.exit(1); });
  rmSync(REPORTS, { recursive: true, force: true });
  mkdirSync(REPORTS, { recursive: true });
  const results = [];
  for (const part of PARTS) {
    results.push(await runPart(part));
    if (part.name === "prepare" && results[0].failed > 0) break;
  }
  const total = (key) => results.reduce((sum, result) => sum + result[key], 0);
  say("");
  for (const { name, seconds, passed, failed } of results) say(`${name.padEnd(14)}${seconds.toFixed(1).padStart(8)} s${String(passed).padStart(7)} passed${String(failed).padStart(5)} failed`);
  say(`${"in all".padEnd(14)}${total("seconds").toFixed(1).padStart(8)} s`);
  const failedParts = results.filter((result) => result.failed > 0).map((result) => result.name);
  for (const line of results.flatMap(({ names = [] }) => names)) say(line); // at the end, where whoever comes later looks first
  if (failedParts.length > 0) say(`Failed: ${failedParts.join(", ")}.`);
  const skipped = total("skipped");
  say(`${total("passed")} passed, ${total("failed")} failed${skipped === 0 ? "" : `, ${skipped} skipped`}`);
  process.exitCode = failedParts.length === 0 ? 0 : 1;
}
