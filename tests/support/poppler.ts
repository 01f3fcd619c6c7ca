/** Reads a PDF by Debian's poppler-utils, which shares no code with what makes it. */
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { POPPLER } from "../../scripts/debian.mjs";

export interface PdfFont { readonly name: string; readonly embedded: boolean; readonly subset: boolean; readonly unicode: boolean }
export interface PdfWord { readonly text: string; readonly sheet: number; readonly xMin: number; readonly xMax: number; readonly yMin: number; readonly yMax: number }

/** One PDF in a file of its own; `close` takes it away. */
export class ReadPdf {
  readonly #folder: string;
  readonly #file: string;

  constructor(bytes: Uint8Array) {
    if (!existsSync(join(POPPLER, "pdftotext"))) throw new Error(`The tests of the PDF need ${POPPLER}/pdftotext: as root run "apt-get install -y poppler-utils".`);
    this.#folder = mkdtempSync(join(tmpdir(), "aslaid-pdf-"));
    this.#file = join(this.#folder, "report.pdf");
    writeFileSync(this.#file, bytes);
  }

  #run(program: string, args: readonly string[]): string {
    return execFileSync(join(POPPLER, program), args, { encoding: "utf8", maxBuffer: 1 << 28 });
  }

  /** Its facts by name, as pdfinfo says them: "Pages", "Tagged" …. */
  info(): Map<string, string> {
    return new Map(this.#run("pdfinfo", [this.#file]).split("\n").map((line) => [line.slice(0, line.indexOf(":")), line.slice(line.indexOf(":") + 1).trim()]));
  }

  metadata(): string { return this.#run("pdfinfo", ["-meta", this.#file]); }

  fonts(): PdfFont[] {
    return this.#run("pdffonts", [this.#file]).split("\n").slice(2).filter((line) => line !== "").map((line) => {
      const [, name = "", embedded, subset, unicode] = /^(\S+) .* (yes|no) +(yes|no) +(yes|no) +\d+ +\d+$/.exec(line) ?? [];
      return { name, embedded: embedded === "yes", subset: subset === "yes", unicode: unicode === "yes" };
    });
  }

  /** Text of one sheet, from 1, in the order in which it is drawn. */
  text(sheet: number): string { return this.#run("pdftotext", ["-raw", "-f", String(sheet), "-l", String(sheet), this.#file, "-"]); }

  /** What a screen reader hears: the structure with its text. */
  structure(): string { return this.#run("pdfinfo", ["-struct-text", this.#file]); }

  /** The structure with the words that stand for figures and the scope of heading cells. */
  attributes(): string { return this.#run("pdfinfo", ["-struct", this.#file]); }

  /** Every word with its place on its sheet, pt from the upper left. */
  words(): PdfWord[] {
    const words: PdfWord[] = [];
    let sheet = 0;
    for (const line of this.#run("pdftotext", ["-bbox", this.#file, "-"]).split("\n")) {
      if (line.includes("<page ")) sheet += 1;
      const [, xMin, yMin, xMax, yMax, text] = /<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.*)<\/word>/.exec(line) ?? [];
      if (text !== undefined) words.push({ text, sheet, xMin: Number(xMin), yMin: Number(yMin), xMax: Number(xMax), yMax: Number(yMax) });
    }
    return words;
  }

  /** Pictures in it: the sheet and the width and height in px of each. */
  pictures(): { readonly sheet: number; readonly widthPx: number; readonly heightPx: number }[] {
    return this.#run("pdfimages", ["-list", this.#file]).split("\n").slice(2).filter((line) => line !== "").map((line) => {
      const [sheet, , , widthPx, heightPx] = line.trim().split(/\s+/).map(Number) as [number, number, number, number, number];
      return { sheet, widthPx, heightPx };
    });
  }

  close(): void { rmSync(this.#folder, { recursive: true, force: true }); }
}
