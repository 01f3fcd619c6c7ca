/** Breaking a text into lines. */
import type { Faces, Weight } from "./faces.ts";
import { cleanText } from "./faces.ts";

export interface LineStyle { readonly size: number; readonly leading: number; readonly weight: Weight }

/**
 * Lines no wider than `width`, broken at spaces, inside a word only where it is wider than a line by itself. A line that goes on ends in its space, so
 * that whoever reads the text alone has the words apart. At least one line, which may be empty.
 */
export function wrapText(faces: Faces, text: string, { size, weight }: LineStyle, width: number): string[] {
  return cleanText(text).split(/\r?\n|\r/).flatMap((paragraph) => wrapParagraph(paragraph, (piece) => faces.width(piece, weight, size), width));
}

function wrapParagraph(paragraph: string, widthOf: (piece: string) => number, width: number): string[] {
  const lines: string[] = [], space = widthOf(" ");
  let line = "", used = 0;
  const end = (): void => { lines.push(line); line = ""; used = 0; };
  for (const word of paragraph.split(/ +/)) {
    const wide = widthOf(word);
    if (line !== "" && used + wide > width) end();
    const pieces = wide > width ? breakWord(word, widthOf, width) : [word], last = pieces.at(-1) as string;
    lines.push(...pieces.slice(0, -1));
    line += `${last} `;
    used += (pieces.length > 1 ? widthOf(last) : wide) + space;
  }
  end();
  lines[lines.length - 1] = (lines.at(-1) as string).trimEnd();
  return lines;
}

/** Pieces of a word that is wider than a line. */
function breakWord(word: string, widthOf: (piece: string) => number, width: number): string[] {
  const pieces: string[] = [];
  let piece = "", used = 0;
  for (const mark of word) {
    const wide = widthOf(mark);
    if (piece !== "" && used + wide > width) { pieces.push(piece); piece = ""; used = 0; }
    piece += mark;
    used += wide;
  }
  return [...pieces, piece];
}

/** At most `most` lines; the last one says "…" where more was cut off. */
export function cutLines(faces: Faces, lines: readonly string[], most: number, { size, weight }: LineStyle, width: number): string[] {
  if (lines.length <= most) return [...lines];
  const kept = lines.slice(0, most);
  let last = Array.from((kept[most - 1] as string).trimEnd());
  while (last.length > 0 && faces.width(`${last.join("")}…`, weight, size) > width) last = last.slice(0, -1);
  return [...kept.slice(0, -1), `${last.join("")}…`];
}
