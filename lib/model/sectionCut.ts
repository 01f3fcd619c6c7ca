/**
 * What is needed to draw the section at one station: the profile nearest to it, in the station's own lateral and normal directions.
 * Kept as a small blob, lengths in whole micrometres. Safe in the browser.
 */
import { SUPPORT_KINDS, type SupportKind } from "./result.ts";

/** A sample of the profile: lateral and over the planned base, mm. `used`: it counted; else it was taken out, or lies where nothing of this strand is laid. */
export interface CutPoint { readonly bMm: number; readonly nMm: number; readonly used: boolean }

/** What thickness was counted from, at the middle of one cell. Over a hollow it is the planned base, 0. */
export interface CutSupport { readonly bMm: number; readonly nMm: number; readonly kind: SupportKind }

/** The section as it was seen by one profile. Lateral mm with + to the left of travel; heights mm over the planned base. */
export interface SectionCut {
  readonly layer: number; readonly strand: number; readonly attempt: number;
  /** Place in the strand, from 0. */
  readonly stationIndex: number;
  readonly device: string;
  /** Of the profile shown: its number within its device and its reference time, s. */
  readonly seq: number; readonly tS: number;
  /** How far along the strand the profile cuts it beyond the station, mm; < 0: before it. */
  readonly alongMm: number;
  /** How the profile's plane leans along the strand, mm per mm: a point (b, n) lies perB · b + perN · (n − planned height) beyond the place where the plane cuts the plan. 0 where it stands square. */
  readonly slant: { readonly perB: number; readonly perN: number };
  /** b ascending; evenly thinned where there were more than a small blob holds. */
  readonly points: readonly CutPoint[];
  /** How many points of each kind there were before thinning. */
  readonly usedCount: number; readonly notUsedCount: number;
  /** b ascending, evenly spaced. */
  readonly support: readonly CutSupport[];
  /** The bead's flanks in this profile; null: not seen. */
  readonly flanks: { readonly rightMm: number | null; readonly leftMm: number | null };
  /** Height of the reading's crown over the support, mm; null: not seen. */
  readonly crownMm: number | null;
  /** The lateral window: rightMm < 0 < leftMm. */
  readonly window: { readonly rightMm: number; readonly leftMm: number };
}

/** What the blob holds; the rest stands beside it in the row's own columns. */
export type CutDrawing = Pick<SectionCut, "alongMm" | "slant" | "points" | "usedCount" | "notUsedCount" | "support" | "flanks" | "crownMm" | "window">;

/** A section as it is kept: where it belongs, which profile it shows, and the blob. */
export type PackedCut = Omit<SectionCut, keyof CutDrawing> & { readonly drawing: Uint8Array };

export function packCut(cut: SectionCut): PackedCut {
  const { layer, strand, attempt, stationIndex, device, seq, tS } = cut;
  return { layer, strand, attempt, stationIndex, device, seq, tS, drawing: encodeCut(cut) };
}

export function unpackCut({ drawing, ...where }: PackedCut): SectionCut {
  return { ...where, ...decodeCut(drawing) };
}

const VERSION = 2;
/** Kept before the plane's slant was: it counts as square. */
const WITHOUT_SLANT = 1;
/** µm in a mm. */
const MICRO = 1000;
/** Stands for "not seen". */
const NONE = -32768;
/** Steps of a slant in one mm per mm. */
const SLANTS = 5000;
/** version, supports, points, both counts; alongMm, flanks, crown, window; place of the first support and spacing of all; slant. */
const HEAD_BYTES = 36;
const HEAD_BYTES_WITHOUT_SLANT = 32;

