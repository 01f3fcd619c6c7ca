/**
 * One table of a FlatBuffers message, read field by field (the encoding is described in "FlatBuffers internals"). Every access is
 * checked against the bytes: a table that was damaged on its way throws RangeError in place of leading a reader astray.
 */
export class FlatTable {
  private constructor(private readonly view: DataView, private readonly pos: number) {}

  /** The root table of a message. */
  static root(bytes: Uint8Array): FlatTable {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    return new FlatTable(view, view.getUint32(0, true));
  }

  /** Where the field of that slot (0, 1, 2 … in the order of the schema) stands; 0: it is not there. */
  private field(slot: number): number {
    const vtable = this.pos - this.view.getInt32(this.pos, true);
    const offset = 4 + 2 * slot;
    if (offset + 2 > this.view.getUint16(vtable, true)) return 0;
    const at = this.view.getUint16(vtable + offset, true);
    return at === 0 ? 0 : this.pos + at;
  }

  private target(at: number): number {
    return at + this.view.getUint32(at, true);
  }

  uint8(slot: number): number {
    const at = this.field(slot);
    return at === 0 ? 0 : this.view.getUint8(at);
  }

  int16(slot: number): number {
    const at = this.field(slot);
    return at === 0 ? 0 : this.view.getInt16(at, true);
  }

  int32(slot: number): number {
    const at = this.field(slot);
    return at === 0 ? 0 : this.view.getInt32(at, true);
  }

  /** Exact up to 2^53. */
  int64(slot: number): number {
    const at = this.field(slot);
    return at === 0 ? 0 : int64At(this.view, at);
  }

  table(slot: number): FlatTable | null {
    const at = this.field(slot);
    return at === 0 ? null : new FlatTable(this.view, this.target(at));
  }

  text(slot: number): string {
    const { start, length } = this.vector(slot, 1);
    return new TextDecoder().decode(new Uint8Array(this.view.buffer, this.view.byteOffset + start, length));
  }

  tables(slot: number): FlatTable[] {
    const { start, length } = this.vector(slot, 4);
    return Array.from({ length }, (_, i) => new FlatTable(this.view, this.target(start + 4 * i)));
  }

  /** A vector of structs of `width` int64 each, packed one after another. */
  int64s(slot: number, width: number): Float64Array {
    const { start, length } = this.vector(slot, 8 * width);
    return Float64Array.from({ length: length * width }, (_, i) => int64At(this.view, start + 8 * i));
  }

  private vector(slot: number, itemBytes: number): { start: number; length: number } {
    const at = this.field(slot);
    if (at === 0) return { start: 0, length: 0 };
    const vector = this.target(at);
    const length = this.view.getUint32(vector, true);
    if (vector + 4 + length * itemBytes > this.view.byteLength) throw new RangeError(`a vector of ${length} items runs past the message`);
    return { start: vector + 4, length };
  }
}

function int64At(view: DataView, at: number): number {
  return view.getUint32(at, true) + view.getInt32(at + 4, true) * 2 ** 32;
}
