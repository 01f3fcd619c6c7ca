/** The table of rooms, kept by a test: imports go downward only, never to a sibling; types, re-exports and dynamic imports count. */
import { readFileSync, readdirSync, statSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { describe, expect, it } from "vitest";

const ROOT = resolve(import.meta.dirname, "..");

/** Level of each room of lib/; `app` is read apart. A room may import rooms of a lower level alone. */
const LEVELS: Readonly<Record<string, number>> = {
  base: 0, kernel: 1, model: 1, formula: 2, plan: 3, sensing: 3, register: 3, measure: 3, camera: 3, judge: 3, alert: 3, control: 3, log: 3, report: 3,
  run: 4, source: 5, store: 5, rehearsal: 5, server: 6, command: 7,
};
/** Outside modules that only some rooms may touch; `node:` modules that do no I/O are free. */
const OUTSIDE: readonly { readonly match: RegExp; readonly rooms: readonly string[]; readonly because: string }[] = [
  { match: /^node:(fs|net|http|https|child_process|worker_threads|dgram|tls)/, rooms: ["source", "store", "rehearsal", "server", "command"], because: "only outer rooms touch files, sockets and processes" },
  { match: /^(better-sqlite3|@prisma\/.*)$/, rooms: ["store"], because: "the database has one room" },
  { match: /^(next|react|react-dom)(\/|$)/, rooms: ["command"], because: "pages live in app/, and only the server command starts them" },
  { match: /^@node-rs\/argon2$/, rooms: ["server"], because: "passphrases are hashed in one place" },
  { match: /^(pdfkit|fontkit)(\/|$)/, rooms: ["report"], because: "paper is made in report/" },
  { match: /^@stdlib\//, rooms: ["kernel", "formula"], because: "distributions are asked where numbers are made" },
  { match: /^sharp$/, rooms: ["source"], because: "images are decoded in source/" },
];
/** What pages and client components may use of lib/. */
const APP_ROOMS = ["server", "model", "base"];
const CLIENT_ROOMS = ["model", "kernel", "formula", "base"];
const MOST_LINES = 250;
/** Files that are longer, each with its reason. */
const LONG_FILES: Readonly<Record<string, string>> = {};

interface Source { readonly path: string; readonly text: string; readonly code: string; readonly imports: readonly string[] }

function filesUnder(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return name === "generated" ? [] : filesUnder(path);
    return /\.(ts|tsx|mjs)$/.test(name) ? [path] : [];
  });
}

/** Comments out, so that a word in one is not code. Strings stay: import paths are strings. */
function withoutComments(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, "").replace(/(^|[^:"'`\\])\/\/.*$/gm, "$1");
}

/** Every module that the code names: import, import type, export … from, import(), import("…").Type. */
function importsOf(code: string): string[] {
  const forms = [/\b(?:import|export)\s[^;"'`]*?\bfrom\s*["']([^"']+)["']/g, /\bimport\s*["']([^"']+)["']/g, /\bimport\s*\(\s*["'`]([^"'`]+)["'`]/g];
  return forms.flatMap((form) => [...code.matchAll(form)].map((match) => match[1] as string));
}

function readSources(folder: string): Source[] {
  return filesUnder(join(ROOT, folder)).map((file) => {
    const text = readFileSync(file, "utf8");
    const code = withoutComments(text);
    return { path: relative(ROOT, file), text, code, imports: importsOf(code) };
  });
}

/** "lib/measure/width.ts" → "measure"; null outside lib/. */
function roomOf(path: string): string | null {
  return /^lib\/([^/]+)\//.exec(path)?.[1] ?? null;
}

function targetOf(source: Source, imported: string): string {
  return relative(ROOT, resolve(ROOT, dirname(source.path), imported));
}

const lib = readSources("lib");
const app = readSources("app");

/** Why an import of one room by another is wrong; null: it is not. */
function complaint(source: Source, imported: string): string | null {
  const from = roomOf(source.path) as string;
  const target = targetOf(source, imported);
  const to = roomOf(`${target}/`) ?? roomOf(target);
  if (to === from) return null;
  if (to === null) return `${source.path} imports ${target}: lib/ holds the program and imports nothing of the project outside lib/.`;
  const [fromLevel, toLevel] = [LEVELS[from], LEVELS[to]];
  if (toLevel === undefined) return `${source.path} imports ${target}: "${to}" is not in the table of rooms.`;
  if (fromLevel !== undefined && toLevel < fromLevel) return null;
  return fromLevel === toLevel
    ? `${source.path} imports ${target}: ${from}/ and ${to}/ stand side by side on level ${toLevel}; what both need is a noun (model/), a number (kernel/) or a formula (formula/).`
    : `${source.path} imports ${target}: ${from}/ is level ${fromLevel} and ${to}/ level ${toLevel}; rooms import downward only, so hand it in from above.`;
}

