"use client";
import { useEffect, useMemo, useRef, useState } from "react";
import { fitted, nearestProjected, type ParallelView } from "../../../lib/kernel/parallelView.ts";
import type { Vec3 } from "../../../lib/kernel/vec.ts";
import type { FrameView } from "../../../lib/model/frameView.ts";
import type { LayerFrame, SheetFinding, SheetLayer } from "../../../lib/model/sheet.ts";
import type { TargetShape, TargetStrand } from "../../../lib/model/targetShape.ts";
import { usePrinting } from "../usePrinting.ts";
import { laidWords, useLaid } from "./useLaid.ts";
import { TargetControls } from "./TargetControls.tsx";
import { TargetOverlay } from "./TargetOverlay.tsx";
import { partKey } from "./chunk.ts";
import type { Box } from "./overlayGeometry.ts";
import { Places } from "./places.ts";
import { useTargetInks } from "./targetInks.ts";
import { layerWords, pictureWords, plannedSizeWords } from "./targetWords.ts";
import { useBox } from "./useBox.ts";
import { useHand } from "./useHand.ts";
import { useStage } from "./useStage.ts";
import { useTargetShape } from "./useTargetShape.ts";
import { axesOf, nameOf, scaleWords, viewWords, type ViewName } from "./views.ts";
import "./target.css";

export interface StationPlace { readonly layer: number; readonly strand: number; readonly station: number }

export interface TargetViewProps {
  readonly runId: string;
  readonly layers: readonly SheetLayer[];
  /** The one that the sheet shows: what lies beneath is dimmed. null: all of them. */
  readonly layer: number | null;
  /** The station that is chosen on the sheet; null: none. */
  readonly pick: StationPlace | null;
  /** Worst first: the first ones get a tag. */
  readonly findings: readonly SheetFinding[];
  /** Where the nozzle is by the newest progress; null: not known, or the print is over. */
  readonly nozzle: { readonly layer: number; readonly strand: number; readonly sMm: number } | null;
  /** Where the newest reading lies; null: there is none, or the print is over. */
  readonly newest: StationPlace | null;
  readonly newestAgeWords: string | null;
  /** The picture is old and loses its ink. */
  readonly isOld: boolean;
  readonly onStation: (place: StationPlace) => void;
  /** The camera frame that may be laid on it; absent: the run has none. */
  readonly frame?: FrameView | null;
}

/** Tags in one picture; a tap reaches so far, px; room around what is fitted, px, and the most that a picture of one short strand is enlarged to. */
const MOST_TAGS = 24, TAP_REACH_PX = 22, MARGIN_PX = 46, MOST_FIT_PX_PER_MM = 60;
const SIDEWAYS: LayerFrame = { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] };

