"use client";
import type { CSSProperties } from "react";
import { VERDICT_MARKS } from "../../../lib/model/marks.ts";
import type { BeadShape } from "../../../lib/model/job.ts";
import { cutWords } from "../../../lib/formula/cutView.ts";
import { Section } from "./Section.tsx";
import type { Station } from "./stationAt.ts";
import { numberRows, readingWords } from "./stationAt.ts";
import type { Detail } from "./useStationDetail.ts";

function drawnFrom(detail: Detail): string {
  switch (detail.state) {
    case "asking": return "asking for the profile";
    case "failed": return "drawn from these numbers: the server did not answer with the profile";
    case "here": return detail.detail.cut === null ? "drawn from these numbers: no profile is kept here" : cutWords(detail.detail.cut);
  }
}

interface Props { readonly station: Station | null; readonly shape: BeadShape; readonly detail: Detail }

/** The chosen station as a section and as numbers. */
export function StationReadout({ station, shape, detail }: Props) {
  if (station === null) return <section className="station"><h2>Station</h2><p className="none">This run has no stations.</p></section>;
  const mark = VERDICT_MARKS[station.verdict];
  return (
    <section className="station" aria-labelledby="station-title">
      <h2 id="station-title">
        <span>Section · strand {station.strand}{station.attempt > 1 ? `, attempt ${station.attempt},` : ""} at {station.sMm.toFixed(1)} mm</span>
        <span className="station-verdict" style={{ "--mark": `var(--mark-${station.verdict})` } as CSSProperties}>{mark.label.toLowerCase()}{station.proven ? ", proven" : ""}</span>
      </h2>
      <div className="station-body">
        <Section station={station} shape={shape} cut={detail.state === "here" ? detail.detail.cut : null} />
        <table>
          <thead><tr><th scope="col" className="quantity">quantity</th><th scope="col">planned</th><th scope="col">measured ± u</th><th scope="col" className="watch-limits">watch</th><th scope="col">act</th></tr></thead>
          <tbody>
            {numberRows(station).map((row) => (
              <tr key={row.name}><th scope="row">{row.name}</th><td>{row.planned}</td><td className="measured">{row.measured}</td><td className="watch-limits">{row.watch}</td><td>{row.act}</td></tr>
            ))}
          </tbody>
        </table>
        <p className="reading-words">{readingWords(station)} · seen along travel, {drawnFrom(detail)}</p>
      </div>
    </section>
  );
}