describe("rooms", () => {
  it("every folder of lib/ stands in the table of rooms", () => {
    expect(readdirSync(join(ROOT, "lib")).filter((name) => LEVELS[name] === undefined)).toEqual([]);
  });

  it("rooms of lib/ import downward only and never a sibling", () => {
    const complaints = lib.flatMap((source) => source.imports.filter((imported) => imported.startsWith(".")).map((imported) => complaint(source, imported)));
    expect(complaints.filter((each) => each !== null)).toEqual([]);
  });

  it("files, sockets, the database, images and pages are touched by their own rooms alone", () => {
    const complaints = lib.flatMap((source) => OUTSIDE.flatMap(({ match, rooms, because }) =>
      (rooms.includes(roomOf(source.path) as string) ? [] : source.imports.filter((imported) => match.test(imported)).map((imported) => `${source.path} imports ${imported}: ${because}.`))));
    expect(complaints).toEqual([]);
  });

  it("only server/ and command/ read the clock, chance and the environment", () => {
    const forbidden = [/\bDate\.now\b/, /\bnew Date\(\s*\)/, /\bMath\.random\b/, /\bprocess\.env\b/, /\bperformance\.now\b/];
    const complaints = lib.filter((source) => !["server", "command"].includes(roomOf(source.path) as string))
      .flatMap((source) => forbidden.filter((use) => use.test(source.code)).map((use) => `${source.path} uses ${use.source}: stages are pure, so the caller passes it in.`));
    expect(complaints).toEqual([]);
  });

  it("rehearsal/ shares nothing with what measures and judges but nouns, vectors and bead formulas, so that an error does not cancel", () => {
    const shared = ["rehearsal", "base", "model", "formula"], alone = ["lib/kernel/vec.ts", "lib/sensing/arrowWrite.ts"]; // writing Arrow shares nothing with reading it
    const complaints = lib.filter((source) => roomOf(source.path) === "rehearsal").flatMap((source) => source.imports.filter((imported) => imported.startsWith("."))
      .map((imported) => targetOf(source, imported)).filter((target) => !shared.includes(roomOf(target) as string) && !alone.includes(target))
      .map((target) => `${source.path} imports ${target}: the simulated cell makes the truth that measuring is checked against.`));
    expect(complaints).toEqual([]);
  });

  it("pages use server/, model/ and base/; what runs in the browser uses model/, kernel/, formula/ and base/", () => {
    const complaints = app.flatMap((source) => {
      const rooms = isClient(source) ? CLIENT_ROOMS : APP_ROOMS;
      return source.imports.filter((imported) => imported.startsWith(".")).map((imported) => targetOf(source, imported))
        .filter((target) => roomOf(target) !== null && !rooms.includes(roomOf(target) as string))
        .map((target) => `${source.path} imports ${target}: ${isClient(source) ? "it runs in the browser" : "it is a page"}, and may use ${rooms.join(", ")} alone.`);
    });
    expect(complaints).toEqual([]);
  });

  it(`files of lib/ and app/ have at most ${MOST_LINES} lines, or stand in the list with the reason`, () => {
    const long = [...lib, ...app].filter((source) => source.text.split("\n").length - 1 > MOST_LINES && LONG_FILES[source.path] === undefined);
    expect(long.map((source) => `${source.path} has ${source.text.split("\n").length - 1} lines: split it, or explain it in LONG_FILES.`)).toEqual([]);
  });

  it("there is no middleware: it cuts request bodies at 10 MB without a word", () => {
    expect(["proxy.ts", "proxy.js", "middleware.ts", "middleware.js"].filter((name) => readdirSync(ROOT).includes(name) || readdirSync(join(ROOT, "app")).includes(name))).toEqual([]);
  });
});

/** Marked "use client", or imported by a file that is. */
function isClient(source: Source): boolean {
  return clientPaths.has(source.path);
}

const clientPaths = ((): Set<string> => {
  const byPath = new Map(app.map((source) => [source.path, source]));
  const reached = new Set<string>();
  const visit = (source: Source): void => {
    if (reached.has(source.path)) return;
    reached.add(source.path);
    for (const imported of source.imports) {
      const next = imported.startsWith(".") ? byPath.get(targetOf(source, imported)) : undefined;
      if (next !== undefined) visit(next);
    }
  };
  app.filter((source) => /^\s*["']use client["']/.test(source.code)).forEach(visit);
  return reached;
})();

describe("the reader of imports", () => {
  it("sees static, type, side-effect, re-exported and dynamic imports and import types, and none in comments", () => {
    const code = withoutComments([
      `import { a } from "./one.ts";`, `import type { B } from "./two.ts";`, `import "./three.css";`, `export * from "./four.ts";`, `export type { C } from "./five.ts";`,
      `const d = await import("./six.ts");`, `type E = import("./seven.ts").E;`, `// import "./eight.ts"`, `/* import "./nine.ts" */`, `import {`, `  f,`, `} from "./ten.ts";`,
    ].join("\n"));
    expect(importsOf(code).sort()).toEqual(["./five.ts", "./four.ts", "./one.ts", "./seven.ts", "./six.ts", "./ten.ts", "./three.css", "./two.ts"]);
  });

  it("tells a sibling, an upward import and a room that is not in the table apart", () => {
    const of = (path: string): Source => ({ path, text: "", code: "", imports: [] });
    expect(complaint(of("lib/measure/a.ts"), "../judge/b.ts")).toContain("side by side on level 3");
    expect(complaint(of("lib/kernel/a.ts"), "../measure/b.ts")).toContain("downward only");
    expect(complaint(of("lib/measure/a.ts"), "../attic/b.ts")).toContain("not in the table");
    expect(complaint(of("lib/measure/a.ts"), "../../app/b.ts")).toContain("outside lib/");
    expect(complaint(of("lib/measure/a.ts"), "../kernel/b.ts")).toBeNull();
  });
});
