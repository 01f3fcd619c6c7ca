"use client";
import { useState } from "react";

/** The first of several values that are the same by `isSame`: what hangs on it is made again only where it has changed. */
export function useKept<T>(value: T, isSame: (a: T, b: T) => boolean): T {
  const [kept, setKept] = useState(value);
  if (Object.is(kept, value) || isSame(kept, value)) return kept;
  setKept(value);
  return value;
}
