"use client";
/** What a drawing has over its picture: the chosen station, where the newest reading is, the nozzle, tags of findings with their leaders, the scale bar. */
import type { CSSProperties } from "react";
import type { ParallelView } from "../../../lib/kernel/parallelView.ts";
import { add, scale, type Vec3 } from "../../../lib/kernel/vec.ts";
import { FINDING_MARKS } from "../../../lib/model/marks.ts";
import type { SheetFinding } from "../../../lib/model/sheet.ts";
import type { TargetShape } from "../../../lib/model/targetShape.ts";
import { TAG_PX, barMm, coversMuch, isEndOn, nozzleOutline, pathOf, placeTags, pxOf, type Box, type Px } from "./overlayGeometry.ts";
import type { Places, StationFrame } from "./places.ts";

export interface OverlayProps {
  readonly view: ParallelView;
  readonly box: Box;
  readonly shape: TargetShape;
  readonly places: Places;
  /** Those that get a tag. */
  readonly findings: readonly SheetFinding[];
  readonly pick: StationFrame | null;
  readonly newest: { readonly at: StationFrame; readonly ageWords: string | null } | null;
  readonly nozzle: StationFrame | null;
  /** Stations from the newest reading to the nozzle: laid, not seen yet. */
  readonly trail: readonly Vec3[];
  readonly onFinding: (finding: SheetFinding) => void;
}

/** Half of the cross at the chosen station, px. */
const CROSS_PX = 22;

export function TargetOverlay(props: OverlayProps) {
  const { view, box, newest, nozzle, trail, shape } = props;
  const px = (at: Vec3): Px => pxOf(view, box, at);
  return (
    <svg className="target-overlay" width={box.widthPx} height={box.heightPx} viewBox={`0 0 ${box.widthPx} ${box.heightPx}`} aria-hidden="true">
      {newest === null ? null : <ProfileLine {...newest} fieldMm={shape.fieldMm} px={px} box={box} />}
      {trail.length < 2 ? null : <path className="target-trail" d={pathOf(trail.map(px))} />}
      <ChosenCross pick={props.pick} view={view} px={px} />
      {nozzle === null ? null : <Nozzle at={nozzle} {...props} />}
      <Tags {...props} px={px} />
      <ScaleBar pxPerMm={view.pxPerMm} box={box} />
    </svg>
  );
}

/** Room that the words of a profile take, px. */
const WORDS_PX: Px = [118, 18];

interface ProfileLineProps { readonly at: StationFrame; readonly ageWords: string | null; readonly fieldMm: TargetShape["fieldMm"]; readonly px: (at: Vec3) => Px; readonly box: Box }

/** The profiler's field across the strand, where the newest reading lies; its words stand at the end that lies lower, inside the picture. */
function ProfileLine({ at, ageWords, fieldMm, px, box }: ProfileLineProps) {
  const [fromMm, toMm] = fieldMm ?? [-3, 3], from = px(add(at.position, scale(at.lateral, fromMm))), to = px(add(at.position, scale(at.lateral, toMm)));
  const [x, y] = from[1] > to[1] ? from : to, inside = (value: number, low: number, high: number): number => Math.max(low, Math.min(high, value));
  return (
    <g className="target-profile">
      <path d={pathOf([from, to])} />
      <text x={inside(x + 6, 4, box.widthPx - WORDS_PX[0])} y={inside(y + 16, WORDS_PX[1], box.heightPx - 8)}>{ageWords === null ? "newest profile" : `profile, ${ageWords} ago`}</text>
    </g>
  );
}

/** Centre lines through the chosen station, along the strand and across it. */
function ChosenCross({ pick, view, px }: { readonly pick: StationFrame | null; readonly view: ParallelView; readonly px: (at: Vec3) => Px }) {
  if (pick === null) return null;
  const reachMm = CROSS_PX / view.pxPerMm, line = (axis: Vec3): string => pathOf([px(add(pick.position, scale(axis, -reachMm))), px(add(pick.position, scale(axis, reachMm)))]);
  return <path className="target-chosen" d={`${line(pick.tangent)}${line(pick.lateral)}${pathOf([px(pick.position), px(add(pick.position, scale(pick.normal, 1.6 * reachMm)))])}`} />;
}

function Nozzle({ at, shape, view, box }: OverlayProps & { readonly at: StationFrame }) {
  const { outline, axis, isOpen } = nozzleOutline(shape.nozzle, at.position, at.normal, view, box);
  return <g className={`target-nozzle${isOpen ? " open" : ""}${coversMuch(at.normal, view) ? " clear" : ""}`}><path className="body" d={pathOf(outline, true)} />{isEndOn(at.normal, view) ? null : <path className="centre-line" d={pathOf(axis)} />}</g>;
}

function Tags({ findings, places, view, box, px, onFinding }: OverlayProps & { readonly px: (at: Vec3) => Px }) {
  const found = findings.flatMap((finding) => { const at = places.finding(finding); return at === null ? [] : [{ finding, at: px(at) }]; });
  const tags = placeTags(found.map(({ at }) => at), box), half = TAG_PX / 2;
  return found.map(({ finding, at: [x, y] }, i) => {
    const [tagX, tagY] = tags[i] as Px, { kind, severity, rank, areaMm2, offPath } = finding;
    return (
      <g key={rank} className={`stretch ${severity}`} style={{ "--mark": `var(--mark-${kind})` } as CSSProperties} onClick={() => onFinding(finding)}>
        {offPath ? <circle className="map-disc" cx={x} cy={y} r={Math.max(4, Math.sqrt((areaMm2 ?? 0) / Math.PI) * view.pxPerMm)} fill="none" /> : <circle className="target-foot" cx={x} cy={y} r="2.5" />}
        <path className="leader" d={pathOf([[x, y], [tagX, tagY]])} />
        <rect className="letter-box" x={tagX - half} y={tagY - half} width={TAG_PX} height={TAG_PX} />
        <text className="letter" x={tagX} y={tagY + 6}>{FINDING_MARKS[kind].letter}</text>
      </g>
    );
  });
}

function ScaleBar({ pxPerMm, box }: { readonly pxPerMm: number; readonly box: Box }) {
  const mm = barMm(pxPerMm), right = box.widthPx - 14, left = right - mm * pxPerMm, y = box.heightPx - 12;
  return <g className="scale-bar"><rect x={left - 6} y={y - 26} width={right - left + 12} height={34} /><path d={`M${left} ${y - 5}V${y + 5}M${right} ${y - 5}V${y + 5}M${left} ${y}H${right}`} /><text x={(left + right) / 2} y={y - 8}>{mm} mm</text></g>;
}
