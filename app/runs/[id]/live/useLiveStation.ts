"use client";
import { useEffect, useEffectEvent, useState } from "react";
import type { StationDetail } from "../../../../lib/model/stationDetail.ts";
import type { SeenStation } from "../stationAt.ts";

/** So far back an answer still shows the newest reading, mm. */
const BACK_MM = 8;
/** The section is asked for at most so often while it goes along, and so long after the server could not answer, ms. */
const EVERY_MS = 400, AGAIN_MS = 3000;

interface Found { readonly query: string; readonly station: SeenStation; readonly detail: StationDetail }

export interface LiveDetail {
  /** The newest answer and the station as it then stood; null: none yet, or of another place than is looked at. */
  readonly found: { readonly station: SeenStation; readonly detail: StationDetail } | null;
  /** The server could not answer the last time. */
  readonly hasFailed: boolean;
}

/**
 * Section and readings of a station as of now: asked for again and again, one question at a time, since the station changes and may be read again.
 * `isFollowed`: stations run on faster than they are asked for; then an answer of the same strand a little way back is as good.
 */
export function useLiveStation(runId: string, station: SeenStation | null, { isRead, isFollowed }: { readonly isRead: boolean; readonly isFollowed: boolean }): LiveDetail {
  const [found, setFound] = useState<Found | null>(null);
  const [hasFailed, setFailed] = useState(false);
  const query = station === null || !isRead ? "" : new URLSearchParams({ layer: `${station.layer}`, strand: `${station.strand}`, attempt: `${station.attempt}`, station: `${station.index}` }).toString();
  const stamp = station === null ? "" : `${station.areaRatio}/${station.widthMm}/${station.heightMm}/${station.offsetMm}`;
  const wanted = useEffectEvent(() => ({ query, stamp, station }));
  useEffect(() => {
    const abort = new AbortController();
    let timer: ReturnType<typeof setTimeout> | undefined, known = "";
    const ask = async (): Promise<void> => {
      const { query: asked, stamp: asOf, station: of } = wanted();
      let waitMs = EVERY_MS;
      if (of !== null && asked !== "" && known !== `${asked} ${asOf}`) {
        try {
          const response = await fetch(`/api/live/${runId}/station?${asked}`, { signal: abort.signal });
          if (!response.ok) throw new Error(`${response.status}`);
          const detail = await response.json() as StationDetail;
          known = `${asked} ${asOf}`;
          setFound({ query: asked, station: of, detail });
          setFailed(false);
        } catch {
          if (abort.signal.aborted) return;
          waitMs = AGAIN_MS;
          setFailed(true);
        }
      }
      timer = setTimeout(() => { void ask(); }, waitMs);
    };
    void ask();
    return () => {
      abort.abort();
      clearTimeout(timer);
    };
  }, [runId]);
  const isHere = found !== null && station !== null && (found.query === query || (isFollowed && isJustBefore(found.station, station)));
  return { found: isHere ? found : null, hasFailed };
}

function isJustBefore(before: SeenStation, station: SeenStation): boolean {
  return before.layer === station.layer && before.strand === station.strand && before.attempt === station.attempt && Math.abs(before.sMm - station.sMm) <= BACK_MM;
}
