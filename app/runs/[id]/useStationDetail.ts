"use client";
import { useEffect, useState } from "react";
import type { StationDetail } from "../../../lib/model/stationDetail.ts";
import type { Station } from "./stationAt.ts";

/** Walking through stations by key asks for none of those that are passed, ms. */
const REST_MS = 120;

export type Detail = { readonly state: "asking" | "failed" } | { readonly state: "here"; readonly detail: StationDetail };

const ASKING: Detail = { state: "asking" };

/** Section and readings of the chosen station, asked of the server once the choice rests. */
export function useStationDetail(runId: string, resultId: string, station: Station | null): Detail {
  const query = station === null ? "" : new URLSearchParams({ resultId, layer: `${station.layer}`, strand: `${station.strand}`, attempt: `${station.attempt}`, station: `${station.index}` }).toString();
  const [found, setFound] = useState<{ readonly query: string; readonly detail: Detail }>({ query: "", detail: ASKING });
  useEffect(() => {
    if (query === "") return undefined;
    const abort = new AbortController();
    const ask = async (): Promise<void> => {
      try {
        const response = await fetch(`/api/runs/${runId}/station?${query}`, { signal: abort.signal });
        const detail: Detail = response.ok ? { state: "here", detail: await response.json() as StationDetail } : { state: "failed" };
        setFound({ query, detail });
      } catch {
        if (!abort.signal.aborted) setFound({ query, detail: { state: "failed" } });
      }
    };
    const rest = setTimeout(() => { void ask(); }, REST_MS);
    return () => {
      clearTimeout(rest);
      abort.abort();
    };
  }, [runId, query]);
  return found.query === query ? found.detail : ASKING;
}
