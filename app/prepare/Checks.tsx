import type { PrepareSheet } from "../../lib/model/prepare.ts";
import { BandsAsUsed, JobAsUsed } from "../runs/[id]/AsUsed.tsx";
import { Preflight } from "../runs/[id]/Preflight.tsx";
import { PlanView } from "./PlanView.tsx";

/** What is known before anything is laid. */
export function Checks({ sheet, isAsking }: { readonly sheet: PrepareSheet | null; readonly isAsking: boolean }) {
  if (sheet === null) return <div className="checks"><p className="none">{isAsking ? "Being checked …" : "What is known of the plan, the disk and the devices will stand here."}</p></div>;
  const { picture, preflight, disk, devices, bands, job, warnings } = sheet;
  return (
    <div className="checks">
      <PlanView picture={picture} />
      <Preflight preflight={preflight} leads={false} />
      <section aria-labelledby="disk-title">
        <h2 id="disk-title">Room on the disk</h2>
        <p className={disk.isEnough ? "check-sentence" : "check-sentence broken"}>{disk.sentence}</p>
        <p className="preflight-assumptions">{disk.assumption}</p>
      </section>
      <section aria-labelledby="devices-title">
        <h2 id="devices-title">Devices, and when their tokens were last heard</h2>
        {devices.length === 0 ? <p className="none">The job names none.</p> : (
          <table>
            <thead><tr><th scope="col">device</th><th scope="col">kind</th><th scope="col">token</th><th scope="col">last heard</th></tr></thead>
            <tbody>
              {devices.flatMap(({ id, kind, tokens }) => (tokens.length === 0 ? [{ name: "no token counts for it", heard: "–" }] : tokens).map(({ name, heard }, i, all) => (
                <tr key={`${id} ${name}`}>{i > 0 ? null : <><th scope="row" rowSpan={all.length}>{id}</th><td rowSpan={all.length}>{kind}</td></>}<td>{name}</td><td>{heard}</td></tr>
              )))}
            </tbody>
          </table>
        )}
      </section>
      <BandsAsUsed bands={bands} title="Bands that it will be judged by" />
      <JobAsUsed job={job} title="Job as it will be used" />
      {warnings.length === 0 ? null : (
        <section aria-labelledby="noted-title"><h2 id="noted-title">Noted while reading</h2><ul>{warnings.map(({ code, message }) => <li key={`${code} ${message}`}>{message}</li>)}</ul></section>
      )}
    </div>
  );
}