/** The target in space, as a specimen on a drawing sheet: planned strands thin, laid ones with their measured sections, verdicts by letter, pattern and colour. */
export function TargetView({ runId, layers, layer: ofSheet, pick, findings, nozzle, newest, newestAgeWords, isOld, onStation, frame: shownFrame }: TargetViewProps) {
  const host = useRef<HTMLDivElement>(null), fetched = useTargetShape(runId), shape = fetched ?? null;
  const [isAll, setAll] = useState(false), [follows, setFollow] = useState(false), [hasPicture, setPicture] = useState(false), laid = useLaid(hasPicture ? shownFrame ?? null : null);
  const box = useBox(host), inks = useTargetInks(), printing = usePrinting();
  const layer = isAll ? null : ofSheet, frame = (layers.find((each) => each.layer === (ofSheet ?? 1)) ?? layers[0])?.frame ?? SIDEWAYS, upright = layers[0]?.frame.normal ?? SIDEWAYS.normal;
  const places = useMemo(() => (shape === null ? null : new Places(shape, layers)), [shape, layers]);
  const viewOf = useMemo(() => fittedViews(shape, box, frame), [shape, box, frame]);

  const at = places === null ? null : {
    pick: pick === null || isSame(pick, newest) ? null : places.station(pick.layer, pick.strand, pick.station), newest: newest === null ? null : places.station(newest.layer, newest.strand, newest.station),
    nozzle: nozzle === null ? null : places.along(nozzle.layer, nozzle.strand, nozzle.sMm),
  };
  const followed = at?.nozzle ?? at?.newest ?? null;
  const hand = useHand(host, {
    upright, box, viewOf, onFollow: () => setFollow((is) => !is),
    onTap: (xPx, yPx, view) => {
      const found = places === null || shape === null ? null : stationUnder(shape.strands.filter((strand) => layer === null || strand.layer <= layer), places, view, xPx, yPx);
      if (found !== null) onStation(found);
    },
  });
  const { view, centreOn } = hand, [x, y, z] = follows && followed !== null ? followed.position : [null, null, null];
  useEffect(() => { if (x !== null && y !== null && z !== null) centreOn([x, y, z]); }, [x, y, z, centreOn]);

  const nearKeys = [pick, newest].map((place) => (place === null ? "" : partKey(place))).join(" ");
  const picture = useMemo(() => (view === null || box === null ? null : { view, ...box, layer, inks, isMoving: hand.isMoving, near: nearKeys.split(" "), laid }), [view, box, layer, inks, hand.isMoving, nearKeys, laid]);
  const { state, paper } = useStage(host, { shape, layers, picture, printing });

  const sizes = useMemo(() => plannedSizeWords(layers.filter((each) => layer === null || each.layer <= layer)), [layers, layer]);
  const tagged = findings.filter((finding) => layer === null || finding.layer === layer), tags = tagged.slice(0, MOST_TAGS);
  const seen = view === null ? "" : viewWords(view, frame), scale = view === null ? "" : scaleWords(view.pxPerMm);
  const toFinding = (finding: SheetFinding): void => {
    const strand = places?.strand(finding.layer, finding.strand)?.strand;
    if (strand !== undefined) onStation({ layer: finding.layer, strand: finding.strand, station: Math.max(0, strand.sMm.findLastIndex((sMm) => sMm <= finding.sMm)) });
  };
  const failure = failureWords(state, fetched === null);
  return (
    <figure className={`target${isOld ? " old" : ""}`}>
      <figcaption><span>Target · {layerWords(layers, layer)}{view === null || failure !== null ? "" : ` · parallel projection, ${seen} · ${scale} at this size`}</span></figcaption>
      <div className="target-frame" hidden={failure !== null}>
        {/* an application takes keys and the focus: the rules do not know the role */}
        {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions, jsx-a11y/no-noninteractive-tabindex */}
        <div ref={host} className="target-picture" tabIndex={0} role="application" aria-label={view === null ? "Target" : pictureWords({ layers, layer, seen, scale, findings: tags, nozzle, isOld })} onKeyDown={hand.onKeyDown}>
          {/* made by this page a moment ago: nothing to optimise */}
          {/* oxlint-disable-next-line next/no-img-element */}
          {paper === null ? null : <img src={paper} alt={`Target seen ${seen}`} />}
        </div>
        {view === null || box === null || shape === null || places === null || at === null ? null : (
          <TargetOverlay view={view} box={box} shape={shape} places={places} findings={tags} pick={at.pick} newest={at.newest === null ? null : { at: at.newest, ageWords: newestAgeWords }} nozzle={at.nozzle} trail={trailOf(places, newest, nozzle)} onFinding={toFinding} />
        )}
        <p className="hint" aria-hidden="true">arrows turn, with shift move, + − zoom, 0 to 6 views, f follows</p>
      </div>
      {failure === null ? null : <p className="target-none" role="status">{failure}</p>}
      {failure !== null ? null : (
        <TargetControls hand={hand} now={view === null ? null : nameOf(view, frame)} follow={{ isOn: follows, isPossible: followed !== null && (nozzle !== null || newest !== null), toggle: () => setFollow(!follows) }}
          layers={{ isAll, count: layers.length, toggle: () => setAll(!isAll) }} picture={shownFrame === undefined ? null : { isOn: hasPicture, toggle: () => setPicture(!hasPicture) }} />
      )}
      {sizes === null && tagged.length <= MOST_TAGS && !hasPicture ? null : <p className="target-said">{[laidWords(hasPicture, shownFrame ?? null, laid), sizes, tagged.length > MOST_TAGS ? `${MOST_TAGS} of ${tagged.length} findings have a tag, the worst first.` : null].filter((part) => part !== null).join(" ")}</p>}
    </figure>
  );
}

