import type { Warning } from "../../../lib/base/errors.ts";
import type { Fact, RecordWords, Sheet } from "../../../lib/model/sheet.ts";

function Facts({ facts }: { readonly facts: readonly Fact[] }) {
  return <dl className="facts">{facts.map((fact) => <div key={fact.name}><dt>{fact.name}</dt><dd>{fact.value}</dd></div>)}</dl>;
}

/** The job, as the run was measured and judged with it. */
export function JobAsUsed({ job, title = "Job as used" }: { readonly job: readonly Fact[]; readonly title?: string }) {
  return (
    <section aria-labelledby="job-title">
      <h2 id="job-title">{title}</h2>
      {job.length === 0 ? <p className="none">What is kept of the job cannot be read any more; the record says what was changed.</p> : <Facts facts={job} />}
    </section>
  );
}

/** Limits in force, for each kind of planned bead. */
export function BandsAsUsed({ bands, title = "Bands as used" }: { readonly bands: Sheet["bands"]; readonly title?: string }) {
  return (
    <section aria-labelledby="bands-title">
      <h2 id="bands-title">{title}</h2>
      {bands.map(({ bead, rows }) => (
        <table key={bead}>
          <thead><tr><th scope="col">{bead}</th><th scope="col">watch</th><th scope="col">act</th></tr></thead>
          <tbody>{rows.map((row) => <tr key={row.name}><th scope="row">{row.name}</th><td>{row.watch}</td><td>{row.act}</td></tr>)}</tbody>
        </table>
      ))}
    </section>
  );
}

/** What was noted while the folder was read. */
export function WarningsAsUsed({ warnings }: { readonly warnings: readonly Warning[] }) {
  return (
    <section aria-labelledby="warnings-title">
      <h2 id="warnings-title">Noted while reading</h2>
      {warnings.length === 0 ? <p className="none">Nothing.</p> : <ul>{warnings.map((warning) => <li key={`${warning.code} ${warning.message}`}>{warning.message}</li>)}</ul>}
    </section>
  );
}

/** Whether the record is whole, checked when the page was asked for. */
export function RecordNow({ record }: { readonly record: RecordWords }) {
  return (
    <section aria-labelledby="record-title">
      <h2 id="record-title">Record</h2>
      <p className={record.whole ? "record-state" : "record-state broken"}>{record.sentence}</p>
      <Facts facts={record.facts} />
    </section>
  );
}
