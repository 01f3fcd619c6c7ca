"use client";
import { useEffect, useState } from "react";
import { unpackTarget, type TargetShape } from "../../../lib/model/targetShape.ts";

/** Undefined while it comes; null: it cannot be had. */
export type Fetched = TargetShape | null | undefined;

/** Asks once for where a run's stations lie in space. */
export function useTargetShape(runId: string): Fetched {
  const [fetched, setFetched] = useState<{ readonly runId: string; readonly shape: TargetShape | null } | null>(null);
  useEffect(() => {
    const asking = new AbortController();
    const ask = async (): Promise<void> => {
      let shape: TargetShape | null = null;
      try {
        const response = await fetch(`/api/runs/${encodeURIComponent(runId)}/target`, { signal: asking.signal });
        if (response.ok) shape = unpackTarget(await response.arrayBuffer());
      } catch { /* a page that is left, a server that is gone, or bytes that are none: the picture says so */ }
      if (!asking.signal.aborted) setFetched({ runId, shape });
    };
    void ask();
    return () => asking.abort();
  }, [runId]);
  return fetched?.runId === runId ? fetched.shape : undefined;
}