/** Packed, little-endian: head, then [b, n] µm of every point, n µm of every support, one bit a point (used), two bits a support (kind). RangeError beyond ± 32.767 mm. */
export function encodeCut(cut: CutDrawing): Uint8Array {
  const { points, support } = cut;
  const bits = HEAD_BYTES + 4 * points.length + 2 * support.length;
  const view = new DataView(new ArrayBuffer(bits + Math.ceil(points.length / 8) + Math.ceil(support.length / 4)));
  const first = support[0]?.bMm ?? 0, last = support[support.length - 1]?.bMm ?? 0;
  view.setUint8(0, VERSION);
  view.setUint8(1, support.length);
  [points.length, cut.usedCount, cut.notUsedCount].forEach((n, i) => { view.setUint16(2 + 2 * i, n, true); });
  [cut.alongMm, cut.flanks.rightMm, cut.flanks.leftMm, cut.crownMm, cut.window.rightMm, cut.window.leftMm].forEach((v, i) => { view.setInt16(8 + 2 * i, micro(v), true); });
  view.setFloat32(20, first, true);
  view.setFloat64(24, support.length > 1 ? (last - first) / (support.length - 1) : 0, true);
  view.setInt16(32, slantSteps(cut.slant.perB), true);
  view.setInt16(34, slantSteps(cut.slant.perN), true);
  points.forEach((p, i) => {
    view.setInt16(HEAD_BYTES + 4 * i, micro(p.bMm), true);
    view.setInt16(HEAD_BYTES + 4 * i + 2, micro(p.nMm), true);
    if (p.used) setBits(view, bits, i, 1, 1);
  });
  const kinds = bits + Math.ceil(points.length / 8);
  support.forEach((s, i) => {
    view.setInt16(HEAD_BYTES + 4 * points.length + 2 * i, micro(s.nMm), true);
    setBits(view, kinds, i, 2, SUPPORT_KINDS.indexOf(s.kind));
  });
  return new Uint8Array(view.buffer);
}

/** The way back, to half a micrometre. RangeError where the blob is not of this form. */
export function decodeCut(blob: Uint8Array): CutDrawing {
  const view = new DataView(blob.buffer, blob.byteOffset, blob.byteLength);
  const version = blob.byteLength < HEAD_BYTES_WITHOUT_SLANT ? 0 : view.getUint8(0), head = version === WITHOUT_SLANT ? HEAD_BYTES_WITHOUT_SLANT : HEAD_BYTES;
  if ((version !== VERSION && version !== WITHOUT_SLANT) || blob.byteLength < head) throw new RangeError(`a section's blob begins with version ${WITHOUT_SLANT} or ${VERSION}`);
  const count = view.getUint16(2, true), supports = view.getUint8(1);
  const bits = head + 4 * count + 2 * supports, kinds = bits + Math.ceil(count / 8);
  if (blob.byteLength !== kinds + Math.ceil(supports / 4)) throw new RangeError(`a section of ${count} points and ${supports} supports is not ${blob.byteLength} bytes long`);
  const at = (byte: number): number => view.getInt16(byte, true) / MICRO;
  const orNull = (byte: number): number | null => (view.getInt16(byte, true) === NONE ? null : at(byte));
  const first = view.getFloat32(20, true), step = view.getFloat64(24, true);
  return {
    usedCount: view.getUint16(4, true), notUsedCount: view.getUint16(6, true), alongMm: at(8),
    slant: version === WITHOUT_SLANT ? { perB: 0, perN: 0 } : { perB: view.getInt16(32, true) / SLANTS, perN: view.getInt16(34, true) / SLANTS },
    flanks: { rightMm: orNull(10), leftMm: orNull(12) }, crownMm: orNull(14), window: { rightMm: at(16), leftMm: at(18) },
    points: Array.from({ length: count }, (_, i) => ({ bMm: at(head + 4 * i), nMm: at(head + 4 * i + 2), used: bitsAt(view, bits, i, 1) === 1 })),
    support: Array.from({ length: supports }, (_, i) => ({
      bMm: Math.round((first + i * step) * MICRO) / MICRO, nMm: at(head + 4 * count + 2 * i), kind: SUPPORT_KINDS[bitsAt(view, kinds, i, 2)] as SupportKind,
    })),
  };
}

function micro(mm: number | null): number {
  if (mm === null) return NONE;
  const um = Math.round(mm * MICRO);
  if (!(um > NONE && um < -NONE)) throw new RangeError(`a section's lengths lie within ± 32.767 mm, got ${mm}`);
  return um;
}

/** A plane that lies nearly along the strand measures nothing, so that what is kept stays far inside the range. */
function slantSteps(slant: number): number {
  return Math.max(-32767, Math.min(32767, Math.round(slant * SLANTS)));
}

/** Value i of `width` bits each, from byte `from` on. */
function setBits(view: DataView, from: number, i: number, width: 1 | 2, value: number): void {
  const byte = from + Math.floor(i * width / 8);
  view.setUint8(byte, view.getUint8(byte) | value << i * width % 8);
}

function bitsAt(view: DataView, from: number, i: number, width: 1 | 2): number {
  return view.getUint8(from + Math.floor(i * width / 8)) >> i * width % 8 & (1 << width) - 1;
}
