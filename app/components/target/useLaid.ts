"use client";
import { useEffect, useState } from "react";
import type { FrameView } from "../../../lib/model/frameView.ts";
import type { LaidPicture } from "./laid.ts";

/** A frame's picture, decoded, with where it was taken from; null: none is asked for, it is not here yet, or it cannot be laid on anything. */
export function useLaid(view: FrameView | null): LaidPicture | null {
  const [laid, setLaid] = useState<LaidPicture | null>(null), { camera = null, pose = null, picture = null } = view ?? {};
  useEffect(() => {
    if (camera === null || pose === null || picture === null) return undefined;
    let isLeft = false;
    const image = new Image();
    image.src = picture;
    const take = async (): Promise<void> => {
      try {
        await image.decode();
        if (!isLeft) setLaid({ image, camera, pose });
      } catch { /* a picture that is gone lies on nothing: the words say so */ }
    };
    void take();
    return () => {
      isLeft = true;
      setLaid(null);
    };
  }, [camera, pose, picture]);
  return view === null ? null : laid;
}

/** Said under the target while a picture is asked for; null: none is. */
export function laidWords(isOn: boolean, view: FrameView | null, laid: LaidPicture | null): string | null {
  if (!isOn) return null;
  if (view === null || (laid === null && view.camera !== null && view.pose !== null && view.picture !== null)) return "The picture is being fetched.";
  if (laid === null) return "This frame cannot be laid on the target: its picture or the camera’s place is not known.";
  return `Frame ${view.frame.file}, taken at ${view.frame.tS.toFixed(2)} s, lies where the camera’s own pose puts it; what stands before a place in the camera’s view is not taken out.`;
}
