import { useEffect, useRef, useState } from "react";
import type { RefObject } from "react";

/** Width of an element in px as it is laid out; `initialPx` until the page has measured it. */
export function useWidth<T extends HTMLElement>(initialPx: number): [RefObject<T | null>, number] {
  const element = useRef<T>(null);
  const [widthPx, setWidthPx] = useState(initialPx);
  useEffect(() => {
    const observed = element.current;
    if (observed === null) return undefined;
    const observer = new ResizeObserver(([entry]) => {
      const measuredPx = entry?.contentRect.width ?? 0;
      if (measuredPx > 0) setWidthPx(Math.round(measuredPx));
    });
    observer.observe(observed);
    return () => observer.disconnect();
  }, []);
  return [element, widthPx];
}
