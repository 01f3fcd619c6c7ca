const DECIMAL = /^\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\s*$/;

/** The finite decimal number that `text` spells, surrounding blanks allowed; NaN for anything else (blank, hexadecimal, Infinity, 1e999). */
export function parseDecimal(text: string): number {
  if (!DECIMAL.test(text)) return Number.NaN;
  const value = Number(text);
  return Number.isFinite(value) ? value : Number.NaN;
}

/** Whether a text holds a control character (U+0000–U+001F, U+007F) other than those in `but`. */
export function hasControl(text: string, but = ""): boolean {
  for (const character of text) {
    const code = character.codePointAt(0) as number;
    if ((code < 0x20 || code === 0x7f) && !but.includes(character)) return true;
  }
  return false;
}

/** 1-based line of a NUL byte in a text; null where there is none. */
export function nulLine(text: string): number | null {
  const at = text.indexOf("\0");
  return at < 0 ? null : lineAt(text, at);
}

/** 1-based line of the character at `index`. */
export function lineAt(text: string, index: number): number {
  let line = 1;
  for (let i = text.indexOf("\n"); i >= 0 && i < index; i = text.indexOf("\n", i + 1)) line++;
  return line;
}
