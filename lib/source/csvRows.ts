import { CsvError, parse } from "csv-parse/sync";
import type { FileHandle } from "node:fs/promises";
import { InputError } from "../base/errors.ts";
import { CsvFields, snakeCase } from "../sensing/fields.ts";
import { LineBlocks } from "./lines.ts";
import { openFile } from "./paths.ts";
import type { WarningLog } from "./warningLog.ts";

const BLOCK_BYTES = 1 << 18;
const QUOTED_LIMIT = 1 << 16; // characters of a record with quotes: one that is never closed must not swallow the file
const UTF8 = new TextDecoder("utf-8", { ignoreBOM: false });

export interface CsvRow { readonly cells: readonly string[]; readonly line: number; /** The file's last line, and without a line feed. */ readonly isOpenEnded: boolean }

/**
 * Reads a CSV file with a head line, block by block: rows as `CsvFields`, which are moved on from row to row. Columns that are not
 * among `keys` are one warning each. Throws sensing.missingColumn, sensing.badValue and source.nulByte with the line.
 */
export class CsvRows {
  private handle: FileHandle | null = null;
  private blocks: LineBlocks | null = null;
  private linesTaken = 0;
  private columnCount = 0;
  private lastColumn = "";
  private fields: CsvFields | null = null;
  private quoted: { text: string; line: number } | null = null; // a record whose quotes are not closed yet

  constructor(private readonly path: string, private readonly file: string, private readonly keys: readonly string[], private readonly warnings: WarningLog) {}

  /** The next rows, each handed to `take` in turn; false at the end. A last row that broke off is left out with a warning. */
  async next(take: (fields: CsvFields) => void): Promise<boolean> {
    this.handle ??= await openFile(this.path, this.file);
    const blocks = this.blocks ??= new LineBlocks(this.handle, this.file, BLOCK_BYTES);
    if (!(await blocks.next(this.linesTaken))) {
      if (this.quoted !== null) this.leaveOpenQuote(this.quoted.line, blocks.isOpenEnded);
      if (this.fields === null) throw new InputError("sensing.missingColumn", `the columns ${this.keys.map(snakeCase).join(",")}`, "an empty file", { file: this.file, line: 1 });
      return false;
    }
    this.linesTaken = 0;
    for (const row of this.rowsOf(blocks)) {
      if (this.fields === null) this.fields = this.readHead(row);
      else this.takeRow(row, this.fields, take);
    }
    return true;
  }

  private *rowsOf(blocks: LineBlocks): Generator<CsvRow> {
    const text = UTF8.decode(blocks.bytes.subarray(blocks.start, blocks.end));
    for (let from = 0; from < text.length;) {
      const to = text.indexOf("\n", from);
      const isLast = to + 1 >= text.length;
      const line = blocks.line + this.linesTaken++;
      const raw = text.slice(from, text[to - 1] === "\r" ? to - 1 : to);
      from = to + 1;
      const isOpenEnded = isLast && blocks.isOpenEnded;
      const record = this.wholeRecord(raw, line);
      if (record !== null && record.text.trim() !== "") yield { cells: record.isQuoted ? this.splitQuoted(record) : record.text.split(","), line: record.line, isOpenEnded };
    }
  }

  /** The record that `raw` completes; null while a quote is open. */
  private wholeRecord(raw: string, line: number): { text: string; line: number; isQuoted: boolean } | null {
    const isOpen = this.quoted !== null;
    if (!isOpen && !raw.includes('"')) return { text: raw, line, isQuoted: false };
    const record = this.quoted ?? { text: "", line };
    record.text += (isOpen ? "\n" : "") + raw;
    const isClosed = isOpen === (raw.split('"').length % 2 === 0); // an odd number of quotes opens or closes
    this.quoted = isClosed ? null : record;
    if (record.text.length > QUOTED_LIMIT) this.refuseQuote(record.line);
    return isClosed ? { ...record, isQuoted: true } : null;
  }

  private leaveOpenQuote(line: number, isOpenEnded: boolean): void {
    if (!isOpenEnded) this.refuseQuote(line);
    this.warnings.truncated(this.file, `in line ${line}`, line);
  }

  private refuseQuote(line: number): never {
    throw new InputError("sensing.badValue", "a closing quote", "none", { file: this.file, line });
  }

  private splitQuoted({ text, line }: { text: string; line: number }): string[] {
    try {
      return parse(text, { relax_column_count: true })[0] ?? [];
    } catch (cause) {
      if (!(cause instanceof CsvError)) throw cause;
      throw new InputError("sensing.badValue", "comma-separated values with balanced quotes", cause.message, { file: this.file, line }, cause);
    }
  }

  private readHead({ cells, line }: CsvRow): CsvFields {
    const columns = new Map<string, number>();
    cells.forEach((cell, i) => {
      const name = cell.trim();
      const place = { file: this.file, line, key: name };
      if (columns.has(name)) throw new InputError("sensing.badValue", "each column once", "the same name twice", place);
      columns.set(name, i);
      if (!this.keys.some((key) => snakeCase(key) === name)) {
        this.warnings.add({ code: "sensing.unknownColumn", message: `the column ${name} is not known and is ignored`, file: this.file, line });
      }
    });
    for (const key of this.keys.map(snakeCase)) {
      if (!columns.has(key)) throw new InputError("sensing.missingColumn", `a column ${key}`, cells.join(","), { file: this.file, line, key });
    }
    this.columnCount = cells.length;
    this.lastColumn = cells.at(-1)?.trim() ?? "";
    return new CsvFields(columns, this.keys, this.file);
  }

  private takeRow(row: CsvRow, fields: CsvFields, take: (fields: CsvFields) => void): void {
    const { cells, line, isOpenEnded } = row;
    fields.cells = cells;
    fields.place = { file: this.file, line };
    if (cells.length !== this.columnCount) {
      if (isOpenEnded && cells.length < this.columnCount) return this.warnings.truncated(this.file, `in line ${line}`, line);
      throw new InputError("sensing.badValue", `${this.columnCount} cells`, `${cells.length}`, fields.place);
    }
    try {
      take(fields);
    } catch (error) {
      if (!isOpenEnded || !isCutShort(cells.at(-1) ?? "", this.lastColumn, error)) throw error;
      this.warnings.truncated(this.file, `in line ${line}`, line);
    }
  }

  async close(): Promise<void> {
    await this.handle?.close();
    this.handle = null;
  }
}

/** Whether it is the last cell that was refused, and it looks like the beginning of a value or of a progress event that simply stops. */
function isCutShort(cell: string, column: string, error: unknown): boolean {
  const isRefusal = error instanceof InputError && error.place.key === column && (error.code === "sensing.badNumber" || error.code === "sensing.badValue");
  return isRefusal && (/^[+-]?(?:\d+\.?\d*e[+-]?)?$/i.test(cell) || ["start", "update", "end"].some((word) => word.startsWith(cell)));
}
