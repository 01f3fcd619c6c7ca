/** The font files that paper is set in, from the packages that were installed. */
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { FontFiles } from "../report/pdf/faces.ts";

/** The program's family, then a face with the marks and alphabets that it lacks. */
export function readPaperFonts(rootFolder: string): FontFiles {
  const modules = join(rootFolder, "node_modules");
  const family = (part: string, weight: number): Uint8Array => readFileSync(join(modules, "@fontsource", "barlow-semi-condensed", "files", `barlow-semi-condensed-${part}-${weight}-normal.woff`));
  const rest = (name: string): Uint8Array => readFileSync(join(modules, "dejavu-fonts-ttf", "ttf", `${name}.ttf`));
  return {
    regular: [family("latin", 400), family("latin-ext", 400), rest("DejaVuSansCondensed")],
    bold: [family("latin", 600), family("latin-ext", 600), rest("DejaVuSansCondensed-Bold")],
  };
}
