/** No page and no route is without its door: this walks app/ and reads what each asks of whoever comes. */
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join, relative, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { DEEDS } from "../../lib/model/person.ts";

const APP = resolve(import.meta.dirname, "../../app");
/** Free for everybody, whatever looking asks for. */
const FREE_PAGES = ["first/page.tsx", "invited/page.tsx", "sign-in/page.tsx"];
/** Routes that ask for nothing: coming in and going out, and the one by which a pause goes (a resume is asked for who it is inside). */
const OPEN_ROUTES = ["api/entry/route.ts POST", "api/live/[id]/commands/route.ts POST", "api/sign-in/route.ts POST", "api/sign-out/route.ts POST"];
/** Files that Next shows by itself; they may know nothing that is kept. */
const SHOWN_BY_NEXT = /(^|\/)(layout|template|loading|error|global-error|not-found|default)\.tsx$/;
/** Further ways to be reached that have no door of this kind. */
const OTHER_WAYS = /(^|\/)(sitemap|robots|manifest|forbidden|unauthorized|(opengraph|twitter)-image|icon|apple-icon)\.(ts|tsx|js)$/;

function filesUnder(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    return statSync(path).isDirectory() ? filesUnder(path) : [relative(APP, path).replaceAll("\\", "/")];
  });
}

/** Every exported function of a file that Next calls, with its text up to the next export. */
function exportedFunctions(text: string): { readonly name: string; readonly body: string }[] {
  const heads = [...text.matchAll(/^export (?:default )?(?:async )?function (\w+)/gm)];
  return heads.map((head, i) => ({ name: head[1] as string, body: text.slice(head.index, heads[i + 1]?.index) }));
}

/** Why a page is not behind the door; null: it is. */
function pageComplaint(path: string, text: string): string | null {
  const functions = exportedFunctions(text), open = functions.filter(({ body }) => !/\bawait look\((["`])\//.test(body));
  if (FREE_PAGES.includes(path)) return null;
  if (functions.length === 0) return `${path} exports no function that could call look`;
  if (/export const (generateMetadata|default)/.test(text)) return `${path} exports a function in a form that this test does not read`;
  return open.length === 0 ? null : `${path}: ${open.map(({ name }) => name).join(" and ")} does not call look, so that it shows everybody what looking may ask sign-in for`;
}

const DOORS: readonly string[] = ["open", "look", "watch", ...DEEDS];

/** Door or doors of each method of a route; [] where it has none. */
function doorsOf(text: string): { readonly method: string; readonly doors: readonly string[] }[] {
  return exportedFunctions(text).map(({ name, body }) => {
    const call = /\breturn answer(?:As)?\(request, ("\w+"|\(\) => \([^)]*\([^)]*\)[^)]*\)),/.exec(body)?.[1] ?? "";
    return { method: name, doors: [...call.matchAll(/"(\w+)"/g)].map(([, door]) => door as string) };
  });
}

const files = filesUnder(APP), read = (path: string): string => readFileSync(join(APP, path), "utf8");
const pages = files.filter((path) => /(^|\/)page\.(tsx|ts|jsx|js)$/.test(path)), routes = files.filter((path) => /(^|\/)route\.(ts|js)$/.test(path));

describe("pages", () => {
  it("all call look, but the three by which somebody comes in", () => {
    expect(pages.length).toBeGreaterThanOrEqual(9);
    expect(pages.map((path) => pageComplaint(path, read(path))).filter((each) => each !== null)).toEqual([]);
    expect(FREE_PAGES.filter((path) => !pages.includes(path))).toEqual([]);
  });

  it("that Next shows by itself read nothing that is kept, and there is no other way in: no server action, no made picture or list", () => {
    expect(files.filter((path) => SHOWN_BY_NEXT.test(path) && read(path).includes("lib/server/"))).toEqual([]);
    expect(files.filter((path) => OTHER_WAYS.test(path))).toEqual([]);
    expect(files.filter((path) => /\.(ts|tsx)$/.test(path) && /["']use server["']/.test(read(path)))).toEqual([]);
  });
});

describe("routes", () => {
  const all = routes.flatMap((path) => doorsOf(read(path)).map(({ method, doors }) => ({ at: `${path} ${method}`, doors })));

  it("answer through a door that is known, each method", () => {
    expect(all.length).toBeGreaterThanOrEqual(17);
    expect(routes.filter((path) => doorsOf(read(path)).length === 0 || /export const (GET|POST|PUT|PATCH|DELETE|HEAD|OPTIONS)\b/.test(read(path)))).toEqual([]);
    expect(all.filter(({ doors }) => doors.length === 0 || doors.some((door) => !DOORS.includes(door)))).toEqual([]);
  });

  it("are open where somebody comes in or out, and for a pause, and nowhere else", () => {
    expect(all.filter(({ doors }) => doors.includes("open")).map(({ at }) => at).toSorted()).toEqual(OPEN_ROUTES);
  });

  it("that change something ask who it is: no POST, PUT or DELETE is for looking but the check of a plan and a calibration, which keep nothing", () => {
    expect(all.filter(({ at, doors }) => !at.endsWith(" GET") && doors.some((door) => door === "look" || door === "watch")).map(({ at }) => at)).toEqual(["api/calibration/route.ts POST", "api/prepare/check/route.ts POST"]);
  });
});

describe("this test", () => {
  it("tells a page without a door, one whose title has none, and a route without one or with an unknown one", () => {
    expect(pageComplaint("a/page.tsx", "export default async function Page() {\n  await look(\"/a\");\n}\n")).toBeNull();
    expect(pageComplaint("a/page.tsx", "export default function Page() {\n  return readSheet();\n}\n")).toContain("Page does not call look");
    expect(pageComplaint("a/page.tsx", "export async function generateMetadata() {\n  return {};\n}\nexport default async function Page() {\n  await look(\"/a\");\n}\n")).toContain("generateMetadata does not call look");
    expect(doorsOf("export function GET(request: Request) {\n  return Response.json(1);\n}\nexport function PUT(request: Request) {\n  return answer(request, \"import\", () => 1);\n}\n")).toEqual([{ method: "GET", doors: [] }, { method: "PUT", doors: ["import"] }]);
    expect(doorsOf("export function POST(request: Request) {\n  return answer(request, () => (isOpenRun(id) ? \"note\" : \"noteFinished\"), work);\n}\n")).toEqual([{ method: "POST", doors: ["note", "noteFinished"] }]);
  });
});
