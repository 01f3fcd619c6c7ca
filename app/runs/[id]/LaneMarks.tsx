"use client";
import type { CSSProperties } from "react";
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { SheetFinding, SheetLayer } from "../../../lib/model/sheet.ts";
import { MarkPatterns } from "../../components/MarkPatterns.tsx";
import type { LaneScale } from "./laneGeometry.ts";
import { GUTTER_LEFT_PX, GUTTER_RIGHT_PX, axisTicks, xPx } from "./laneGeometry.ts";
import type { StationPick } from "./picks.ts";

export const TOP_PX = 6;
export const AXIS_PX = 30;
const LETTER_PX = 20;

/** The part of the lanes that a picture shows: from (leftPx, topPx) of all of them, so wide and so high (the axis below not counted). */
export interface Window { readonly scale: LaneScale; readonly leftPx: number; readonly topPx: number; readonly widthPx: number; readonly heightPx: number }

/** Rows of lanes in view, as [from, to). */
export function rowsInView({ scale, topPx, heightPx }: Window, count: number): readonly [number, number] {
  return [Math.max(0, Math.floor((topPx - TOP_PX) / scale.pitchPx)), Math.min(count, Math.ceil((topPx + heightPx - TOP_PX) / scale.pitchPx))];
}

interface StretchProps { readonly finding: SheetFinding; readonly view: Window; readonly prefix: string; readonly selected: boolean; readonly lettered: boolean; readonly onPick: (rank: number) => void }

/** A finding in its lane: pattern over the stretch, letter in a box before it. Body off the path: a disc of its footprint. */
function Stretch({ finding, view, prefix, selected, lettered, onPick }: StretchProps) {
  const { scale } = view;
  const from = xPx(scale, finding.fromMm) - view.leftPx;
  const to = Math.max(from + 2, xPx(scale, finding.toMm) - view.leftPx);
  const discPx = Math.max(4, Math.sqrt((finding.areaMm2 ?? 0) / Math.PI) * scale.pxPerMm);
  const halfPx = scale.pathPx - 2;
  const letterX = letterPx(finding, view);
  const fill = `url(#${prefix}-${finding.kind})`;
  return (
    <g
      className={`stretch ${finding.severity} ${finding.kind}${selected ? " selected" : ""}`} style={{ "--mark": `var(--mark-${finding.kind})` } as CSSProperties}
      onClick={(event) => { event.stopPropagation(); onPick(finding.rank); }}
    >
      {finding.offPath
        ? <ellipse cx={xPx(scale, finding.sMm) - view.leftPx} cy={scale.pathPx} rx={discPx} ry={Math.min(discPx, halfPx)} fill={fill} className="extent" />
        : <rect x={from} y={2} width={to - from} height={scale.pitchPx - 4} fill={fill} className="extent" />}
      {lettered ? <rect className="letter-box" x={letterX} y={scale.pathPx - LETTER_PX / 2} width={LETTER_PX} height={LETTER_PX} /> : null}
      {lettered ? <text className="letter" x={letterX + LETTER_PX / 2} y={scale.pathPx + 5}>{FINDING_MARKS[finding.kind].letter}</text> : null}
    </g>
  );
}

/** The letter stands before its stretch, or in it where there is no room before. */
function letterPx(finding: SheetFinding, { scale, leftPx }: Window): number {
  const from = xPx(scale, finding.fromMm) - leftPx;
  return from - LETTER_PX - 1 < GUTTER_LEFT_PX - 8 ? Math.max(from + 2, GUTTER_LEFT_PX + 2) : from - LETTER_PX - 1;
}

/** Ranks whose letters have room: worse findings first, the chosen one before all. */
function letteredRanks(findings: readonly SheetFinding[], view: Window, selectedRank: number | null): Set<number> {
  const taken = new Map<number, number[]>();
  const kept = new Set<number>();
  for (const finding of [...findings].sort((a, b) => Number(b.rank === selectedRank) - Number(a.rank === selectedRank) || a.rank - b.rank)) {
    const x = letterPx(finding, view);
    const others = taken.get(finding.strand) ?? [];
    if (others.some((other) => Math.abs(other - x) < LETTER_PX)) continue;
    taken.set(finding.strand, [...others, x]);
    kept.add(finding.rank);
  }
  return kept;
}

function inView(finding: SheetFinding, { scale, leftPx, widthPx }: Window): boolean {
  return xPx(scale, finding.toMm) >= leftPx - LETTER_PX && xPx(scale, finding.fromMm) <= leftPx + widthPx + LETTER_PX;
}

