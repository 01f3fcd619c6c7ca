"use client";
import { useCallback, useSyncExternalStore } from "react";

/** Heard on this page when a value is set here; other pages hear the browser's own "storage". */
const SET = "aslaid-stored";

function listen(changed: () => void): () => void {
  window.addEventListener("storage", changed);
  window.addEventListener(SET, changed);
  return () => {
    window.removeEventListener("storage", changed);
    window.removeEventListener(SET, changed);
  };
}

/** A text that this browser keeps; "": none. */
export function useStored(key: string): readonly [string, (text: string) => void] {
  const text = useSyncExternalStore(listen, () => localStorage.getItem(key) ?? "", () => "");
  const set = useCallback((next: string) => {
    localStorage.setItem(key, next);
    window.dispatchEvent(new Event(SET));
  }, [key]);
  return [text, set];
}
