/** What the documents name is there: paths, npm scripts, versions, environment settings. */
import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";

const ROOT = resolve(import.meta.dirname, "..");
const DOCUMENTS = ["README.md", "DEVELOPERS.md"].filter((name) => existsSync(join(ROOT, name)));

interface Package { readonly scripts: Record<string, string>; readonly dependencies: Record<string, string>; readonly devDependencies: Record<string, string>; readonly engines: { readonly node: string } }
const pkg = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as Package;
const versions = { ...pkg.dependencies, ...pkg.devDependencies };
/** Made at run time and not in the repository, or standing for a file of the reader's own. */
const NOT_IN_REPOSITORY = /^(\.\.\/|~|\/|data\/|dist\/|node_modules\/|\.next\/|frames\/|RUN_|FOLDER)/;
/** Files of a run folder, explained as a format. */
const RUN_FILES = /^(job\.json|plan\.(csv|gcode)|profiles(\.[A-Z]+)?\.(arrow|ndjson)|progress\.csv|rework\.csv|paste\.csv|frames\.csv|poses\.csv|signals\.csv|truth\.json|result\.json|stations\.csv|target\.ply|landmarks\.csv|board\.json|log\.ndjson|seals\.ndjson|VERIFY\.md|migration\.sql|aslaid\.db)$/;

/** Words in backticks, blocks of code left out. */
function backticked(text: string): string[] {
  return [...text.replace(/^```[\s\S]*?^```/gm, "").matchAll(/`([^`\n]+)`/g)].map((match) => match[1] as string);
}

const TOP_FOLDERS = readdirSync(ROOT, { withFileTypes: true }).filter((entry) => entry.isDirectory()).map((entry) => entry.name);
const ROOMS = readdirSync(join(ROOT, "lib"));

/** A word that names a place in the project: it begins in a folder of it, ends with a slash, or has the ending of a source or document; formulas such as `w/2` do none of that. */
function namesPath(word: string): boolean {
  if (/[\s<>{}*|=()…"']/.test(word) || word.startsWith("@") || /^[a-z]+:\/\//.test(word) || /^[A-Z_/-]+$/.test(word)) return false;
  const [first = "", ...rest] = word.split("/");
  return (rest.length > 0 && [...TOP_FOLDERS, ...ROOMS].includes(first)) || /^[\w.-]+(\/[\w.-]+)*\/$/.test(word) || /^[\w./[\]-]+\.(ts|tsx|mjs|js|json|md|sql|css|prisma|toml)$/.test(word);
}

/** Rooms are named as `measure/`, files of lib/ as `judge/bands.ts`. */
function exists(path: string): boolean {
  return [path, join("lib", path), join("tests", path)].some((each) => existsSync(join(ROOT, each)));
}

function versionComplaints(text: string): string[] {
  return Object.entries(versions).flatMap(([name, version]) => {
    const escaped = name.replace(/[.*+?^${}()|[\]\\/]/g, "\\$&");
    const named = [...text.matchAll(new RegExp(`(?<![\\w@/-])${escaped}\`?[ @]v?(\\d+(?:\\.\\d+)*)(?![\\w-])`, "gi"))].map((match) => match[1] as string);
    return named.filter((each) => version !== each && !version.startsWith(`${each}.`)).map((each) => `${name} ${each} is named, ${version} is installed`);
  });
}

describe.each(DOCUMENTS)("%s", (name) => {
  const text = readFileSync(join(ROOT, name), "utf8");

  it("names only paths that are there", () => {
    const paths = backticked(text).filter(namesPath).map((word) => word.replace(/[.,:;]$/, "")).filter((path) => !NOT_IN_REPOSITORY.test(path) && !RUN_FILES.test(path));
    expect(paths.filter((path) => !exists(path))).toEqual([]);
  });

  it("links only to files that are there", () => {
    const links = [...text.matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)].map((match) => match[1] as string).filter((link) => !/^[a-z]+:/.test(link));
    expect(links.filter((link) => !existsSync(join(ROOT, link)))).toEqual([]);
  });

  it("names only npm scripts that are in package.json", () => {
    const named = [...text.matchAll(/npm run (?:--silent )?([a-z][\w:-]*)/g)].map((match) => match[1] as string);
    expect([...new Set(named)].filter((script) => pkg.scripts[script] === undefined)).toEqual([]);
    const direct = [...text.matchAll(/npm (start|test)\b/g)].map((match) => match[1] as string);
    expect(direct.filter((script) => pkg.scripts[script] === undefined)).toEqual([]);
  });

  it("names the versions that are installed, and the Node that is asked for", () => {
    expect(versionComplaints(text)).toEqual([]);
    const least = pkg.engines.node.replace(">=", "");
    const nodes = [...text.matchAll(/\bNode(?:\.js)? (?:≥ |>= )?(\d+\.\d+)/g)].map((match) => match[1] as string);
    expect(nodes.filter((version) => version !== least)).toEqual([]);
  });

  it("names only settings that the program reads", () => {
    const named = [...new Set([...text.matchAll(/\bASLAID_[A-Z_]+\b/g)].map((match) => match[0]))];
    const read = ["scripts/settings.mjs", "lib/server/settings.ts", "lib/command/cell.ts", "vitest.config.ts"].map((file) => readFileSync(join(ROOT, file), "utf8")).join("\n");
    expect(named.filter((setting) => !read.includes(setting))).toEqual([]);
  });
});

describe("the project", () => {
  it("has its documents at the top level", () => {
    expect(["README.md", "DEVELOPERS.md"].filter((name) => !existsSync(join(ROOT, name)))).toEqual([]);
  });

  it("pins every dependency exactly", () => {
    expect(Object.entries(versions).filter(([, version]) => !/^\d+\.\d+\.\d+$/.test(version))).toEqual([]);
  });

  it("has a lock file without download addresses", () => {
    expect(readFileSync(join(ROOT, "package-lock.json"), "utf8")).not.toMatch(/"resolved": "https?:/);
  });

  it("tells a path in backticks from other words", () => {
    expect(["lib/measure/", "judge/bands.ts", "README.md", "attic/", "lib/attic", "app/runs/[id]/page.tsx"].every(namesPath)).toBe(true);
    expect(["inspect", "npm run inspect", "@prisma/client", "w/2", "mm/s", "aslaid/1", "LAYER/STRAND/FROM-TO", "application/json", "http://a/b", "/runs/ID"].some(namesPath)).toBe(false);
  });

  it("finds a version that is not the installed one, and lets a shorter one stand", () => {
    expect(versionComplaints("zod 3.1")).toEqual([`zod 3.1 is named, ${versions["zod"]} is installed`]);
    expect(versionComplaints(`zod ${versions["zod"]?.split(".")[0]}, react ${versions["react"]}`)).toEqual([]);
  });
});
