"use client";
import type { CSSProperties } from "react";
import type { BeadShape } from "../../../../lib/model/job.ts";
import { VERDICT_MARKS } from "../../../../lib/model/marks.ts";
import type { SheetLayer } from "../../../../lib/model/sheet.ts";
import { cutWords } from "../../../../lib/formula/cutView.ts";
import { Section } from "../Section.tsx";
import { readingWords, seenStationAt } from "../stationAt.ts";
import { strandOf, type StationPick } from "../picks.ts";
import { useLiveStation } from "./useLiveStation.ts";

interface Props {
  readonly runId: string;
  readonly layers: readonly SheetLayer[];
  readonly shape: BeadShape;
  readonly pick: StationPick;
  readonly ageWords: string | null;
  /** The section goes along with the newest reading. */
  readonly isFollowed: boolean;
  /** null: it does already, or there is none. */
  readonly onFollow: (() => void) | null;
  readonly onPin: () => void;
}

/** The section of the newest reading, or of the station that somebody looks at: it says which. */
export function LiveSection({ runId, layers, shape, pick, ageWords, isFollowed, onFollow, onPin }: Props) {
  const strand = strandOf(layers, pick), looked = strand === undefined ? null : seenStationAt(strand, pick.station), isRead = looked !== null && looked.areaRatio !== null;
  const { found, hasFailed } = useLiveStation(runId, looked, { isRead, isFollowed });
  const station = isFollowed && found !== null ? found.station : looked, detail = found?.detail ?? null;
  if (station === null) return <section className="live-section"><h2>Section</h2><p className="none">This plan has no stations.</p></section>;
  const cut = detail?.cut ?? null, { verdict } = station;
  const source = !isRead ? "" : cut !== null ? cutWords(cut) : hasFailed ? "drawn from these numbers: the server did not give the profile" : detail === null ? "drawn from these numbers" : "drawn from these numbers: no profile is kept here";
  return (
    <section className="live-section" aria-labelledby="section-title">
      <h2 id="section-title">
        <span>Section · {isFollowed ? "newest reading" : <b>pinned</b>} · strand {station.strand}{layers.length > 1 ? ` of layer ${station.layer}` : ""} at {station.sMm.toFixed(1)} mm{isFollowed && ageWords !== null ? ` · ${ageWords} old` : ""}</span>
        {isRead ? <span className="station-verdict" style={{ "--mark": `var(--mark-${verdict})` } as CSSProperties}>{VERDICT_MARKS[verdict].label.toLowerCase()}{station.proven ? ", proven" : ""}</span> : null}
        {onFollow === null ? <button type="button" onClick={onPin} disabled={!isFollowed}>Stay here</button> : <button type="button" className="follow" onClick={onFollow}>Follow the newest</button>}
      </h2>
      <Section station={station} shape={shape} cut={cut} />
      <p className="reading-words">{isRead ? readingWords(station) : "Not seen yet."}{source === "" ? "" : ` · ${source}`}</p>
    </section>
  );
}
