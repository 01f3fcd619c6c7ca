/** Metadata of Arrow IPC messages, as format/Schema.fbs, Message.fbs and File.fbs of the Arrow format define it (columnar format 1.x). */
import { InputError, type Place } from "../base/errors.ts";
import { FlatTable } from "./flatTable.ts";

/** Numbers of the Type union that matter here. */
export const TYPE = {
  null: 1, int: 2, float: 3, binary: 4, utf8: 5, bool: 6, decimal: 7, date: 8, time: 9, timestamp: 10, interval: 11, list: 12, struct: 13,
  fixedSizeBinary: 15, fixedSizeList: 16, map: 17, duration: 18, largeBinary: 19, largeUtf8: 20, largeList: 21,
} as const;
const HEADER = { schema: 1, dictionary: 2, batch: 3 } as const;
const FLOAT_BITS: readonly number[] = [16, 32, 64];
/** No recording has this many columns; a damaged schema may name its parts over and over. */
const COLUMN_LIMIT = 10_000;

export interface ArrowColumn {
  readonly name: string;
  /** Number in the Type union. */
  readonly type: number;
  /** Bits of an integer or float, items of a fixed-size list; 0 else. */
  readonly size: number;
  readonly isSigned: boolean;
  readonly isDictionary: boolean;
  readonly children: readonly ArrowColumn[];
}

export interface ArrowSchema { readonly columns: readonly ArrowColumn[]; readonly metadata: ReadonlyMap<string, string> }

export interface ArrowBatch {
  readonly rowCount: number;
  readonly nodes: Float64Array; // Float64Array[2 · node], length, null count
  readonly buffers: Float64Array; // Float64Array[2 · buffer], offset in the body, bytes
  readonly isCompressed: boolean;
}

export type ArrowMessage = { readonly bodyBytes: number } & (
  | { readonly kind: "schema"; readonly schema: ArrowSchema }
  | { readonly kind: "batch"; readonly batch: ArrowBatch }
  | { readonly kind: "other" });

/** Reads the metadata of one encapsulated message; sensing.notArrow where it is none. */
export function decodeMessage(metadata: Uint8Array, place: Place): ArrowMessage {
  return guarded(place, () => {
    const message = FlatTable.root(metadata);
    const header = message.table(2);
    const bodyBytes = message.int64(3);
    if (header === null || !(bodyBytes >= 0)) throw new RangeError("a message without header or body");
    switch (message.uint8(1)) {
      case HEADER.schema: return { kind: "schema", bodyBytes, schema: readSchema(header) };
      case HEADER.batch: return { kind: "batch", bodyBytes, batch: readBatch(header) };
      case HEADER.dictionary: return { kind: "other", bodyBytes };
      default: throw new RangeError("a message of another kind");
    }
  });
}

/** The schema in the footer of an Arrow file. */
export function decodeFooter(footer: Uint8Array, place: Place): ArrowSchema {
  return guarded(place, () => {
    const schema = FlatTable.root(footer).table(1);
    if (schema === null) throw new RangeError("a footer without schema");
    return readSchema(schema);
  });
}

function guarded<T>(place: Place, read: () => T): T {
  try {
    return read();
  } catch (cause) {
    if (!(cause instanceof RangeError)) throw cause;
    throw new InputError("sensing.notArrow", "the metadata of an Arrow message", cause.message, place, cause);
  }
}

function readSchema(schema: FlatTable): ArrowSchema {
  if (schema.int16(0) !== 0) throw new RangeError("numbers with the high byte first");
  let count = 0;
  const readColumn = (field: FlatTable): ArrowColumn => {
    if (++count > COLUMN_LIMIT) throw new RangeError(`more than ${COLUMN_LIMIT} columns`);
    const type = field.uint8(2);
    const details = field.table(3);
    return {
      name: field.text(0), type, size: sizeOf(type, details), isSigned: type === TYPE.int && details?.uint8(1) === 1,
      isDictionary: field.table(4) !== null, children: field.tables(5).map(readColumn),
    };
  };
  return {
    columns: schema.tables(1).map(readColumn),
    metadata: new Map(schema.tables(2).map((entry) => [entry.text(0), entry.text(1)])),
  };
}

function sizeOf(type: number, details: FlatTable | null): number {
  if (details === null) return 0;
  if (type === TYPE.float) return FLOAT_BITS[details.int16(0)] ?? 0;
  return type === TYPE.int || type === TYPE.fixedSizeList ? details.int32(0) : 0;
}

function readBatch(header: FlatTable): ArrowBatch {
  const rowCount = header.int64(0);
  if (!(rowCount >= 0)) throw new RangeError(`${rowCount} rows`);
  return { rowCount, nodes: header.int64s(1, 2), buffers: header.int64s(2, 2), isCompressed: header.table(3) !== null };
}
