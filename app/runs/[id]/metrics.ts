/** The quantities that can be followed along a run: value, planned value, limits, uncertainty and digits of each. */
import type { StationLimits } from "../../../lib/model/result.ts";
import type { SheetStrand } from "../../../lib/model/sheet.ts";

export const METRICS = ["areaRatio", "widthMm", "heightMm", "offsetMm", "coverage", "ageS", "sagMm", "uAreaRatio", "uWidthMm", "uHeightMm", "uOffsetMm"] as const;
export type MetricKey = (typeof METRICS)[number];

/** Limits in the metric's own unit; −Infinity or Infinity where there is none on that side. */
export interface MetricBand { readonly watch: readonly [number, number]; readonly act: readonly [number, number] }

export interface Metric {
  readonly label: string;
  /** "" for a plain number. */
  readonly unit: string;
  readonly digits: number;
  readonly value: (strand: SheetStrand, i: number) => number;
  /** One standard uncertainty; null: the metric has none. */
  readonly u: ((strand: SheetStrand, i: number) => number) | null;
  readonly planned: ((strand: SheetStrand, i: number) => number) | null;
  readonly band: ((limits: StationLimits, planned: number) => MetricBand) | null;
}

type Column = { [K in keyof SheetStrand]: SheetStrand[K] extends Float32Array ? K : never }[keyof SheetStrand];

const of = (column: Column) => (strand: SheetStrand, i: number): number => strand[column][i] as number;
const uRatio = (strand: SheetStrand, i: number): number => (strand.uAreaMm2[i] as number) / (strand.plannedAreaMm2[i] as number);
const around = (planned: number, band: MetricBand): MetricBand => ({ watch: [planned + band.watch[0], planned + band.watch[1]], act: [planned + band.act[0], planned + band.act[1]] });
const plain = { u: null, planned: null, band: null } as const;

export const METRIC_TABLE: Readonly<Record<MetricKey, Metric>> = {
  areaRatio: { label: "area ratio", unit: "", digits: 2, value: of("areaRatio"), u: uRatio, planned: () => 1, band: (limits) => limits.areaRatio },
  widthMm: { label: "width", unit: "mm", digits: 2, value: of("widthMm"), u: of("uWidthMm"), planned: of("plannedWidthMm"), band: (limits, planned) => around(planned, limits.widthMm) },
  heightMm: { label: "height", unit: "mm", digits: 2, value: of("heightMm"), u: of("uHeightMm"), planned: of("plannedHeightMm"), band: (limits, planned) => around(planned, limits.heightMm) },
  offsetMm: {
    label: "offset, + left of travel", unit: "mm", digits: 2, value: of("offsetMm"), u: of("uOffsetMm"), planned: () => 0,
    band: ({ offsetMm: { watch, act } }) => ({ watch: [-watch, watch], act: [-act, act] }),
  },
  coverage: { label: "coverage of the window", unit: "", digits: 2, value: of("coverage"), ...plain },
  ageS: { label: "age when read", unit: "s", digits: 1, value: of("ageS"), ...plain },
  sagMm: { label: "sag over hollows", unit: "mm", digits: 2, value: of("sagMm"), ...plain },
  uAreaRatio: { label: "u of the area ratio", unit: "", digits: 3, value: uRatio, ...plain },
  uWidthMm: { label: "u of width", unit: "mm", digits: 3, value: of("uWidthMm"), ...plain },
  uHeightMm: { label: "u of height", unit: "mm", digits: 3, value: of("uHeightMm"), ...plain },
  uOffsetMm: { label: "u of offset", unit: "mm", digits: 3, value: of("uOffsetMm"), ...plain },
};
