import { useEffect, useEffectEvent, useLayoutEffect, useRef, useState } from "react";
import type { RefObject } from "react";

interface ZoomSettings {
  readonly most: number;
  /** Keys and buttons zoom about this place. */
  readonly aboutMm: number;
  readonly pxPerMmAt: (factor: number) => number;
  readonly gutterPx: number;
}

export interface Zoom {
  readonly factor: number;
  readonly most: number;
  /** Multiplies; 0: back to all. */
  readonly by: (step: number) => void;
  /** True: the key was one of + − 0. */
  readonly onKey: (key: string) => boolean;
}

/** Of one notch of a wheel with the control key down (which is also what a pinch sends). */
const WHEEL_RATE = 0.002;

/** Zoom of a scrolled picture along x. The place that it is zoomed about stays where it stands on the screen. */
export function useZoom(scroller: RefObject<HTMLElement | null>, { most, aboutMm, pxPerMmAt, gutterPx }: ZoomSettings): Zoom {
  const [factor, setFactor] = useState(1);
  const anchor = useRef<{ readonly mm: number; readonly screenPx: number } | null>(null);
  const limited = Math.min(factor, most);
  const zoomTo = (next: number, screenPx: number, mm: number): void => {
    anchor.current = { mm, screenPx };
    setFactor(Math.max(1, Math.min(most, next)));
  };
  const by = (step: number): void => {
    const left = scroller.current?.scrollLeft ?? 0;
    zoomTo(limited * step, gutterPx + aboutMm * pxPerMmAt(limited) - left, aboutMm);
  };
  const onWheel = useEffectEvent((event: WheelEvent) => {
    const element = scroller.current;
    if (!event.ctrlKey || element === null) return;
    event.preventDefault();
    const screenPx = event.clientX - element.getBoundingClientRect().left;
    zoomTo(limited * Math.exp(-event.deltaY * WHEEL_RATE), screenPx, (screenPx + element.scrollLeft - gutterPx) / pxPerMmAt(limited));
  });
  useEffect(() => {
    const element = scroller.current;
    const listen = (event: WheelEvent): void => onWheel(event);
    element?.addEventListener("wheel", listen, { passive: false });
    return () => element?.removeEventListener("wheel", listen);
  }, [scroller]);
  useLayoutEffect(() => {
    if (anchor.current === null || scroller.current === null) return;
    scroller.current.scrollTo({ left: gutterPx + anchor.current.mm * pxPerMmAt(limited) - anchor.current.screenPx });
    anchor.current = null;
  }, [scroller, limited, pxPerMmAt, gutterPx]);
  const onKey = (key: string): boolean => {
    const step = { "+": 2, "=": 2, "-": 1 / 2, 0: 0 }[key];
    if (step !== undefined) by(step);
    return step !== undefined;
  };
  return { factor: limited, most, by, onKey };
}
