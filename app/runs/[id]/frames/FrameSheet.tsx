"use client";
import { useMemo, type CSSProperties, type ReactNode } from "react";
import type { BeadShape } from "../../../../lib/model/job.ts";
import { VERDICT_MARKS } from "../../../../lib/model/marks.ts";
import type { Sheet } from "../../../../lib/model/sheet.ts";
import { framedStrands } from "../../../../lib/formula/framedStrands.ts";
import { useTargetShape } from "../../../components/target/useTargetShape.ts";
import { Section } from "../Section.tsx";
import type { StationPick } from "../picks.ts";
import { readingWords, type Station } from "../stationAt.ts";
import type { Detail } from "../useStationDetail.ts";
import { FrameViewer } from "./FrameViewer.tsx";
import { nearestInTime } from "./chooseFrame.ts";
import type { AskedFrame } from "./useFrame.ts";

interface Props {
  readonly sheet: Sheet;
  readonly index: number;
  readonly onIndex: (index: number) => void;
  readonly asked: AskedFrame;
  readonly pick: StationPick;
  readonly station: Station | null;
  readonly shape: BeadShape;
  readonly detail: Detail;
  readonly titleBlock: ReactNode;
}

/** The camera's sheet: a frame with what it shows of each strand, and beside it the section of the station that is looked at. */
export function FrameSheet({ sheet, index, onIndex, asked, pick, station, shape, detail, titleBlock }: Props) {
  const { frames, layers, head: { runId } } = sheet, fetched = useTargetShape(runId), cut = detail.state === "here" ? detail.detail.cut : null;
  const strands = useMemo(() => (fetched == null ? null : framedStrands(fetched, layers)), [fetched, layers]);
  const ofStation = station === null || station.cameraFrame < 0 ? null : station.cameraFrame, ofSection = cut === null ? null : nearestInTime(frames, cut.tS);
  const jumps = [["Newest that shows this station", ofStation], ["Nearest in time to this section", ofSection]] as const;
  return (
    <div className="sheet frames">
      <div className="frame-side"><FrameViewer frames={frames} index={index} onIndex={onIndex} asked={asked} strands={strands} pick={pick} /></div>
      <section className="section-side" aria-labelledby="frame-section-title">
        {station === null ? null : (
          <>
            <h2 id="frame-section-title">
              <span>Section · strand {station.strand} of layer {station.layer} at {station.sMm.toFixed(1)} mm{cut === null ? "" : ` · read at ${cut.tS.toFixed(2)} s`}</span>
              <span className="station-verdict" style={{ "--mark": `var(--mark-${station.verdict})` } as CSSProperties}>{VERDICT_MARKS[station.verdict].label.toLowerCase()}</span>
            </h2>
            <Section station={station} shape={shape} cut={cut} />
            <p className="reading-words">{readingWords(station)}</p>
            <div className="frame-jumps">{jumps.map(([words, to]) => (to === null ? null : <button key={words} type="button" disabled={to === index} onClick={() => onIndex(to)}>{words}</button>))}</div>
          </>
        )}
        {asked.state === "here" ? <dl className="facts">{asked.view.facts.map(({ name, value }) => <div key={name}><dt>{name}</dt><dd>{value}</dd></div>)}</dl> : null}
      </section>
      {titleBlock}
    </div>
  );
}
