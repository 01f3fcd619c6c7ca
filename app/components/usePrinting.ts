"use client";
import { useSyncExternalStore } from "react";
import { flushSync } from "react-dom";

/** Between the browser's `beforeprint` and `afterprint`. */
let asked = false;

function subscribe(changed: () => void): () => void {
  const query = window.matchMedia("print");
  const now = (): void => { flushSync(changed); };
  const before = (): void => { asked = true; now(); };
  const after = (): void => { asked = false; now(); };
  window.addEventListener("beforeprint", before);
  window.addEventListener("afterprint", after);
  query.addEventListener("change", now);
  return () => {
    window.removeEventListener("beforeprint", before);
    window.removeEventListener("afterprint", after);
    query.removeEventListener("change", now);
  };
}

/** True while the page is laid out for paper, so that what is a window on the screen can be drawn whole. Changes at once: a print does not wait. */
export function usePrinting(): boolean {
  return useSyncExternalStore(subscribe, () => asked || window.matchMedia("print").matches, () => false);
}
