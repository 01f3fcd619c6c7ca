/** One station of a sheet, read out of its strand's columns. */
import { orNull } from "../../../lib/base/missing.ts";
import { CAMERA_STATES, type CameraState } from "../../../lib/model/frame.ts";
import type { StationLimits, SupportKind, Verdict } from "../../../lib/model/result.ts";
import { SUPPORT_KINDS, VERDICTS } from "../../../lib/model/result.ts";
import type { Sheet, SheetStrand } from "../../../lib/model/sheet.ts";

export interface Station {
  readonly layer: number;
  readonly strand: number;
  /** Place in the strand, from 0. */
  readonly index: number;
  readonly attempt: number;
  readonly sMm: number;
  readonly laid: boolean;
  readonly plannedWidthMm: number;
  readonly plannedHeightMm: number;
  readonly plannedAreaMm2: number;
  readonly widthMm: number | null;
  readonly heightMm: number | null;
  readonly areaMm2: number | null;
  readonly offsetMm: number | null;
  readonly areaRatio: number | null;
  readonly uWidthMm: number | null;
  readonly uHeightMm: number | null;
  readonly uAreaMm2: number | null;
  readonly uOffsetMm: number | null;
  readonly coverage: number | null;
  /** Of a spanned bead. */
  readonly sagMm: number | null;
  readonly support: SupportKind | null;
  readonly ageS: number | null;
  readonly verdict: Verdict;
  readonly proven: boolean;
  /** What the newest used frame that shows it says; null: none does. */
  readonly camera: CameraState | null;
  readonly cameraWidthMm: number | null;
  readonly uCameraWidthMm: number | null;
  /** Of the sheet's frames; −1: none shows it. */
  readonly cameraFrame: number;
  readonly limits: StationLimits;
}

/** A station whose limits are not known. */
export type SeenStation = Omit<Station, "limits">;

/** null: the strand has no such station. */
export function stationAt(sheet: Pick<Sheet, "limits">, strand: SheetStrand, i: number): Station | null {
  const limits = sheet.limits[strand.limits[i] ?? -1], seen = seenStationAt(strand, i);
  return limits === undefined || seen === null ? null : { ...seen, limits };
}

/** null: the strand has no such station. */
export function seenStationAt(strand: SheetStrand, i: number): SeenStation | null {
  const sMm = strand.sMm[i];
  if (sMm === undefined) return null;
  const seen = (column: Float32Array): number | null => orNull(column[i] as number);
  return {
    layer: strand.layer, strand: strand.strand, index: i, attempt: strand.attempt[i] as number, sMm, laid: strand.laid[i] === 1, verdict: VERDICTS[strand.verdict[i] as number] as Verdict, proven: strand.proven[i] === 1,
    plannedWidthMm: strand.plannedWidthMm[i] as number, plannedHeightMm: strand.plannedHeightMm[i] as number, plannedAreaMm2: strand.plannedAreaMm2[i] as number,
    widthMm: seen(strand.widthMm), heightMm: seen(strand.heightMm), areaMm2: seen(strand.areaMm2), offsetMm: seen(strand.offsetMm), areaRatio: seen(strand.areaRatio),
    uWidthMm: seen(strand.uWidthMm), uHeightMm: seen(strand.uHeightMm), uAreaMm2: seen(strand.uAreaMm2), uOffsetMm: seen(strand.uOffsetMm),
    coverage: seen(strand.coverage), sagMm: seen(strand.sagMm), support: SUPPORT_KINDS[strand.support[i] as number] ?? null, ageS: seen(strand.ageS),
    camera: CAMERA_STATES[strand.camera[i] as number] ?? null, cameraWidthMm: seen(strand.cameraWidthMm), uCameraWidthMm: seen(strand.uCameraWidthMm), cameraFrame: strand.cameraFrame[i] as number,
  };
}

/** "0.98 ± 0.02"; digits follow what the uncertainty can carry, 2 to 3; "–" where nothing was measured. */
export function plusMinus(value: number | null, u: number | null): string {
  if (value === null) return "–";
  const digits = u !== null && u < 0.01 ? 3 : 2;
  const text = value.toFixed(digits).replace("-", "−");
  return u === null ? text : `${text} ± ${u.toFixed(digits)}`;
}

const range = (planned: number, [low, high]: readonly [number, number]): string => `${(planned + low).toFixed(2)}–${(planned + high).toFixed(2)}`;

export interface NumberRow { readonly name: string; readonly planned: string; readonly measured: string; readonly watch: string; readonly act: string }

/** The read-out as a table: planned, measured ± u, and the limits in force there as absolute values. */
export function numberRows(station: Station): NumberRow[] {
  const { limits } = station;
  const areaLimits = (band: readonly [number, number]): string => range(0, [band[0] * station.plannedAreaMm2, band[1] * station.plannedAreaMm2]);
  return [
    { name: "width, mm", planned: station.plannedWidthMm.toFixed(2), measured: plusMinus(station.widthMm, station.uWidthMm), watch: range(station.plannedWidthMm, limits.widthMm.watch), act: range(station.plannedWidthMm, limits.widthMm.act) },
    { name: "height, mm", planned: station.plannedHeightMm.toFixed(2), measured: plusMinus(station.heightMm, station.uHeightMm), watch: range(station.plannedHeightMm, limits.heightMm.watch), act: range(station.plannedHeightMm, limits.heightMm.act) },
    { name: "area, mm²", planned: station.plannedAreaMm2.toFixed(3), measured: plusMinus(station.areaMm2, station.uAreaMm2), watch: areaLimits(limits.areaRatio.watch), act: areaLimits(limits.areaRatio.act) },
    { name: "offset, mm", planned: "0", measured: plusMinus(station.offsetMm, station.uOffsetMm), watch: `± ${limits.offsetMm.watch.toFixed(2)}`, act: `± ${limits.offsetMm.act.toFixed(2)}` },
  ];
}

const SUPPORT_WORDS: Readonly<Record<SupportKind, string>> = {
  measured: "on a support that was seen", planned: "on the planned base, as the support was never seen", spanned: "spanning a hollow",
};

/** "present, width 0.98 ± 0.04 mm"; null: no used frame shows it. */
function cameraWords({ camera, cameraWidthMm, uCameraWidthMm }: SeenStation): string | null {
  return camera === null ? null : cameraWidthMm === null ? camera : `${camera}, width ${plusMinus(cameraWidthMm, uCameraWidthMm)} mm`;
}

/** What stands under the section: ratio, coverage, support, age. */
export function readingWords(station: SeenStation): string {
  const seen = cameraWords(station);
  if (station.areaRatio === null) return seen !== null ? `Seen by the camera alone: ${seen}; height and area are not known.` : station.laid ? "Laid, and never seen well enough to measure." : "Not laid.";
  return [
    `area ratio ${station.areaRatio.toFixed(2).replace("-", "−")}`, station.coverage === null ? null : `coverage ${station.coverage.toFixed(2)}`,
    station.support === null ? null : SUPPORT_WORDS[station.support], station.sagMm === null ? null : `sags by ${station.sagMm.toFixed(2).replace("-", "−")} mm`, station.ageS === null ? null : `read ${station.ageS.toFixed(1)} s after laying`,
    station.widthMm === null ? (station.verdict === "gap" ? "next to nothing lies there" : "a flank was not seen, so no width") : null, seen === null ? null : `camera: ${seen}`,
  ].filter((part) => part !== null).join(" · ");
}
