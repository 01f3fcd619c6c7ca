"use client";
import type { CSSProperties, KeyboardEvent, MouseEvent } from "react";
import { memo, useMemo } from "react";
import { FINDING_MARKS, VERDICT_MARKS } from "../../../lib/model/marks.ts";
import type { SheetFinding, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import { MarkPatterns } from "../../components/MarkPatterns.tsx";
import type { LaneScale } from "./laneGeometry.ts";
import { GUTTER_LEFT_PX, GUTTER_RIGHT_PX, axisTicks, bodyPath, flankPath, laneScale, measuredOutlines, nearestStation, plannedPath, scaleWords, xPx } from "./laneGeometry.ts";
import { useWidth } from "./useWidth.ts";

/** A station of a strand of a layer, by its index. */
export interface StationPick { readonly layer: number; readonly strand: number; readonly station: number }

const TOP_PX = 6;
const AXIS_PX = 30;
const LETTER_PX = 20;

const Lane = memo(function Lane({ strand, scale }: { readonly strand: SheetStrand; readonly scale: LaneScale }) {
  const outlines = useMemo(() => measuredOutlines(strand, scale), [strand, scale]);
  return (
    <>
      {outlines.map((outline) => <path key={outline.xPx[0]} className="bead-body" d={bodyPath(outline)} />)}
      <path className="planned-line" d={plannedPath(strand, scale)} />
      {outlines.map((outline) => <path key={outline.xPx[0]} className="measured-line" d={flankPath(outline, "seen")} />)}
      {outlines.map((outline) => <path key={outline.xPx[0]} className="hidden-line" d={flankPath(outline, "hidden")} />)}
    </>
  );
});

interface StretchProps { readonly finding: SheetFinding; readonly scale: LaneScale; readonly prefix: string; readonly selected: boolean; readonly onPick: (rank: number) => void }

/** A finding in its lane: pattern over the stretch, letter in a box before it. Body off the path: a disc of its footprint. */
function Stretch({ finding, scale, prefix, selected, onPick }: StretchProps) {
  const from = xPx(scale, finding.fromMm);
  const to = Math.max(from + 2, xPx(scale, finding.toMm));
  const halfPx = scale.pitchPx / 2 - 3;
  const letterX = from - LETTER_PX - 1 < GUTTER_LEFT_PX - 8 ? from + 2 : from - LETTER_PX - 1;
  const mark = FINDING_MARKS[finding.kind];
  const discPx = Math.max(4, Math.sqrt((finding.areaMm2 ?? 0) / Math.PI) * scale.pxPerMm);
  const fill = `url(#${prefix}-${finding.kind})`;
  return (
    <g
      className={`stretch ${finding.severity} ${finding.kind}${selected ? " selected" : ""}`} style={{ "--mark": `var(--mark-${finding.kind})` } as CSSProperties}
      onClick={(event) => { event.stopPropagation(); onPick(finding.rank); }}
    >
      {finding.offPath
        ? <ellipse cx={xPx(scale, finding.sMm)} cy={0} rx={discPx} ry={Math.min(discPx, halfPx)} fill={fill} className="extent" />
        : <rect x={from} y={-halfPx} width={to - from} height={2 * halfPx} fill={fill} className="extent" />}
      <rect className="letter-box" x={letterX} y={-LETTER_PX / 2} width={LETTER_PX} height={LETTER_PX} />
      <text className="letter" x={letterX + LETTER_PX / 2} y={5}>{mark.letter}</text>
    </g>
  );
}

function stationWords(strand: SheetStrand | undefined, station: number): string {
  const sMm = strand?.sMm[station];
  const verdict = strand?.verdict[station];
  return strand === undefined || sMm === undefined || verdict === undefined ? "no station" : `strand ${strand.strand} at ${sMm.toFixed(1)} mm, ${VERDICT_MARKS[verdict].label.toLowerCase()}`;
}

export interface LanesProps {
  readonly layer: SheetLayer;
  readonly findings: readonly SheetFinding[];
  readonly pick: StationPick;
  readonly selectedRank: number | null;
  readonly onStation: (pick: StationPick) => void;
  readonly onFinding: (rank: number) => void;
}

/** One layer's strands unrolled: planned thin, measured thick, hidden dashed, blank where nothing was seen. */
export function Lanes({ layer, findings, pick, selectedRank, onStation, onFinding }: LanesProps) {
  const [holder, widthPx] = useWidth<HTMLDivElement>(1000);
  const { strands } = layer;
  const scale = useMemo(() => laneScale(strands, widthPx), [strands, widthPx]);
  const longestMm = strands.reduce((longest, strand) => Math.max(longest, strand.lengthMm), 0);
  const lanesPx = strands.length * scale.pitchPx;
  const chosen = pick.layer === layer.layer ? strands.findIndex((strand) => strand.strand === pick.strand) : -1;
  const chosenStrand = strands[chosen];
  const middlePx = (row: number): number => TOP_PX + (row + 0.5) * scale.pitchPx;

  const chooseAt = (event: MouseEvent<SVGSVGElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const row = Math.floor(((event.clientY - box.top) * (widthPx / box.width) - TOP_PX) / scale.pitchPx);
    const strand = strands[row];
    if (strand === undefined) return;
    const sMm = ((event.clientX - box.left) * (widthPx / box.width) - GUTTER_LEFT_PX) / scale.pxPerMm;
    onStation({ layer: layer.layer, strand: strand.strand, station: nearestStation(strand, sMm) });
  };
  const step = (event: KeyboardEvent): void => {
    const next = stepped(event.key, strands, Math.max(0, chosen), pick.station);
    if (next === null) return;
    event.preventDefault();
    onStation({ layer: layer.layer, ...next });
  };

  return (
    <figure className="lanes">
      <figcaption><span>Layer {layer.layer} · strands unrolled · width against plan · {scaleWords(scale)}</span><LineKey /></figcaption>
      <div
        ref={holder} className="lanes-holder" tabIndex={0} role="slider" aria-orientation="horizontal" aria-label={`Station in layer ${layer.layer}`}
        aria-valuemin={0} aria-valuemax={Math.max(0, (chosenStrand?.sMm.length ?? 1) - 1)} aria-valuenow={chosen < 0 ? 0 : pick.station} aria-valuetext={stationWords(chosenStrand, pick.station)} onKeyDown={step}
      >
        <svg viewBox={`0 0 ${widthPx} ${TOP_PX + lanesPx + AXIS_PX}`} onClick={chooseAt} aria-hidden="true">
          <MarkPatterns prefix={`layer-${layer.layer}`} />
          <Axis endMm={longestMm} scale={scale} topPx={TOP_PX} bottomPx={TOP_PX + lanesPx} />
          {strands.map((strand, row) => (
            <g key={strand.strand} transform={`translate(0 ${middlePx(row)})`}>
              {row === chosen ? <rect className="lane-chosen" x={0} y={-scale.pitchPx / 2} width={widthPx} height={scale.pitchPx} /> : null}
              <text className={row === chosen ? "lane-name chosen" : "lane-name"} x={GUTTER_LEFT_PX - 14} y={5}>{strand.strand}{strand.closed ? " ○" : ""}</text>
              <Lane strand={strand} scale={scale} />
            </g>
          ))}
          {chosenStrand === undefined || pick.station < 0 ? null : (
            <line className="centre-line" x1={xPx(scale, chosenStrand.sMm[pick.station] ?? 0)} x2={xPx(scale, chosenStrand.sMm[pick.station] ?? 0)} y1={middlePx(chosen) - scale.pitchPx / 2 - 4} y2={middlePx(chosen) + scale.pitchPx / 2 + 4} />
          )}
          {[...findings].sort((a, b) => Number(a.rank === selectedRank) - Number(b.rank === selectedRank)).map((finding) => {
            const row = strands.findIndex((strand) => strand.strand === finding.strand);
            return row < 0 ? null : (
              <g key={finding.rank} transform={`translate(0 ${middlePx(row)})`}>
                <Stretch finding={finding} scale={scale} prefix={`layer-${layer.layer}`} selected={finding.rank === selectedRank} onPick={onFinding} />
              </g>
            );
          })}
        </svg>
      </div>
      <p className="hint" aria-hidden="true">← → station, ↑ ↓ strand</p>
    </figure>
  );
}

/** Where an arrow key leads from a station: along the strand, or to the same place of the next strand; null: not such a key. */
function stepped(key: string, strands: readonly SheetStrand[], row: number, station: number): { strand: number; station: number } | null {
  const here = strands[row];
  if (here === undefined) return null;
  const along = { ArrowLeft: station - 1, ArrowRight: station + 1, Home: 0, End: here.sMm.length - 1 }[key];
  if (along !== undefined) return { strand: here.strand, station: Math.max(0, Math.min(here.sMm.length - 1, along)) };
  const there = { ArrowUp: strands[row - 1], ArrowDown: strands[row + 1] }[key];
  if (key !== "ArrowUp" && key !== "ArrowDown") return null;
  return there === undefined ? { strand: here.strand, station } : { strand: there.strand, station: nearestStation(there, here.sMm[station] ?? 0) };
}

/** What the line types mean (ISO 128). */
function LineKey() {
  const lines = [["planned-line", "planned"], ["measured-line", "measured"], ["hidden-line", "flank not seen"]] as const;
  return (
    <span className="line-key">
      {lines.map(([line, words]) => <span key={line}><svg viewBox="0 0 28 8" aria-hidden="true"><path className={line} d="M1 4H27" /></svg>{words}</span>)}
    </span>
  );
}

interface AxisProps { readonly endMm: number; readonly scale: LaneScale; readonly topPx: number; readonly bottomPx: number }

function Axis({ endMm, scale, topPx, bottomPx }: AxisProps) {
  const ticks = axisTicks(endMm, scale.pxPerMm, 90);
  return (
    <g>
      {ticks.map((tick, i) => (
        <g key={tick}>
          <line className="grid-line" x1={xPx(scale, tick)} x2={xPx(scale, tick)} y1={topPx} y2={bottomPx + 5} />
          <text className="axis-number" x={Math.min(xPx(scale, tick), scale.widthPx - GUTTER_RIGHT_PX)} y={bottomPx + 21}>{Number(tick.toFixed(2))}{i === ticks.length - 1 ? " mm" : ""}</text>
        </g>
      ))}
    </g>
  );
}
