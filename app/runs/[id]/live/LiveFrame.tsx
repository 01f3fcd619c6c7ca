"use client";
import { useMemo } from "react";
import { frameDrawing } from "../../../../lib/formula/frameDrawing.ts";
import { framedStrands } from "../../../../lib/formula/framedStrands.ts";
import { liveFramePath } from "../../../../lib/model/frameView.ts";
import type { LiveFrameLines } from "../../../../lib/model/liveSheet.ts";
import { FINDING_MARKS } from "../../../../lib/model/marks.ts";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";
import { useTargetShape } from "../../../components/target/useTargetShape.ts";
import { FrameKey } from "../frames/FrameKey.tsx";
import { FramePicture } from "../frames/FramePicture.tsx";
import { useFrame } from "../frames/useFrame.ts";
import type { StationPick } from "../picks.ts";
import { PasteMarking } from "./PasteMarking.tsx";
import "../frames/frames.css";

interface Props { readonly runId: string; readonly frames: LiveFrameLines; readonly layers: readonly SheetLayer[]; readonly pick: StationPick }

/** The newest camera frame that was measured, with what it shows; where nobody knows how the paste looks, a person can say. */
export function LiveFrame({ runId, frames: { newest, countWords }, layers, pick }: Props) {
  const fetched = useTargetShape(runId), asked = useFrame(newest === null ? null : liveFramePath(runId, newest.file), []), view = asked.state === "here" ? asked.view : null;
  const strands = useMemo(() => (fetched == null ? null : framedStrands(fetched, layers)), [fetched, layers]);
  const drawing = useMemo(() => {
    if (view === null || view.camera === null || view.pose === null || strands === null) return null;
    const { camera, pose, frame, layer, findings } = view;
    return frameDrawing({ camera, pose, strands, frame, layer, chosen: pick, letters: findings.map(({ kind, position }) => ({ position, text: FINDING_MARKS[kind].letter })) });
  }, [view, strands, pick]);
  if (newest === null) return <p className="none">{countWords} None is measured yet.</p>;
  const caption = `Frame · ${newest.file} · ${newest.ageWords === null ? `${newest.tS.toFixed(2)} s` : `${newest.ageWords} old`} · `;
  return (
    <figure className={newest.used ? "frame-viewer" : "frame-viewer unused"}>
      <figcaption><span>{caption}<b>{newest.words}</b></span></figcaption>
      {view === null || view.camera === null
        ? <p className="frame-none" role="status">{asked.state === "failed" ? "The server did not give this frame." : "Asking for the frame."}</p>
        : newest.mayMark ? <PasteMarking key={newest.file} runId={runId} file={newest.file} src={view.picture} alt={view.alt} camera={view.camera} />
          : <FramePicture src={view.picture} alt={view.alt} widthPx={view.camera.widthPx} heightPx={view.camera.heightPx} drawing={drawing} zoom={1} focus={null} />}
      <p className="frame-said"><span>{countWords}</span>{newest.mayMark ? null : <FrameKey />}</p>
    </figure>
  );
}
