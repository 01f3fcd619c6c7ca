"use client";
import type { BeadShape } from "../../../lib/model/job.ts";
import type { SectionCut } from "../../../lib/model/sectionCut.ts";
import { countedAreaPx, cutSupportPx, measuredCutPx, pointMarks } from "../../../lib/formula/cutView.ts";
import { SECTION_HEIGHT_PX, SECTION_WIDTH_PX, beadOutlinePx, pathText, sectionScale, sectionXPx, sectionYPx, supportPath, type BeadSize, type SectionScale } from "../../../lib/formula/sectionView.ts";
import type { SeenStation } from "./stationAt.ts";
import { plusMinus } from "./stationAt.ts";

/** A dimension line (ISO 129): arrows at both ends, the value beside it. Horizontal along x, vertical along y. */
function Dimension({ from, to, across, vertical, children }: { readonly from: number; readonly to: number; readonly across: number; readonly vertical: boolean; readonly children: string }) {
  const [low, high] = from < to ? [from, to] : [to, from];
  const line = vertical ? `M${across} ${low}V${high}` : `M${low} ${across}H${high}`;
  const arrow = (at: number, inward: number): string => (vertical ? `M${across} ${at}l-3.2 ${inward * 10}h6.4z` : `M${at} ${across}l${inward * 10} -3.2v6.4z`);
  return (
    <g className="dimension">
      <path d={line} />
      <path className="arrow" d={arrow(low, 1) + arrow(high, -1)} />
      {vertical ? <text x={across + 10} y={(low + high) / 2 + 6}>{children}</text> : <text x={(low + high) / 2} y={across + 22} textAnchor="middle">{children}</text>}
    </g>
  );
}

function WidthDimension({ station, bead, scale }: { readonly station: SeenStation; readonly bead: BeadSize; readonly scale: SectionScale }) {
  const left = sectionXPx(scale, bead.offsetMm + bead.widthMm / 2);
  const right = sectionXPx(scale, bead.offsetMm - bead.widthMm / 2);
  const y = scale.baseYPx + 24;
  return (
    <>
      <path className="extension" d={`M${left} ${scale.baseYPx + 5}V${y + 5}M${right} ${scale.baseYPx + 5}V${y + 5}`} />
      <Dimension from={left} to={right} across={y} vertical={false}>{plusMinus(station.widthMm, station.uWidthMm)}</Dimension>
    </>
  );
}

function HeightDimension({ station, bead, scale }: { readonly station: SeenStation; readonly bead: BeadSize; readonly scale: SectionScale }) {
  const top = sectionYPx(scale, bead.heightMm);
  const flank = Math.max(sectionXPx(scale, bead.offsetMm - bead.widthMm / 2), sectionXPx(scale, -station.plannedWidthMm / 2));
  const x = flank + 30;
  return (
    <>
      <path className="extension" d={`M${sectionXPx(scale, bead.offsetMm)} ${top}H${x + 5}M${flank + 5} ${scale.baseYPx}H${x + 5}`} />
      <Dimension from={top} to={scale.baseYPx} across={x} vertical>{plusMinus(station.heightMm, station.uHeightMm)}</Dimension>
    </>
  );
}

/** How far the bead's centre lies from its path; drawn where it can be told from a line's width. */
function OffsetDimension({ offsetMm, scale }: { readonly offsetMm: number; readonly scale: SectionScale }) {
  const planned = sectionXPx(scale, 0);
  const measured = sectionXPx(scale, offsetMm);
  return (
    <>
      <path className="centre-line" d={`M${planned} 24V${scale.baseYPx + 12}`} />
      <path className="centre-line measured" d={`M${measured} 24V${scale.baseYPx + 12}`} />
      {Math.abs(planned - measured) < 8 ? null : <path className="offset-line" d={`M${planned} 32H${measured}`} />}
      <text className="offset-words" x={(planned + measured) / 2} y={18} textAnchor="middle">{Math.abs(offsetMm).toFixed(2)}{offsetMm === 0 ? "" : offsetMm > 0 ? " left" : " right"}</text>
    </>
  );
}

interface SectionProps { readonly station: SeenStation; readonly shape: BeadShape; readonly cut: SectionCut | null }

/** The section at the chosen station: planned thin, measured thick, support thin and wavy, the counted area hatched, points used and not. Without a profile it is made of the station's numbers. */
export function Section({ station, shape, cut }: SectionProps) {
  const planned: BeadSize = { widthMm: station.plannedWidthMm, heightMm: station.plannedHeightMm, offsetMm: 0 };
  const measured: BeadSize | null = station.heightMm === null || station.heightMm <= 0
    ? null
    : { widthMm: station.widthMm ?? station.plannedWidthMm, heightMm: station.heightMm, offsetMm: station.offsetMm ?? 0 };
  const scale = sectionScale(measured === null ? [planned] : [planned, measured]);
  return (
    <svg className="section" viewBox={`0 0 ${SECTION_WIDTH_PX} ${SECTION_HEIGHT_PX}`} aria-hidden="true">
      {cut === null ? <Numbers scale={scale} shape={shape} measured={measured} seen={station.widthMm !== null} /> : <Profile scale={scale} cut={cut} />}
      <path className="planned-line" d={pathText(beadOutlinePx(scale, shape, planned))} />
      {station.offsetMm === null ? <path className="centre-line" d={`M${sectionXPx(scale, 0)} 24V${scale.baseYPx + 12}`} /> : <OffsetDimension offsetMm={station.offsetMm} scale={scale} />}
      {measured === null || station.widthMm === null ? null : <WidthDimension station={station} bead={measured} scale={scale} />}
      {measured === null ? null : <HeightDimension station={station} bead={measured} scale={scale} />}
    </svg>
  );
}

/** As a profile saw it. */
function Profile({ scale, cut }: { readonly scale: SectionScale; readonly cut: SectionCut }) {
  const marks = pointMarks(scale, cut);
  return (
    <>
      <defs>
        <pattern id="section-hatch" width="7" height="7" patternUnits="userSpaceOnUse"><path className="hatch-line" d="M-1 8L8 -1M-1 1L1 -1M6 8L8 6" /></pattern>
        <clipPath id="section-clip"><rect x={0} y={0} width={SECTION_WIDTH_PX} height={SECTION_HEIGHT_PX} /></clipPath>
      </defs>
      <g clipPath="url(#section-clip)">
        <path fill="url(#section-hatch)" d={countedAreaPx(scale, cut).map((area) => `${pathText(area)}Z`).join("")} />
        <path className="support-line" d={pathText(cutSupportPx(scale, cut))} />
        <path className="measured-line" d={measuredCutPx(scale, cut).map(pathText).join("")} />
        <path className="point-used" d={marks.used} />
        <path className="point-rejected" d={marks.rejected} />
      </g>
    </>
  );
}

interface NumbersProps { readonly scale: SectionScale; readonly shape: BeadShape; readonly measured: BeadSize | null; readonly seen: boolean }

/** A bead of the measured width, height and offset; dashed where a flank was not seen. */
function Numbers({ scale, shape, measured, seen }: NumbersProps) {
  return (
    <>
      {measured === null ? null : <path className="bead-body" d={`${pathText(beadOutlinePx(scale, shape, measured))}Z`} />}
      <path className="support-line" d={supportPath(scale)} />
      {measured === null ? null : <path className={seen ? "measured-line" : "hidden-line"} d={pathText(beadOutlinePx(scale, shape, measured))} />}
    </>
  );
}
