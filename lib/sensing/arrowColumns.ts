import { InputError, type Place } from "../base/errors.ts";
import type { Slot } from "./arrowLayout.ts";
import { TYPE, type ArrowBatch } from "./arrowMeta.ts";

type View = Float32Array | Float64Array | Int32Array | BigInt64Array | BigUint64Array | Int8Array | Int16Array | Uint8Array | Uint16Array | Uint32Array;
interface ViewType<V extends View> { new (buffer: ArrayBufferLike, byteOffset: number, length: number): V; readonly BYTES_PER_ELEMENT: number }

/** The buffers of one record batch, seen in place: nothing is copied unless a writer put a buffer at an odd address. Every length is checked against the body. */
export class BatchBuffers {
  constructor(private readonly batch: ArrowBatch, private readonly body: Uint8Array, readonly place: Place) {
    if (batch.isCompressed) this.fail("an uncompressed record batch", "a compressed one");
  }

  get rowCount(): number { return this.batch.rowCount; }

  private fail(expected: string, got: string): never {
    throw new InputError("sensing.notArrow", expected, got, this.place);
  }

  /** Values of a buffer as `count` numbers of type `Type`. */
  view<V extends View>(Type: ViewType<V>, buffer: number, count: number): V {
    const offset = this.batch.buffers[2 * buffer] ?? Number.NaN;
    const bytes = this.batch.buffers[2 * buffer + 1] ?? Number.NaN;
    const size = count * Type.BYTES_PER_ELEMENT;
    if (!(bytes >= size && offset >= 0 && offset + size <= this.body.length)) return this.fail(`${size} bytes inside the batch for buffer ${buffer + 1}`, `${bytes} bytes from ${offset}`);
    const from = this.body.byteOffset + offset;
    if (from % Type.BYTES_PER_ELEMENT === 0) return new Type(this.body.buffer, from, count);
    return new Type(this.body.slice(offset, offset + size).buffer, 0, count);
  }

  /** Bits of a validity buffer; null: no value is missing. */
  validity(node: number, buffer: number): Uint8Array | null {
    return this.batch.nodes[2 * node + 1] === 0 ? null : this.view(Uint8Array, buffer, Math.ceil(this.lengthOf(node) / 8));
  }

  /** Rows of a column; for a list's child, its values. */
  lengthOf(node: number): number {
    const length = this.batch.nodes[2 * node] ?? Number.NaN;
    return length >= 0 ? length : this.fail("a length for each column of the schema", `${length}`);
  }

  /** Rows of a top-level column: as many as the batch has. */
  rowsOf(slot: Slot): number {
    const length = this.lengthOf(slot.node);
    return length === this.rowCount ? length : this.fail(`${this.rowCount} rows in column ${slot.column.name}`, `${length}`);
  }
}

export function isMissing(validity: Uint8Array | null, row: number): boolean {
  return validity !== null && ((validity[row >> 3] as number) & (1 << (row & 7))) === 0;
}

const INT_VIEWS = { 8: [Uint8Array, Int8Array], 16: [Uint16Array, Int16Array], 32: [Uint32Array, Int32Array], 64: [BigUint64Array, BigInt64Array] } as const;

/** Reader of an integer column of any width: the number at a row, null where it is missing. Beyond 2^53 numbers are not exact and fail the caller's check. */
export function integerColumn(batch: BatchBuffers, slot: Slot): (row: number) => number | null {
  const View = INT_VIEWS[slot.column.size as keyof typeof INT_VIEWS][slot.column.isSigned ? 1 : 0] as ViewType<View>;
  const values = batch.view(View, slot.buffer + 1, batch.rowsOf(slot));
  const validity = batch.validity(slot.node, slot.buffer);
  return (row) => (isMissing(validity, row) ? null : Number(values[row]));
}

/** The float64 column; NaN where it is missing. */
export function float64Column(batch: BatchBuffers, slot: Slot): (row: number) => number {
  const values = batch.view(Float64Array, slot.buffer + 1, batch.rowsOf(slot));
  const validity = batch.validity(slot.node, slot.buffer);
  return (row) => (isMissing(validity, row) ? Number.NaN : (values[row] as number));
}

/** Lists of float32: the values of a row seen in place, NaN where one is missing; null where the whole list is. */
export function samplesColumn(batch: BatchBuffers, slot: Slot): (row: number) => Float32Array | null {
  const { type, size, name: key } = slot.column;
  const rows = batch.rowsOf(slot);
  const validity = batch.validity(slot.node, slot.buffer);
  const isFixed = type === TYPE.fixedSizeList;
  const childBuffer = slot.buffer + (isFixed ? 1 : 2);
  const values = childValues(batch, slot.node + 1, childBuffer);
  if (isFixed) {
    if (values.length < rows * size) throw new InputError("sensing.notArrow", `${rows * size} values`, `${values.length}`, { ...batch.place, key });
    return (row) => (isMissing(validity, row) ? null : values.subarray(row * size, (row + 1) * size));
  }
  const ends = batch.view(Int32Array, slot.buffer + 1, rows === 0 ? 0 : rows + 1);
  return (row) => {
    const [from, to] = [ends[row] as number, ends[row + 1] as number];
    if (from < 0 || to < from || to > values.length) throw new InputError("sensing.notArrow", "list offsets inside the values", `${from} to ${to}`, { ...batch.place, row, key });
    return isMissing(validity, row) ? null : values.subarray(from, to);
  };
}

/** The child's float32 values; missing ones become NaN in the batch's own bytes. */
function childValues(batch: BatchBuffers, node: number, buffer: number): Float32Array {
  const values = batch.view(Float32Array, buffer + 1, batch.lengthOf(node));
  const validity = batch.validity(node, buffer);
  if (validity !== null) for (let i = 0; i < values.length; i++) if (isMissing(validity, i)) values[i] = Number.NaN;
  return values;
}

/** Seven float64 a row, seen in place; null where a number is missing. */
export function poseColumn(batch: BatchBuffers, slot: Slot): { readonly values: Float64Array; isMissing(row: number): boolean } {
  const rows = batch.rowsOf(slot);
  const values = batch.view(Float64Array, slot.buffer + 2, rows * 7);
  const lists = batch.validity(slot.node, slot.buffer);
  const numbers = batch.validity(slot.node + 1, slot.buffer + 1);
  return {
    values,
    isMissing: (row) => isMissing(lists, row) || (numbers !== null && [0, 1, 2, 3, 4, 5, 6].some((i) => isMissing(numbers, row * 7 + i))),
  };
}
