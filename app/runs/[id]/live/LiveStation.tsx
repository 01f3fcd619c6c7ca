"use client";
import { VERDICT_MARKS } from "../../../../lib/model/marks.ts";
import { VERDICTS } from "../../../../lib/model/result.ts";
import type { SheetLayer, SheetStrand } from "../../../../lib/model/sheet.ts";
import type { StationPick } from "../useChosen.ts";

function seen(value: number | undefined, unit: string, planned?: number): string {
  const measured = value === undefined || Number.isNaN(value) ? "not seen" : `${value < 0 ? "−" : ""}${Math.abs(value).toFixed(2)}${unit}`;
  return planned === undefined || Number.isNaN(planned) ? measured : `${measured}, planned ${planned.toFixed(2)}${unit}`;
}

function rowsOf(strand: SheetStrand, i: number): readonly (readonly [string, string])[] {
  if (Number.isNaN(strand.areaRatio[i] ?? Number.NaN)) return [["width", `not measured, planned ${(strand.plannedWidthMm[i] ?? Number.NaN).toFixed(2)} mm`], ["height", `not measured, planned ${(strand.plannedHeightMm[i] ?? Number.NaN).toFixed(2)} mm`]];
  return [
    ["area ratio", seen(strand.areaRatio[i], "")], ["width", seen(strand.widthMm[i], " mm", strand.plannedWidthMm[i])],
    ["height", seen(strand.heightMm[i], " mm", strand.plannedHeightMm[i])], ["offset, + left", seen(strand.offsetMm[i], " mm")],
    ["coverage", seen(strand.coverage[i], "")], ["age when read", seen(strand.ageS[i], " s")],
  ];
}

interface Props {
  readonly layers: readonly SheetLayer[];
  readonly pick: StationPick;
  readonly ageWords: string | null;
  /** The picture goes along with the newest reading. */
  readonly isFollowed: boolean;
  /** null: it does already, or there is none. */
  readonly onFollow: (() => void) | null;
}

/** The chosen station in numbers, which is the newest one until another is chosen. */
export function LiveStation({ layers, pick, ageWords, isFollowed, onFollow }: Props) {
  const strand = layers.find((layer) => layer.layer === pick.layer)?.strands.find((each) => each.strand === pick.strand), sMm = strand?.sMm[pick.station];
  if (strand === undefined || sMm === undefined) return null;
  const verdict = VERDICTS[strand.verdict[pick.station] ?? -1];
  return (
    <section className="live-station" aria-labelledby="live-station-title">
      <h2 id="live-station-title">
        <span>{isFollowed ? "Newest reading" : "Station"} · strand {pick.strand} of layer {pick.layer} at {sMm.toFixed(1)} mm{isFollowed && ageWords !== null ? ` · ${ageWords} old` : ""}</span>
        <span>{verdict === undefined ? "" : VERDICT_MARKS[verdict].label.toLowerCase()}</span>
      </h2>
      <dl>{rowsOf(strand, pick.station).map(([name, value]) => <div key={name}><dt>{name}</dt><dd>{value}</dd></div>)}</dl>
      {onFollow === null ? null : <p><button type="button" onClick={onFollow}>Follow the newest reading again</button></p>}
    </section>
  );
}