/** The line of the newest profile marks it already. */
function isSame(a: StationPlace, b: StationPlace | null): boolean {
  return b !== null && a.layer === b.layer && a.strand === b.strand && a.station === b.station;
}

const WORDS_OF: Readonly<Record<"loading" | "ready" | "lost" | "none", string | null>> = {
  loading: null, ready: null, lost: "The graphics card has taken this picture away; it comes back by itself. The strands unrolled show the same stations.",
  none: "This browser draws no picture in space (it has no WebGL): the strands unrolled show the same stations.",
};

function failureWords(state: keyof typeof WORDS_OF, hasNoShape: boolean): string | null {
  return WORDS_OF[state] ?? (hasNoShape ? "Where the strands lie in space cannot be read from what is kept of this run: the strands unrolled show the same stations." : null);
}

/** Views by name, each so large that the whole plan is in the picture. */
function fittedViews(shape: TargetShape | null, box: Box | null, frame: LayerFrame): (name: ViewName) => ParallelView | null {
  const known = new Map<ViewName, ParallelView>(), points = shape?.strands.map(({ positionsMm }) => positionsMm) ?? [];
  return (name) => {
    if (box === null || points.length === 0) return null;
    const view = known.get(name) ?? fitted({ ...axesOf(name, frame), centreMm: [0, 0, 0], pxPerMm: 1 }, points, { ...box, marginPx: MARGIN_PX, mostPxPerMm: MOST_FIT_PX_PER_MM });
    known.set(name, view);
    return view;
  };
}

/** The station that lies under a tap; of those that do, the one nearest to the viewer. */
function stationUnder(strands: readonly TargetStrand[], places: Places, view: ParallelView, xPx: number, yPx: number): StationPlace | null {
  const found = strands.flatMap((strand) => {
    const { index, awayPx, nearPx } = nearestProjected(view, strand.positionsMm, xPx, yPx, TAP_REACH_PX), placed = index < 0 ? null : places.strand(strand.layer, strand.strand);
    return placed === null ? [] : [{ layer: strand.layer, strand: strand.strand, station: index, awayPx, nearPx, halfPx: view.pxPerMm * (placed.strand.plannedWidthMm[index] as number) / 2 }];
  }).sort((a, b) => a.awayPx - b.awayPx);
  const [first] = found, hit = found.filter(({ awayPx, halfPx }) => awayPx <= halfPx).sort((a, b) => b.nearPx - a.nearPx)[0] ?? first;
  return hit === undefined ? null : { layer: hit.layer, strand: hit.strand, station: hit.station };
}

/** Stations of one strand from the newest reading to the nozzle. */
function trailOf(places: Places, newest: StationPlace | null, nozzle: TargetViewProps["nozzle"]): Vec3[] {
  const strand = newest === null || nozzle === null || newest.layer !== nozzle.layer || newest.strand !== nozzle.strand ? null : places.strand(newest.layer, newest.strand);
  if (strand === null || newest === null || nozzle === null) return [];
  const between = Array.from(strand.strand.sMm, (sMm, i) => ({ sMm, i })).filter(({ sMm, i }) => i >= newest.station && sMm < nozzle.sMm).map(({ i }) => places.station(newest.layer, newest.strand, i));
  return [...between, places.along(nozzle.layer, nozzle.strand, nozzle.sMm)].flatMap((at) => (at === null ? [] : [at.position]));
}
