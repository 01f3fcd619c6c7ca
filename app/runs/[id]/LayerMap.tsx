"use client";
import type { CSSProperties, MouseEvent } from "react";
import { memo, useMemo } from "react";
import { useKept } from "../../components/useKept.ts";
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { Verdict } from "../../../lib/model/result.ts";
import type { LayerFrame, SheetFinding, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import { MarkPatterns } from "../../components/MarkPatterns.tsx";
import { LaneKey } from "./LaneKey.tsx";
import type { LayerPictureProps } from "./Lanes.tsx";
import { pathPen, type Pen } from "../../../lib/formula/laneEdges.ts";
import type { MapScale } from "../../../lib/formula/layerMap.ts";
import { LETTER_PX, MAP_VERDICTS, MAP_WIDTH_PX, barMm, discMm, isSameMap, mapScale, nearestOnMap, placeLetters, planAxes, traceFlanks, traceMapBody, traceVerdict } from "../../../lib/formula/layerMap.ts";

type Trace = (pen: Pen, strand: SheetStrand, scale: MapScale) => void;
const BODY: Trace = traceMapBody;
const PLANNED: Trace = (pen, strand, scale) => traceFlanks(pen, strand, scale, "planned");
const SEEN: Trace = (pen, strand, scale) => traceFlanks(pen, strand, scale, "seen");
const HIDDEN: Trace = (pen, strand, scale) => traceFlanks(pen, strand, scale, "hidden");
const CAMERA: Trace = (pen, strand, scale) => traceFlanks(pen, strand, scale, "camera");
const VERDICT_TRACES = Object.entries(MAP_VERDICTS).map(([verdict, kind]) => ({ kind, trace: ((pen, strand, scale) => traceVerdict(pen, strand, scale, verdict as Verdict)) satisfies Trace }));

/** One kind of line of one strand: made again only where that strand has changed. */
const Line = memo(function Line({ strand, scale, trace }: { readonly strand: SheetStrand; readonly scale: MapScale; readonly trace: Trace }) {
  const pen = pathPen();
  trace(pen, strand, scale);
  const d = pen.text();
  return d === "" ? null : <path d={d} />;
});

interface BeadsProps { readonly strands: readonly SheetStrand[]; readonly scale: MapScale; readonly prefix: string }

function Beads({ strands, scale, prefix }: BeadsProps) {
  const lines = (trace: Trace) => strands.map((strand) => <Line key={strand.strand} strand={strand} scale={scale} trace={trace} />);
  return (
    <>
      <g className="bead-body">{lines(BODY)}</g>
      {VERDICT_TRACES.map(({ kind, trace }) => (
        <g key={kind} className={`map-verdict ${kind}`} style={{ "--mark": `var(--mark-${kind})` } as CSSProperties} fill={`url(#${prefix}-${kind})`}>{lines(trace)}</g>
      ))}
      <g className="planned-line">{lines(PLANNED)}</g>
      <g className="measured-line map-measured">{lines(SEEN)}</g>
      <g className="hidden-line">{lines(HIDDEN)}</g>
      <g className="camera-line">{lines(CAMERA)}</g>
      {strands.map((strand) => (strand.sMm.length === 0 ? null : <text key={strand.strand} className="map-name" x={scale.x(strand.xMm[0] as number)} y={scale.y(strand.yMm[0] as number)}>{strand.strand}</text>))}
    </>
  );
}

function Axes({ frame, heightPx }: { readonly frame: LayerFrame; readonly heightPx: number }) {
  const [x, y, long] = [38, heightPx - 34, 22];
  return (
    <g className="plan-axes">
      {planAxes(frame).map(({ name, right, up }) => (
        <g key={name}>
          <path d={`M${x} ${y}l${right * long} ${-up * long}`} />
          <text x={x + right * (long + 9)} y={y - up * (long + 9) + 5}>{name}</text>
        </g>
      ))}
    </g>
  );
}

function ScaleBar({ scale }: { readonly scale: MapScale }) {
  const mm = barMm(scale);
  const [right, y] = [MAP_WIDTH_PX - 16, scale.heightPx - 14];
  const left = right - mm * scale.pxPerMm;
  return <g className="scale-bar"><path d={`M${left} ${y - 5}V${y + 5}M${right} ${y - 5}V${y + 5}M${left} ${y}H${right}`} /><text x={(left + right) / 2} y={y - 7}>{mm} mm</text></g>;
}

/** One layer as it lies, seen along its normal, to one scale: verdicts by pattern, findings by letter, bodies off the path by a disc of their footprint. */
export function LayerMap({ layer, findings, pick, selectedRank, onStation, onFinding }: LayerPictureProps) {
  const { strands } = layer;
  const scale = useKept(mapScale(strands, findings), isSameMap);
  const letters = useMemo(() => placeLetters(findings, scale), [findings, scale]);
  const prefix = `map-${layer.layer}`;
  const chosen = strands.find((strand) => strand.strand === pick.strand && pick.layer === layer.layer);
  const [atX, atY] = [chosen?.xMm[pick.station], chosen?.yMm[pick.station]];
  const chooseAt = (event: MouseEvent<SVGSVGElement>): void => {
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(event.currentTarget.getScreenCTM()?.inverse());
    const xMm = (at.x - scale.x(0)) / scale.pxPerMm, yMm = (scale.y(0) - at.y) / scale.pxPerMm;
    const found = nearestOnMap(strands, xMm, yMm);
    if (found !== null) onStation({ layer: layer.layer, ...found });
  };
  return (
    <figure className="layer-map">
      <figcaption><span>Layer {layer.layer} · {layer.frameWords}</span><LaneKey layer={layer} /></figcaption>
      <svg viewBox={`0 0 ${MAP_WIDTH_PX} ${scale.heightPx}`} aria-hidden="true" onClick={chooseAt}>
        <MarkPatterns prefix={prefix} />
        <Beads strands={strands} scale={scale} prefix={prefix} />
        {findings.filter((finding) => finding.offPath).map((finding) => (
          <circle key={finding.rank} className="map-disc" style={{ "--mark": `var(--mark-${finding.kind})` } as CSSProperties} cx={scale.x(finding.xMm)} cy={scale.y(finding.yMm)} r={Math.max(3, discMm(finding.areaMm2) * scale.pxPerMm)} fill={`url(#${prefix}-${finding.kind})`} />
        ))}
        {atX === undefined || atY === undefined ? null : <path className="map-chosen" d={`M${scale.x(atX) - 16} ${scale.y(atY)}h32M${scale.x(atX)} ${scale.y(atY) - 16}v32`} />}
        {letters.map(({ rank, xPx, yPx }) => {
          const finding = findings.find((each) => each.rank === rank) as SheetFinding;
          return (
            <g key={rank} className={`stretch ${finding.severity}${rank === selectedRank ? " selected" : ""}`} style={{ "--mark": `var(--mark-${finding.kind})` } as CSSProperties} onClick={(event) => { event.stopPropagation(); onFinding(rank); }}>
              <path className="leader" d={`M${scale.x(finding.xMm)} ${scale.y(finding.yMm)}L${xPx} ${yPx}`} />
              <rect className="letter-box" x={xPx - LETTER_PX / 2} y={yPx - LETTER_PX / 2} width={LETTER_PX} height={LETTER_PX} />
              <text className="letter" x={xPx} y={yPx + 5}>{FINDING_MARKS[finding.kind].letter}</text>
            </g>
          );
        })}
        <Axes frame={layer.frame} heightPx={scale.heightPx} />
        <ScaleBar scale={scale} />
      </svg>
      <p className="read-aloud">{mapWords(layer, findings)}</p>
    </figure>
  );
}

/** The map in words. */
function mapWords(layer: SheetLayer, findings: readonly SheetFinding[]): string {
  const where = findings.map((finding) => `${FINDING_MARKS[finding.kind].label} ${finding.whereWords}, ${finding.rangeWords}`).join("; ");
  return `Map of layer ${layer.layer}, ${layer.frameWords}: ${layer.strands.length} strands. ${findings.length === 0 ? "No findings." : `Findings: ${where}.`}`;
}
