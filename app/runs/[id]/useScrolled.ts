import { useEffect, useState } from "react";
import type { RefObject } from "react";

export interface Scrolled { readonly leftPx: number; readonly topPx: number; readonly viewPx: number }

/** Where an element is scrolled to and how wide its inside is, taken once a frame; `initialPx`: its width until the page has measured it. */
export function useScrolled(element: RefObject<HTMLElement | null>, initialPx: number): Scrolled {
  const [scrolled, setScrolled] = useState<Scrolled>({ leftPx: 0, topPx: 0, viewPx: initialPx });
  useEffect(() => {
    const watched = element.current;
    if (watched === null) return undefined;
    let asked = 0;
    const look = (): void => {
      asked = 0;
      const next = { leftPx: watched.scrollLeft, topPx: watched.scrollTop, viewPx: watched.clientWidth };
      if (next.viewPx > 0) setScrolled((before) => (before.leftPx === next.leftPx && before.topPx === next.topPx && before.viewPx === next.viewPx ? before : next));
    };
    const ask = (): void => { if (asked === 0) asked = requestAnimationFrame(look); };
    const observer = new ResizeObserver(ask);
    observer.observe(watched);
    watched.addEventListener("scroll", ask, { passive: true });
    return () => {
      observer.disconnect();
      watched.removeEventListener("scroll", ask);
      cancelAnimationFrame(asked);
    };
  }, [element]);
  return scrolled;
}
