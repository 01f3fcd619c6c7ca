"use client";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";
import { GUTTER_LEFT_PX, xPx } from "../laneGeometry.ts";
import { TOP_PX, type Window } from "../LaneMarks.tsx";
import type { Stretch } from "./marking.ts";

interface Props { readonly layer: SheetLayer; readonly view: Window; readonly nozzle: LiveWords["nozzle"]; readonly newest: LiveWords["newest"]; readonly stretch: Stretch | null }

/** What a print that goes on adds to its lanes: the nozzle ahead of what was seen, and the stretch that is being marked as taken off. */
export function LaneOver({ layer, view, nozzle, newest, stretch }: Props) {
  const { scale, leftPx, topPx, heightPx, widthPx } = view;
  const yOf = (strand: number): number | null => {
    const row = layer.strands.findIndex((each) => each.strand === strand);
    return row < 0 ? null : TOP_PX + row * scale.pitchPx - topPx;
  };
  const x = (sMm: number): number => xPx(scale, sMm) - leftPx;
  const nozzleY = nozzle?.layer === layer.layer ? yOf(nozzle.strand) : null, stretchY = stretch?.layer === layer.layer ? yOf(stretch.strand) : null;
  const seenMm = newest?.layer === nozzle?.layer && newest?.strand === nozzle?.strand ? newest?.sMm ?? 0 : 0;
  return (
    <>
      <clipPath id="lane-over-clip"><rect x={GUTTER_LEFT_PX - 9} y={0} width={widthPx} height={heightPx} /></clipPath>
      <g clipPath="url(#lane-over-clip)" className="lane-over">
        {stretch === null || stretchY === null ? null : (
          <g className="taken-off">
            <rect x={x(stretch.fromMm)} y={stretchY + 1.5} width={Math.max(3, x(stretch.toMm) - x(stretch.fromMm))} height={scale.pitchPx - 3} />
            <path d={`M${x(stretch.fromMm)} ${stretchY - 2}v${scale.pitchPx + 4}M${x(stretch.toMm)} ${stretchY - 2}v${scale.pitchPx + 4}`} />
          </g>
        )}
        {nozzle === null || nozzleY === null ? null : (
          <g className={nozzle.isLaying ? "lane-nozzle" : "lane-nozzle idle"}>
            <path className="unseen" d={`M${x(Math.min(seenMm, nozzle.sMm))} ${nozzleY + scale.pathPx}H${x(nozzle.sMm)}`} />
            <path className="tip" d={`M${x(nozzle.sMm)} ${nozzleY + scale.pathPx}l-7 -12v-8h14v8z`} />
            {nozzle.behindMm === null ? null : <text x={x(nozzle.sMm) + 12} y={nozzleY + scale.pathPx + 5}>{nozzle.behindMm.toFixed(1)} mm ahead</text>}
          </g>
        )}
      </g>
    </>
  );
}
