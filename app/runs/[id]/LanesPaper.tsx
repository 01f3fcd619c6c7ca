"use client";
import { useMemo } from "react";
import type { SheetFinding, SheetLayer } from "../../../lib/model/sheet.ts";
import { laneScale, scaleWords } from "./laneGeometry.ts";
import { AXIS_PX, LaneGround, LaneMarks, TOP_PX } from "./LaneMarks.tsx";
import { LaneKey } from "./LaneKey.tsx";
import { pathPen, type Pen } from "../../../lib/formula/laneEdges.ts";
import { traceBody, traceCamera, traceHidden, traceMeasured, tracePlanned } from "./laneTrace.ts";
import type { StationPick } from "./picks.ts";

/** Width that a layer is drawn in, then scaled to the sheet, px. */
const PAPER_PX = 1000;
/** Lanes of one drawing: it fits a landscape A4 sheet. */
const LANES_A_SHEET = 9;

interface Props { readonly layer: SheetLayer; readonly findings: readonly SheetFinding[]; readonly pick: StationPick; readonly selectedRank: number | null }

/** A layer's strands unrolled on paper: all of them, in lines and not in dots. */
export function LanesPaper(props: Props) {
  const { layer } = props;
  const parts = Array.from({ length: Math.ceil(layer.strands.length / LANES_A_SHEET) }, (_, i) => layer.strands.slice(i * LANES_A_SHEET, (i + 1) * LANES_A_SHEET));
  return parts.map((strands, i) => <Part key={strands[0]?.strand} {...props} layer={{ ...layer, strands }} part={parts.length > 1 ? ` · ${i + 1} of ${parts.length}` : ""} />);
}

function Part({ layer, findings, pick, selectedRank, part }: Props & { readonly part: string }) {
  const { strands } = layer;
  const scale = useMemo(() => laneScale(strands, PAPER_PX), [strands]);
  const heightPx = 2 * TOP_PX + strands.length * scale.pitchPx;
  const view = { scale, leftPx: 0, topPx: 0, widthPx: PAPER_PX, heightPx };
  const path = (trace: (pen: Pen, strand: SheetLayer["strands"][number], lane: { scale: typeof scale; topPx: number; leftPx: number; viewPx: number }) => void): string => {
    const pen = pathPen();
    strands.forEach((strand, row) => trace(pen, strand, { scale, topPx: TOP_PX + row * scale.pitchPx, leftPx: 0, viewPx: PAPER_PX }));
    return pen.text();
  };
  const shown = findings.filter((finding) => strands.some((strand) => strand.strand === finding.strand));
  return (
    <figure className="lanes">
      <figcaption><span>Layer {layer.layer} · strands unrolled, from above and from the side{part} · {scaleWords(scale)}</span><LaneKey layer={layer} /></figcaption>
      <svg className="lanes-paper" viewBox={`0 0 ${PAPER_PX} ${heightPx + AXIS_PX}`} aria-hidden="true">
        <LaneGround layer={layer} view={view} pick={pick} />
        <path className="bead-body" d={path(traceBody)} />
        <path className="planned-line" d={path(tracePlanned)} />
        <path className="measured-line" d={path(traceMeasured)} />
        <path className="hidden-line" d={path(traceHidden)} />
        <path className="camera-line" d={path(traceCamera)} />
        <LaneMarks layer={layer} view={view} pick={pick} findings={shown} selectedRank={selectedRank} onFinding={() => undefined} prefix={`paper-${layer.layer}-${strands[0]?.strand}`} />
      </svg>
    </figure>
  );
}
