"use client";
import { useEffect, useState } from "react";
import { unpackTarget, type TargetShape } from "../../../lib/model/targetShape.ts";

/** Undefined while it comes; null: it cannot be had. */
export type Fetched = TargetShape | null | undefined;

/** What the pictures of one page ask for: the target and the frames over it. */
const known = new Map<string, Promise<TargetShape | null>>();

async function ask(runId: string): Promise<TargetShape | null> {
  try {
    const response = await fetch(`/api/runs/${encodeURIComponent(runId)}/target`);
    return response.ok ? unpackTarget(await response.arrayBuffer()) : null;
  } catch {
    return null; // a page that is left, a server that is gone, or bytes that are none: the picture says so
  }
}

/** Asks once for where a run's stations lie in space; what could not be had is asked for again by the next page. */
export function useTargetShape(runId: string): Fetched {
  const [fetched, setFetched] = useState<{ readonly runId: string; readonly shape: TargetShape | null } | null>(null);
  useEffect(() => {
    let isLeft = false;
    const asked = known.get(runId) ?? ask(runId);
    known.clear();
    known.set(runId, asked);
    const take = async (): Promise<void> => {
      const shape = await asked;
      if (shape === null) known.delete(runId);
      if (!isLeft) setFetched({ runId, shape });
    };
    void take();
    return () => { isLeft = true; };
  }, [runId]);
  return fetched?.runId === runId ? fetched.shape : undefined;
}
