"use client";
import { useEffect, useState } from "react";
import { flushSync } from "react-dom";

/** True while the page is laid out for paper, so that what is a window on the screen can be drawn whole. Changes at once: a print does not wait. */
export function usePrinting(): boolean {
  const [printing, setPrinting] = useState(false);
  useEffect(() => {
    const query = window.matchMedia("print");
    const set = (now: boolean) => (): void => { flushSync(() => setPrinting(now)); };
    const before = set(true), after = set(false);
    const changed = (): void => { flushSync(() => setPrinting(query.matches)); };
    window.addEventListener("beforeprint", before);
    window.addEventListener("afterprint", after);
    query.addEventListener("change", changed);
    return () => {
      window.removeEventListener("beforeprint", before);
      window.removeEventListener("afterprint", after);
      query.removeEventListener("change", changed);
    };
  }, []);
  return printing;
}
