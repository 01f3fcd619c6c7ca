/** Cells of tables that people open in a spreadsheet. */

/** What a spreadsheet would take for the beginning of a formula (CWE-1236). */
const FORMULA = /^[=+\-@\t\r]/;

/**
 * One cell (RFC 4180): "" for null; numbers as they are, in full; a text in quotes where it holds a comma, a quote or a line break, and behind an
 * apostrophe where a spreadsheet would take it for a formula.
 */
export function csvCell(value: string | number | null): string {
  if (value === null) return "";
  if (typeof value === "number") return String(value);
  const harmless = FORMULA.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}
