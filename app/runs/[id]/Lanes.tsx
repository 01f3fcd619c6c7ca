"use client";
import type { KeyboardEvent, MouseEvent, ReactNode } from "react";
import { useEffect, useEffectEvent, useLayoutEffect, useRef } from "react";
import { VERDICT_MARKS } from "../../../lib/model/marks.ts";
import { VERDICTS } from "../../../lib/model/result.ts";
import type { SheetFinding, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import { useInks } from "../../components/inks.ts";
import { useKept } from "../../components/useKept.ts";
import { drawLanes } from "./drawLanes.ts";
import { GUTTER_LEFT_PX, REVIEW_ROOM, isSameScale, laneScale, mostZoom, nearestStation, scaleWords, xPx, type LaneRoom } from "./laneGeometry.ts";
import { AXIS_PX, LaneGround, LaneMarks, TOP_PX, type Window } from "./LaneMarks.tsx";
import { LaneKey } from "./LaneKey.tsx";
import type { StationPick } from "./picks.ts";
import { useScrolled } from "./useScrolled.ts";
import { useZoom } from "./useZoom.ts";

const STATIONS_A_PAGE = 10;

function stationWords(strand: SheetStrand | undefined, station: number): string {
  const sMm = strand?.sMm[station];
  const verdict = VERDICTS[strand?.verdict[station] ?? -1];
  return strand === undefined || sMm === undefined || verdict === undefined ? "no station" : `strand ${strand.strand} at ${sMm.toFixed(1)} mm, ${VERDICT_MARKS[verdict].label.toLowerCase()}`;
}

/** Where a key leads from a station: along the strand, or to the same place of the next strand; null: not such a key. */
function ledBy(key: string, strands: readonly SheetStrand[], row: number, station: number): { strand: number; station: number } | null {
  const here = strands[row];
  if (here === undefined) return null;
  const along = { ArrowLeft: station - 1, ArrowRight: station + 1, PageUp: station - STATIONS_A_PAGE, PageDown: station + STATIONS_A_PAGE, Home: 0, End: here.sMm.length - 1 }[key];
  if (along !== undefined) return { strand: here.strand, station: Math.max(0, Math.min(here.sMm.length - 1, along)) };
  if (key !== "ArrowUp" && key !== "ArrowDown") return null;
  const there = strands[row + (key === "ArrowUp" ? -1 : 1)];
  return there === undefined ? { strand: here.strand, station } : { strand: there.strand, station: nearestStation(there, here.sMm[station] ?? 0) };
}

/** What every picture of one layer is given: its findings, the chosen place, and where a choice goes. */
export interface LayerPictureProps {
  readonly layer: SheetLayer;
  readonly findings: readonly SheetFinding[];
  readonly pick: StationPick;
  readonly selectedRank: number | null;
  readonly onStation: (pick: StationPick) => void;
  readonly onFinding: (rank: number) => void;
}

interface LanesProps extends LayerPictureProps {
  readonly room?: LaneRoom;
  /** Drawn over the lanes in view. */
  readonly over?: (view: Window) => ReactNode;
  /** Stands beside the zoom. */
  readonly beside?: ReactNode;
  /** The lanes have just been drawn. */
  readonly onDrawn?: () => void;
}

/** One layer's strands unrolled, each from above and below that from the side: planned thin, measured thick, hidden dashed, blank where nothing was seen. */
export function Lanes({ layer, findings, pick, selectedRank, onStation, onFinding, room = REVIEW_ROOM, over, beside, onDrawn }: LanesProps) {
  const { strands } = layer;
  const scroller = useRef<HTMLDivElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const { leftPx, topPx, viewPx } = useScrolled(scroller, 1000);
  const chosenRow = pick.layer === layer.layer ? strands.findIndex((strand) => strand.strand === pick.strand) : -1;
  const chosenStrand = strands[chosenRow];
  const chosenMm = chosenStrand?.sMm[pick.station] ?? 0;
  const zoom = useZoom(scroller, { most: mostZoom(strands, viewPx), aboutMm: chosenMm, pxPerMmAt: (factor) => laneScale(strands, viewPx, factor, room).pxPerMm, gutterPx: GUTTER_LEFT_PX });
  const scale = useKept(laneScale(strands, viewPx, zoom.factor, room), isSameScale);
  const lanesPx = 2 * TOP_PX + strands.length * scale.pitchPx;
  const heightPx = Math.min(room.mostPx, lanesPx);
  const view = { scale, leftPx, topPx, widthPx: viewPx, heightPx };
  const inks = useInks();
  const drawn = useEffectEvent(() => onDrawn?.());

  useLayoutEffect(() => {
    if (canvas.current === null) return;
    drawLanes(canvas.current, strands, { scale, leftPx, topPx, widthPx: viewPx, heightPx }, inks);
    drawn();
  }, [strands, scale, leftPx, topPx, viewPx, heightPx, inks]);
  // Not when the scale changes: who zooms looks where the pointer is.
  const followChosen = useEffectEvent((sMm: number, row: number) => keepInView(scroller.current, { xPx: xPx(scale, sMm), yPx: TOP_PX + row * scale.pitchPx, pitchPx: scale.pitchPx }));
  useEffect(() => followChosen(chosenMm, chosenRow), [chosenMm, chosenRow]);

  const chooseAt = (event: MouseEvent<SVGSVGElement>): void => {
    const box = event.currentTarget.getBoundingClientRect();
    const strand = strands[Math.floor((event.clientY - box.top + topPx - TOP_PX) / scale.pitchPx)];
    if (strand === undefined || event.clientY - box.top > heightPx) return;
    onStation({ layer: layer.layer, strand: strand.strand, station: nearestStation(strand, (event.clientX - box.left + leftPx - GUTTER_LEFT_PX) / scale.pxPerMm) });
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const next = ledBy(event.key, strands, Math.max(0, chosenRow), pick.station);
    if (next === null && !zoom.onKey(event.key)) return;
    event.preventDefault();
    if (next !== null) onStation({ layer: layer.layer, ...next });
  };

  return (
    <figure className="lanes">
      <figcaption>
        <span>Layer {layer.layer} · {scale.basePx === null ? "unrolled, from above" : "strands unrolled, from above and from the side"} · {scaleWords(scale)}</span>
        <LaneKey layer={layer} />
        {beside}
        <span className="zoom" role="group" aria-label="Zoom along the strands">
          <button type="button" onClick={() => zoom.by(1 / 2)} disabled={zoom.factor <= 1} aria-label="Zoom out">−</button>
          <button type="button" onClick={() => zoom.by(2)} disabled={zoom.factor >= zoom.most} aria-label="Zoom in">+</button>
          <button type="button" onClick={() => zoom.by(0)} disabled={zoom.factor <= 1}>all</button>
        </span>
      </figcaption>
      <div
        ref={scroller} className="lanes-view" style={{ height: heightPx + AXIS_PX }} tabIndex={0} role="slider" aria-orientation="horizontal" aria-label={`Station in layer ${layer.layer}`}
        aria-valuemin={0} aria-valuemax={Math.max(0, (chosenStrand?.sMm.length ?? 1) - 1)} aria-valuenow={chosenRow < 0 ? 0 : pick.station} aria-valuetext={stationWords(chosenStrand, pick.station)} onKeyDown={onKeyDown}
      >
        <div className="lanes-all" style={{ width: zoom.factor > 1 ? scale.widthPx : "100%", height: lanesPx + AXIS_PX }}>
          <div className="lanes-window" style={{ width: viewPx, height: heightPx + AXIS_PX }}>
            <svg width={viewPx} height={heightPx + AXIS_PX} aria-hidden="true"><LaneGround layer={layer} view={view} pick={pick} /></svg>
            <canvas ref={canvas} aria-hidden="true" />
            <svg width={viewPx} height={heightPx + AXIS_PX} aria-hidden="true" onClick={chooseAt}>
              <LaneMarks layer={layer} view={view} pick={pick} findings={findings} selectedRank={selectedRank} onFinding={onFinding} prefix={`layer-${layer.layer}`} />
              {over?.(view)}
            </svg>
          </div>
        </div>
      </div>
      <p className="hint" aria-hidden="true">← → station, ↑ ↓ strand, + − zoom, 0 all</p>
    </figure>
  );
}

/** Scrolls no more than needed for the chosen station to be seen. */
function keepInView(scroller: HTMLDivElement | null, { xPx: x, yPx: y, pitchPx }: { readonly xPx: number; readonly yPx: number; readonly pitchPx: number }): void {
  if (scroller === null) return;
  const { scrollLeft, scrollTop, clientWidth } = scroller;
  const heightPx = scroller.clientHeight - AXIS_PX;
  const margin = 40;
  const left = x < scrollLeft + GUTTER_LEFT_PX ? x - GUTTER_LEFT_PX - margin : x > scrollLeft + clientWidth - margin ? x - clientWidth + 2 * margin : scrollLeft;
  const top = y < scrollTop ? y : y + pitchPx > scrollTop + heightPx ? y + pitchPx - heightPx : scrollTop;
  if (left !== scrollLeft || top !== scrollTop) scroller.scrollTo({ left, top });
}
