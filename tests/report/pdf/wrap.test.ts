import { describe, expect, it } from "vitest";
import { fitColumns } from "../../../lib/report/pdf/columns.ts";
import { Faces } from "../../../lib/report/pdf/faces.ts";
import { linesHere } from "../../../lib/report/pdf/flow.ts";
import { cutLines, wrapText } from "../../../lib/report/pdf/wrap.ts";
import { readPaperFonts } from "../../../lib/server/paperFonts.ts";
import { ROOT } from "../../support/serverProcess.ts";

const faces = new Faces(readPaperFonts(ROOT));
const style = { size: 9.5, leading: 13, weight: "regular" } as const;
const widthOf = (line: string): number => faces.width(line.trimEnd(), "regular", 9.5);

describe("breaking into lines", () => {
  it("no line is wider than 120 pt, words stay whole and in order, and a line that goes on ends in its space", () => {
    const text = "The strand lies 0.34 ± 0.02 mm left of travel, between 11.4 mm and 14.5 mm, and was seen while it was soft.";
    const lines = wrapText(faces, text, style, 120);
    expect(lines.length).toBeGreaterThan(3);
    expect(Math.max(...lines.map(widthOf))).toBeLessThanOrEqual(120);
    expect(lines.slice(0, -1).every((line) => line.endsWith(" "))).toBe(true);
    expect(lines.join("")).toBe(text);
  });

  it("a word of 300 letters is broken at 80 pt and loses none; an empty text is one empty line; a line break is kept", () => {
    const word = "Längstes".repeat(38), lines = wrapText(faces, `a ${word} z`, style, 80);
    expect(Math.max(...lines.map(widthOf))).toBeLessThanOrEqual(80);
    expect(lines.join("")).toBe(`a ${word} z`);
    expect(wrapText(faces, "", style, 80)).toEqual([""]);
    expect(wrapText(faces, "one\n\ntwo", style, 80)).toEqual(["one", "", "two"]);
  });

  it("four lines cut to 2 end in … and are not wider than before; 2 stay as they are", () => {
    const lines = wrapText(faces, "eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf", style, 70);
    expect(lines.length).toBeGreaterThanOrEqual(4);
    const cut = cutLines(faces, lines, 2, style, 70);
    expect([cut.length, cut[0], cut[1]?.endsWith("…")]).toEqual([2, lines[0], true]);
    expect(widthOf(cut[1] as string)).toBeLessThanOrEqual(70);
    expect(cutLines(faces, lines.slice(0, 2), 2, style, 70)).toEqual(lines.slice(0, 2));
  });

  it("two lines at least stay on either side of a break: of 10 lines 9 places take 8, 1 place none; 3 lines are not broken", () => {
    expect([linesHere(10, 10), linesHere(10, 9), linesHere(10, 8), linesHere(10, 2), linesHere(10, 1), linesHere(3, 2), linesHere(3, 3)]).toEqual([10, 8, 8, 2, 0, 0, 3]);
  });
});

describe("columns", () => {
  const table = (columns: number, cell: string) => ({ caption: "", columns: Array.from({ length: columns }, (_, i) => ({ title: `q${i}`, isNumber: true })), rows: [Array.from({ length: columns }, () => cell)] });
  const sumOf = (widths: readonly number[], gap: number): number => widths.reduce((sum, each) => sum + each, 0) + gap * (widths.length - 1);

  it("of 6, 14 and 40 columns fit into 493 pt, in 8.5, 8.5 and 6.5 pt", () => {
    const fits = [6, 14, 40].map((count) => fitColumns(faces, table(count, "1.234"), 493));
    expect(fits.map(({ size }) => size)).toEqual([8.5, 8.5, 6.5]);
    expect(fits.every(({ widths }) => sumOf(widths, 10) <= 493.01)).toBe(true);
  });

  it("a short column beside a story keeps its words on one line", () => {
    const { size, widths } = fitColumns(faces, { caption: "", columns: [{ title: "what", isNumber: false }, { title: "why", isNumber: false }], rows: [["a short name", "a story of many words ".repeat(50)]] }, 493);
    expect(widths[0]).toBeGreaterThanOrEqual(faces.width("a short name", "regular", size));
  });
});
