"use client";
import { useMemo, useState, type KeyboardEvent } from "react";
import { frameDrawing, type FramedStrand } from "../../../../lib/formula/frameDrawing.ts";
import { FINDING_MARKS } from "../../../../lib/model/marks.ts";
import type { FrameDrawing, FrameView, SheetFrame } from "../../../../lib/model/frameView.ts";
import type { StationPick } from "../picks.ts";
import { FrameKey } from "./FrameKey.tsx";
import { FramePicture } from "./FramePicture.tsx";
import type { AskedFrame } from "./useFrame.ts";
import "./frames.css";

const ZOOM_STEP = 1.6, MOST_ZOOM = 12;

interface Props {
  readonly frames: readonly SheetFrame[];
  readonly index: number;
  readonly onIndex: (index: number) => void;
  readonly asked: AskedFrame;
  /** null: where the strands lie in space is not known (yet). */
  readonly strands: readonly FramedStrand[] | null;
  readonly pick: StationPick;
}

/** null: nothing can be drawn over it. */
function drawingOf({ view, strands, pick }: { readonly view: FrameView; readonly strands: readonly FramedStrand[] | null; readonly pick: StationPick }): FrameDrawing | null {
  const { camera, pose, frame, layer, findings } = view;
  return camera === null || pose === null || strands === null ? null : frameDrawing({ camera, pose, strands, frame, layer, chosen: pick, letters: findings.map(({ kind, position }) => ({ position, text: FINDING_MARKS[kind].letter })) });
}

/** What of the frame is not drawn, and why; "": everything is. */
function notDrawnWords(view: FrameView, drawing: FrameDrawing | null, hasStrands: boolean): string {
  if (drawing === null) return view.camera === null ? "The job names no such camera: nothing is drawn over it." : view.pose === null ? "Its pose is not given in the plan: nothing is drawn over it." : hasStrands ? "" : "The lines over it are being made.";
  return [
    drawing.outsideMm < 0.05 ? "" : `${drawing.outsideMm.toFixed(1)} mm lie outside the picture`, drawing.beneathMm < 0.05 ? "" : `${drawing.beneathMm.toFixed(1)} mm of layers beneath are hidden and not drawn`,
    view.frame.poseErrorMm !== null && view.frame.poseErrorMm > 0.05 ? `lines lie where the camera’s own pose puts them, ${view.frame.poseErrorMm.toFixed(2)} mm off on average` : "",
  ].filter((part) => part !== "").join("; ");
}

/** Camera frames, one at a time: back and forth by button, slider and arrow key; enlarged with + and −; lines off with l. */
export function FrameViewer({ frames, index, onIndex, asked, strands, pick }: Props) {
  const [zoom, setZoom] = useState(1), [hasLines, setLines] = useState(true), frame = frames[index];
  const view = asked.state === "here" ? asked.view : null, drawing = useMemo(() => (view === null ? null : drawingOf({ view, strands, pick })), [view, strands, pick]);
  const chosen = drawing?.lines.find(({ look }) => look === "chosen")?.points, focus = useMemo(() => (chosen === undefined ? null : [((chosen[0] as number) + (chosen[2] as number)) / 2, ((chosen[1] as number) + (chosen[3] as number)) / 2] as const), [chosen]);
  const goTo = (to: number): void => { if (to >= 0 && to < frames.length && to !== index) onIndex(to); };
  const zoomBy = (by: number): void => setZoom((now) => Math.min(MOST_ZOOM, Math.max(1, by === 0 ? 1 : now * by)));
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target instanceof HTMLInputElement) return;
    const deed: (() => void) | undefined = { ArrowLeft: () => goTo(index - 1), ArrowRight: () => goTo(index + 1), Home: () => goTo(0), End: () => goTo(frames.length - 1), "+": () => zoomBy(ZOOM_STEP), "-": () => zoomBy(1 / ZOOM_STEP), 0: () => zoomBy(0), l: () => setLines(!hasLines) }[event.key];
    if (deed === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    deed();
  };
  if (frame === undefined) return null;
  const [widthPx, heightPx] = [view?.camera?.widthPx ?? 4, view?.camera?.heightPx ?? 3], words = view === null ? "" : notDrawnWords(view, drawing, strands !== null);
  return (
    <figure className={frame.used ? "frame-viewer" : "frame-viewer unused"}>
      <figcaption><span>Frame {index + 1} of {frames.length} · {frame.tS.toFixed(2)} s · {frame.file} · <b>{frame.words}</b></span><FrameKey /></figcaption>
      {/* an application takes keys and the focus: the rules do not know the role */}
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions, jsx-a11y/no-noninteractive-tabindex */}
      <div className="frame-focus" tabIndex={0} role="application" aria-roledescription="frames" aria-label={`Camera frames: arrows go back and forth, + and − enlarge, l takes the lines away. ${view?.alt ?? ""}`} onKeyDown={onKeyDown}>
        {view === null
          ? <p className="frame-none" role="status">{asked.state === "failed" ? "The server did not answer with this frame. Choose it again." : "Asking for the frame."}</p>
          : <FramePicture src={view.picture} alt={view.alt} widthPx={widthPx} heightPx={heightPx} drawing={hasLines ? drawing : null} zoom={zoom} focus={zoom > 1 ? focus : null} />}
        <p className="hint" aria-hidden="true">← → back and forth, + − enlarge, l lines</p>
      </div>
      <div className="frame-controls">
        <span role="group" aria-label="Back and forth">
          <button type="button" aria-label="Frame before" disabled={index === 0} onClick={() => goTo(index - 1)}>←</button>
          <input type="range" min={1} max={frames.length} value={index + 1} aria-label="Frame" aria-valuetext={`${index + 1} of ${frames.length}, ${frame.tS.toFixed(2)} s, ${frame.words}`} onChange={(event) => goTo(Number(event.target.value) - 1)} />
          <button type="button" aria-label="Frame after" disabled={index === frames.length - 1} onClick={() => goTo(index + 1)}>→</button>
        </span>
        <span role="group" aria-label="Enlarge">
          <button type="button" aria-label="Smaller" disabled={zoom === 1} onClick={() => zoomBy(1 / ZOOM_STEP)}>−</button>
          <button type="button" aria-label="Larger" disabled={zoom === MOST_ZOOM} onClick={() => zoomBy(ZOOM_STEP)}>+</button>
          <button type="button" aria-pressed={hasLines} onClick={() => setLines(!hasLines)}>Lines</button>
        </span>
      </div>
      <p className="frame-said">{words === "" ? "" : `Not to scale, seen in perspective; ${words}.`}</p>
    </figure>
  );
}
