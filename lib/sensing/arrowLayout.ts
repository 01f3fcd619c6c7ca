import { InputError, type Place } from "../base/errors.ts";
import { TYPE, type ArrowColumn, type ArrowSchema } from "./arrowMeta.ts";

/** Where a column lies among the field nodes and buffers of a record batch. */
export interface Slot { readonly column: ArrowColumn; readonly node: number; readonly buffer: number }

export interface ProfileLayout {
  readonly seq: Slot;
  readonly tS: Slot;
  readonly pose: Slot;
  readonly zMm: Slot;
  readonly xMm: Slot | null;
  readonly layer: Slot | null;
  readonly unknownColumns: readonly string[];
}

const KEYS = ["seq", "tS", "pose", "zMm", "xMm", "layer"] as const;
type Key = (typeof KEYS)[number];

/** What each column must be, in the contract's words. */
const CHECKS: Readonly<Record<Key, { readonly isRight: (column: ArrowColumn) => boolean; readonly expected: string }>> = {
  seq: { isRight: isInteger, expected: "integers" },
  tS: { isRight: (column) => isFloat(column, 64), expected: "float64" },
  pose: { isRight: (column) => column.type === TYPE.fixedSizeList && column.size === 7 && isFloat(column.children[0], 64), expected: "fixed-size lists of 7 float64" },
  zMm: { isRight: isSamples, expected: "lists of float32" },
  xMm: { isRight: isSamples, expected: "lists of float32" },
  layer: { isRight: isInteger, expected: "integers" },
};

function isFloat(column: ArrowColumn | undefined, bits: number): boolean {
  return column?.type === TYPE.float && column.size === bits && !column.isDictionary;
}
function isInteger(column: ArrowColumn): boolean {
  return column.type === TYPE.int && [8, 16, 32, 64].includes(column.size) && !column.isDictionary;
}
function isSamples(column: ArrowColumn): boolean {
  return (column.type === TYPE.list || (column.type === TYPE.fixedSizeList && column.size >= 0)) && isFloat(column.children[0], 32);
}

/** Finds the columns of a profile stream in its schema; sensing.missingColumn or sensing.badValue (wrong type) with the column's name. */
export function layoutOf({ columns }: ArrowSchema, place: Place): ProfileLayout {
  const slots = new Map<Key, Slot>();
  const unknownColumns: string[] = [];
  let at: { node: number; buffer: number } | null = { node: 0, buffer: 0 };
  for (const column of columns) {
    const key = KEYS.find((known) => known === column.name);
    if (key === undefined) unknownColumns.push(column.name);
    else if (at === null) throw new InputError("sensing.badValue", "views and unions, if any, after the columns of the profile", `${key} after one`, { ...place, key });
    else slots.set(key, checked(key, { column, ...at }, place));
    const size = spanOf(column);
    at = at === null || size === null ? null : { node: at.node + size.nodes, buffer: at.buffer + size.buffers };
  }
  const need = (key: Key): Slot => {
    const slot = slots.get(key);
    if (slot !== undefined) return slot;
    throw new InputError("sensing.missingColumn", `a column ${key}`, columns.map((c) => c.name).join(",") || "no column", { ...place, key });
  };
  return { seq: need("seq"), tS: need("tS"), pose: need("pose"), zMm: need("zMm"), xMm: slots.get("xMm") ?? null, layer: slots.get("layer") ?? null, unknownColumns };
}

function checked(key: Key, slot: Slot, place: Place): Slot {
  const { isRight, expected } = CHECKS[key];
  if (isRight(slot.column)) return slot;
  const { type, size, children } = slot.column;
  const name = Object.entries(TYPE).find(([, number]) => number === type)?.[0] ?? `type ${type}`;
  const item = children[0] === undefined ? "" : ` of ${Object.entries(TYPE).find(([, number]) => number === children[0]?.type)?.[0] ?? "others"}${children[0].size || ""}`;
  throw new InputError("sensing.badValue", `a column of ${expected}`, `${name}${size === 0 ? "" : ` ${size}`}${item}`, { ...place, key });
}

const TWO_BUFFERS: readonly number[] = [TYPE.int, TYPE.float, TYPE.bool, TYPE.decimal, TYPE.date, TYPE.time, TYPE.timestamp, TYPE.interval, TYPE.duration, TYPE.fixedSizeBinary];
const THREE_BUFFERS: readonly number[] = [TYPE.utf8, TYPE.binary, TYPE.largeUtf8, TYPE.largeBinary];

/** Field nodes and buffers that a column takes (Arrow columnar format, "RecordBatch message"); null where its type does not fix that. */
function spanOf(column: ArrowColumn): { nodes: number; buffers: number } | null {
  const { type } = column;
  if (column.isDictionary || TWO_BUFFERS.includes(type)) return { nodes: 1, buffers: 2 };
  if (type === TYPE.null) return { nodes: 1, buffers: 0 };
  if (THREE_BUFFERS.includes(type)) return { nodes: 1, buffers: 3 };
  if (type === TYPE.list || type === TYPE.largeList || type === TYPE.map) return withChildren(column, 2);
  return type === TYPE.fixedSizeList || type === TYPE.struct ? withChildren(column, 1) : null;
}

function withChildren(column: ArrowColumn, own: number): { nodes: number; buffers: number } | null {
  let [nodes, buffers] = [1, own];
  for (const child of column.children) {
    const size = spanOf(child);
    if (size === null) return null;
    nodes += size.nodes;
    buffers += size.buffers;
  }
  return { nodes, buffers };
}
