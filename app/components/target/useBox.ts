"use client";
import { useEffect, useState, type RefObject } from "react";
import type { Box } from "./overlayGeometry.ts";

/** Inner size of an element as it stands on the page, whole px; null: not there yet. */
export function useBox(element: RefObject<HTMLElement | null>): Box | null {
  const [box, setBox] = useState<Box | null>(null);
  useEffect(() => {
    const at = element.current;
    if (at === null) return undefined;
    const look = (): void => {
      const widthPx = at.clientWidth, heightPx = at.clientHeight;
      setBox((before) => (before?.widthPx === widthPx && before.heightPx === heightPx ? before : widthPx > 0 && heightPx > 0 ? { widthPx, heightPx } : null));
    };
    const observer = new ResizeObserver(look);
    observer.observe(at);
    look();
    return () => observer.disconnect();
  }, [element]);
  return box;
}
