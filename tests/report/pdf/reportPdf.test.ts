/** The PDF of a made report, read by poppler. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Report } from "../../../lib/model/report.ts";
import { reportPdf } from "../../../lib/report/pdf/reportPdf.ts";
import { readPaperFonts } from "../../../lib/server/paperFonts.ts";
import { MADE_SECTIONS, MARKS, madeDrawing, madeReport, madeTable } from "../../support/madeReport.ts";
import { ReadPdf } from "../../support/poppler.ts";
import { ROOT } from "../../support/serverProcess.ts";

const fonts = readPaperFonts(ROOT);
const opened: ReadPdf[] = [];

function pdfOf(report: Report): ReadPdf {
  const pdf = new ReadPdf(reportPdf(report, fonts));
  opened.push(pdf);
  return pdf;
}

const sheetsOf = (pdf: ReadPdf): string[] => Array.from({ length: Number(pdf.info().get("Pages")) }, (_, i) => pdf.text(i + 1));
const spaced = (text: string): string => text.replaceAll(/\s+/g, " ");

const report = madeReport();
let pdf: ReadPdf;
let sheets: string[];
beforeAll(() => { pdf = pdfOf(report); sheets = sheetsOf(pdf); });
afterAll(() => { for (const each of opened) each.close(); });

describe("the PDF of a report with every kind of block and a table of 300 rows", () => {
  it("is the same bytes twice, and other bytes a second later", () => {
    const [first, second] = [reportPdf(report, fonts), reportPdf(structuredClone(report), fonts)];
    expect(Buffer.compare(first, second)).toBe(0);
    const later = reportPdf({ ...report, head: { ...report.head, madeAt: "2026-02-04T10:31:45.000Z" } }, fonts);
    expect(Buffer.compare(first, later)).not.toBe(0);
  });

  it("is A4, tagged, PDF 1.7 with its language, its title shown, PDF/UA in its metadata, made when the report was made", () => {
    const info = pdf.info(), raw = Buffer.from(reportPdf(report, fonts)).toString("latin1");
    expect([info.get("Tagged"), info.get("PDF version"), info.get("Page size"), info.get("CreationDate")]).toEqual(["yes", "1.7", "595.28 x 841.89 pts (A4)", "Wed Feb  4 10:31:44 2026 UTC"]);
    expect(info.get("Title")).toBe("Angle block 12 · foam phantom 3: report");
    expect(raw).toContain("/Lang (en-GB)");
    expect(raw).toContain("/DisplayDocTitle true");
    expect(pdf.metadata()).toContain("<pdfuaid:part>1</pdfuaid:part>");
  });

  it("has every font embedded, as a subset, with its way back to text", () => {
    const found = pdf.fonts();
    expect(found.length).toBeGreaterThanOrEqual(3);
    expect(found.filter(({ embedded, subset, unicode }) => !embedded || !subset || !unicode)).toEqual([]);
    expect(found.map(({ name }) => name).filter((name) => !/^[A-Z]{6}\+(BarlowSemiCondensed|DejaVuSansCondensed)/.test(name))).toEqual([]);
  });

  it("reads in the order of its sections, after the verdict, and ends with the title block and what Aslaid is not", () => {
    const heard = spaced(pdf.structure());
    const places = [report.verdict.headline, report.verdict.detail, report.verdict.advice as string, ...report.sections.map(({ title }) => `H2 (block) "${title}"`), "not a medical device"].map((words) => heard.indexOf(words));
    expect(places.every((place, i) => place > (places[i - 1] ?? -1))).toBe(true);
    const seen = spaced(sheets.join(" ")), titles = report.sections.map(({ title }) => seen.lastIndexOf(title));
    expect(titles.every((place, i) => place > (titles[i - 1] ?? -1))).toBe(true);
  });

  it("is heard as headings, lists, tables with heads of columns and rows, and figures with words for them", () => {
    const attributes = pdf.attributes(), count = (pattern: RegExp): number => [...attributes.matchAll(pattern)].length;
    expect([count(/^ *H1\b/gm), count(/^ *H2\b/gm), count(/^ *H3\b/gm), count(/^ *Table\b/gm), count(/^ *Figure\b/gm)]).toEqual([1, report.sections.length, 2, 4, 2]);
    expect(count(/\/Scope \/Column/g)).toBe(6 + 2 + 14 + 2);
    expect(count(/\/Scope \/Row/g)).toBe(300 + 4 + 2);
    const raw = Buffer.from(reportPdf(report, fonts)).toString("latin1");
    expect([...raw.matchAll(/\/Alt \(Thirteen fills and eight lines/g)].length).toBe(2);
  });

  it("has on every sheet the run's name and number, the result, its own number, the log's head, the record, who signed, REHEARSAL, and what Aslaid is not", () => {
    sheets.forEach((sheet, i) => {
      const words = spaced(sheet);
      for (const each of ["Angle block 12 · foam phantom 3", report.head.runId, report.head.resultId, `${i + 1} of ${sheets.length}`, report.head.logHead, "whole", "not signed", "REHEARSAL", "R E H E A R S A L", "not a medical device"]) {
        expect(words.replaceAll("\u00a0", " "), `sheet ${i + 1}`).toContain(each);
      }
    });
  });

  it("has the head of the table of 300 rows on each of its sheets, and each row once", () => {
    const withRows = sheets.filter((sheet) => /layer \d, strand \d+/.test(sheet));
    expect(withRows.length).toBeGreaterThanOrEqual(6);
    expect(withRows.map((sheet) => [...sheet.matchAll(/from – to, mm/g)].length)).toEqual(withRows.map(() => 1));
    const rows = sheets.flatMap((sheet) => [...sheet.matchAll(/layer (\d), strand (\d+) [\d.]+ – [\d.]+/g)].map((match) => 40 * (Number(match[1]) - 1) + Number(match[2]) - 1));
    expect(rows).toEqual(Array.from({ length: 300 }, (_, i) => i));
  });

  it("has each verdict's letter in its box and its words, and no mark is lost: °, ², ³, ±, –, −, thin spaces, mu, Greek, Cyrillic, Polish", () => {
    const all = spaced(sheets.join(" "));
    for (const letter of ["W", "U", "O", "G", "L", "D", "N", "R"]) expect(all).toMatch(new RegExp(`(^| )${letter} `));
    for (const label of ["In band", "Watch", "Under", "Over", "Gap", "Lifted", "Displaced", "Not seen", "Not laid yet", "Taken off"]) expect(all).toContain(label);
    const marks = MARKS.replaceAll("\u03bc", "\u00b5").replaceAll(/[\u2009\u202f]/g, " ");
    expect(all.replaceAll("\u00a0", " ")).toContain(marks);
  });

  it("keeps every word inside margins of 18 mm, and over the title block", () => {
    const margin = 18 * 72 / 25.4, words = pdf.words(), stamp = new Set("REHEARSAL".split(""));
    const out = words.filter(({ xMin, xMax, yMin, yMax, text }) => xMin < margin - 0.5 || xMax > 595.28 - margin + 0.5 || yMax > 841.89 - margin + 3 || (yMin < margin - 3 && !stamp.has(text) && !text.startsWith("R")));
    expect(out).toEqual([]);
    for (let sheet = 1; sheet <= sheets.length; sheet++) {
      const here = words.filter((word) => word.sheet === sheet), top = Math.min(...here.filter(({ text, yMin }) => text === "number" && yMin > 600).map(({ yMin }) => yMin));
      expect(here.filter(({ yMin, yMax }) => yMin < top - 4 && yMax > top)).toEqual([]);
    }
  });

  it("has a bookmark and a line of contents with the right sheet for every section", () => {
    const contents = spaced(pdf.structure());
    for (const { title } of report.sections) {
      const sheet = sheets.findIndex((text, i) => new RegExp(`^${title}$`, "m").test(text) && (i > 0 || title === "What it rests on")) + 1;
      expect(contents).toContain(`TOCI "${title} " "${sheet}"`);
    }
    const raw = Buffer.from(reportPdf(report, fonts)).toString("latin1");
    expect([...raw.matchAll(/\/Dest \[\d+ 0 R \/XYZ/g)].length).toBe(report.sections.length);
  });
});

describe("what is hard to set", () => {
  it("no heading ends a sheet: 60 headings over words, tables and drawings of other heights", () => {
    const blocks = Array.from({ length: 60 }, (_, i) => [
      { kind: "heading" as const, text: `Heading ${i}.` },
      i % 3 === 0 ? { kind: "words" as const, text: `Body ${i}. `.repeat(40 + 7 * i) } : i % 3 === 1 ? { kind: "table" as const, table: madeTable(`Body ${i}.`, 3 + i % 5) } : { kind: "drawing" as const, drawing: madeDrawing(`d${i}`, { title: `Body ${i}.`, height: 275 + 4 * i }) },
    ]).flat();
    const set = sheetsOf(pdfOf(madeReport({ sections: [{ id: "maps", title: "All", blocks }] })));
    const apart = Array.from({ length: 60 }, (_, i) => i).filter((i) => set.findIndex((sheet) => sheet.includes(`Heading ${i}.`)) !== set.findIndex((sheet) => sheet.includes(`Body ${i}.`)));
    expect(apart).toEqual([]);
  });

  it("a drawing of 1 900 units is made smaller than a sheet and says by how much; one of 280 keeps its scale", () => {
    const set = sheetsOf(pdfOf(madeReport({ sections: [{ id: "maps", title: "Maps", blocks: [{ kind: "drawing", drawing: madeDrawing("tall", { height: 1900 }) }, { kind: "drawing", drawing: madeDrawing("low") }] }] }))).join("\n");
    expect(set).toMatch(/1 : 2, made smaller to \d\d %/);
    expect(set).toMatch(/1 : 2$/m);
  });

  it("a name with <, & and > stays itself in the metadata and its XML whole; 900 letters of it do not leave their cell", () => {
    const odd = pdfOf(madeReport({ sections: [], name: "a <b> & c" }));
    expect(odd.info().get("Title")).toBe("a <b> & c · foam phantom 3: report");
    expect(odd.metadata()).toContain("a &lt;b&gt; &amp; c");
    const long = pdfOf(madeReport({ name: "x".repeat(900), signedWords: "signed: accepted by Zoë Öz ".repeat(30) }));
    expect(long.text(1)).toContain("…");
    expect(long.words().filter(({ xMax }) => xMax > 595.28 - 50)).toEqual([]);
  });

  it("a mark that no face has stands as its code, and what turns the direction of text is left out", () => {
    const [sheet = ""] = sheetsOf(pdfOf(madeReport({ sections: [], headline: "Block \u65e5, \u202edesrever" })));
    expect(sheet).toContain("Block [U+65E5], desrever");
  });

  it("a recompute says so under the verdict, and a report without a stamp has none", () => {
    const made = madeReport({ sections: [], recomputed: "a recompute under other bands by Zoë Öz, 2026-02-04: stiffer paste" });
    const [sheet = ""] = sheetsOf(pdfOf({ ...made, head: { ...made.head, stamp: null } }));
    expect(sheet).toContain("Not the run’s own result: a recompute under other bands by Zoë Öz, 2026-02-04: stiffer paste.");
    expect(sheet).not.toContain("REHEARSAL");
  });

  it("a drawing with a place that is no number throws and gives no sheet, and so does a file of 40 bytes in place of a font", () => {
    const drawing = { ...madeDrawing("bad"), marks: [{ kind: "path" as const, points: [0, 0, Number.NaN, 5], look: "thin" as const, fill: "none" as const, closed: false }] };
    expect(() => reportPdf(madeReport({ sections: [{ id: "maps", title: "Maps", blocks: [{ kind: "drawing", drawing }] }] }), fonts)).toThrow(/places are numbers/);
    expect(() => reportPdf(madeReport({ sections: MADE_SECTIONS.slice(0, 1) }), { regular: [new Uint8Array(40)], bold: [] })).toThrow(/expected a WOFF or TrueType file/);
  });
});