function Axis({ endMm, view }: { readonly endMm: number; readonly view: Window }) {
  const { scale, leftPx, widthPx, heightPx } = view;
  const mm = (px: number): number => (px - GUTTER_LEFT_PX) / scale.pxPerMm;
  const ticks = axisTicks(endMm, scale.pxPerMm, 90, [mm(leftPx + GUTTER_LEFT_PX), Math.min(endMm, mm(leftPx + widthPx))]);
  return (
    <>
      {ticks.map((tick, i) => (
        <g key={tick}>
          <line className="grid-line" x1={xPx(scale, tick) - leftPx} x2={xPx(scale, tick) - leftPx} y1={0} y2={heightPx + 5} />
          <text className="axis-number" x={Math.min(xPx(scale, tick) - leftPx, widthPx - GUTTER_RIGHT_PX)} y={heightPx + 21}>{Number(tick.toFixed(3))}{i === ticks.length - 1 ? " mm" : ""}</text>
        </g>
      ))}
    </>
  );
}

interface GroundProps { readonly layer: SheetLayer; readonly view: Window; readonly pick: StationPick }

/** What lies under the beads: the grid of lengths and the chosen lane. */
export function LaneGround({ layer, view, pick }: GroundProps) {
  const { scale, topPx, widthPx } = view;
  const row = pick.layer === layer.layer ? layer.strands.findIndex((strand) => strand.strand === pick.strand) : -1;
  const longestMm = layer.strands.reduce((longest, strand) => Math.max(longest, strand.lengthMm), 0);
  return (
    <>
      {row < 0 ? null : <rect className="lane-chosen" x={0} y={TOP_PX + row * scale.pitchPx - topPx} width={widthPx} height={scale.pitchPx} />}
      <Axis endMm={longestMm} view={view} />
    </>
  );
}

export interface MarksProps extends GroundProps {
  readonly findings: readonly SheetFinding[];
  readonly selectedRank: number | null;
  readonly onFinding: (rank: number) => void;
  /** Keeps ids of several drawings apart. */
  readonly prefix: string;
}

/** What stands over the beads: names, findings, the chosen station. Only what is in view. */
export function LaneMarks({ layer, view, pick, findings, selectedRank, onFinding, prefix }: MarksProps) {
  const { scale, topPx, leftPx, heightPx } = view;
  const { strands } = layer;
  const [fromRow, toRow] = rowsInView(view, strands.length);
  const rowOf = new Map(strands.slice(fromRow, toRow).map((strand, i) => [strand.strand, fromRow + i]));
  const yPx = (row: number): number => TOP_PX + row * scale.pitchPx - topPx;
  const chosenRow = pick.layer === layer.layer ? rowOf.get(pick.strand) : undefined;
  const chosenMm = chosenRow === undefined ? undefined : strands[chosenRow]?.sMm[pick.station];
  const shown = findings.filter((finding) => rowOf.has(finding.strand) && inView(finding, view));
  const lettered = letteredRanks(shown, view, selectedRank);
  return (
    <>
      <MarkPatterns prefix={prefix} />
      <clipPath id={`${prefix}-clip`}><rect x={GUTTER_LEFT_PX - 9} y={0} width={view.widthPx} height={heightPx} /></clipPath>
      <clipPath id={`${prefix}-names`}><rect x={0} y={0} width={GUTTER_LEFT_PX} height={heightPx} /></clipPath>
      <g clipPath={`url(#${prefix}-clip)`}>
        {chosenRow === undefined || chosenMm === undefined ? null : (
          <line className="centre-line" x1={xPx(scale, chosenMm) - leftPx} x2={xPx(scale, chosenMm) - leftPx} y1={yPx(chosenRow) - 3} y2={yPx(chosenRow) + scale.pitchPx + 3} />
        )}
        {[...shown].sort((a, b) => Number(a.rank === selectedRank) - Number(b.rank === selectedRank)).map((finding) => (
          <g key={finding.rank} transform={`translate(0 ${yPx(rowOf.get(finding.strand) as number)})`}>
            <Stretch finding={finding} view={view} prefix={prefix} selected={finding.rank === selectedRank} lettered={lettered.has(finding.rank)} onPick={onFinding} />
          </g>
        ))}
      </g>
      <g clipPath={`url(#${prefix}-names)`}>
        {[...rowOf].map(([strand, row]) => (
          <text key={strand} className={row === chosenRow ? "lane-name chosen" : "lane-name"} x={GUTTER_LEFT_PX - 14} y={yPx(row) + scale.pathPx + 5}>{strand}{strands[row]?.closed ? " ○" : ""}</text>
        ))}
      </g>
    </>
  );
}
