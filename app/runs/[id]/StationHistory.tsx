"use client";
import type { Station } from "./stationAt.ts";
import type { Detail } from "./useStationDetail.ts";

/** Every attempt at the chosen station with its readings, newest attempt first, oldest reading first. */
export function StationHistory({ station, detail }: { readonly station: Station; readonly detail: Detail }) {
  return (
    <section className="history" aria-labelledby="history-title">
      <h2 id="history-title">Readings of strand {station.strand} of layer {station.layer} at {station.sMm.toFixed(1)} mm</h2>
      {detail.state === "asking" ? <p className="none">Asking for them.</p> : null}
      {detail.state === "failed" ? <p className="none">The server did not answer. Choose the station again.</p> : null}
      {detail.state !== "here" ? null : detail.detail.attempts.map(({ attempt, words, readings }) => (
        <div key={attempt} className="attempt">
          <p>{station.attempt > 1 ? `Attempt ${attempt}${attempt === station.attempt ? ", the newest" : ", taken off again"}: ` : ""}{words}</p>
          {readings.length === 0 ? null : (
            <table>
              <thead><tr><th scope="col">read</th><th scope="col">width, mm</th><th scope="col">height, mm</th><th scope="col">area, mm²</th><th scope="col">offset, mm</th><th scope="col">area ratio</th><th scope="col">verdict</th><th scope="col">state</th></tr></thead>
              <tbody>
                {readings.map((reading) => (
                  <tr key={reading.ordinal}><th scope="row">{reading.read}</th><td>{reading.width}</td><td>{reading.height}</td><td>{reading.area}</td><td>{reading.offset}</td><td>{reading.ratio}</td><td>{reading.verdict}</td><td>{reading.state}</td></tr>
                ))}
              </tbody>
            </table>
          )}
        </div>
      ))}
    </section>
  );
}
