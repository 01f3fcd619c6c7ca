import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";

/** One block (line) of an ISO 6983 program: its words, and what stood in parentheses. */
export interface Block {
  readonly line: number;
  /** G words, as numbers. */
  readonly codes: readonly number[];
  /** Every other word, by letter. */
  readonly words: ReadonlyMap<string, number>;
  readonly comments: readonly string[];
}

/** Splits a program into blocks; comments stand in parentheses or after a semicolon. Throws plan.badLine, plan.badWord or plan.badNumber with the line. */
export function* blocksOf(text: string, file: string): Generator<Block> {
  let line = 0;
  for (const raw of text.split(/\r\n|\n|\r/)) {
    line++;
    const comments: string[] = [];
    const bare = raw.replace(/;[^()]*$/, "").replace(/\(([^()]*)\)/g, (_, comment: string) => {
      comments.push(comment.trim());
      return " ";
    }).replace(/;.*$/, "");
    const { codes, words } = wordsOf(bare, file, line);
    if (codes.length > 0 || words.size > 0 || comments.length > 0) yield { line, codes, words, comments };
  }
}

function wordsOf(bare: string, file: string, line: number): { codes: number[]; words: Map<string, number> } {
  const codes: number[] = [];
  const words = new Map<string, number>();
  let rest = bare.trim();
  while (rest !== "") {
    const [whole, letter = "", number = ""] = /^([A-Za-z])\s*([+-]?[\d.]*)\s*/.exec(rest) ?? [];
    if (whole === undefined) throw new InputError("plan.badWord", "words of a letter and a number", JSON.stringify(rest.slice(0, 20)), { file, line });
    const key = letter.toUpperCase();
    const value = parseDecimal(number);
    if (Number.isNaN(value)) throw new InputError("plan.badNumber", `a number after ${key}`, JSON.stringify(rest.slice(letter.length, 20)), { file, line, key });
    if (key === "G") codes.push(value);
    else if (words.has(key)) throw new InputError("plan.badLine", `${key} once in a block`, "twice", { file, line, key });
    else words.set(key, value);
    rest = rest.slice(whole.length);
  }
  return { codes, words };
}
