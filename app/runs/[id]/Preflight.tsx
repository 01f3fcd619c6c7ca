import type { PreflightPlace, PreflightSheet } from "../../../lib/model/preflight.ts";
import "./Preflight.css";

/** The address of a place on the run's page: "#place-LAYER-STRAND-SMM". */
export function placeHash({ layer, strand, sMm }: PreflightPlace): string {
  return `#place-${layer}-${strand}-${sMm}`;
}

/** The pre-flight list: what stands against the plan, what could not be checked, and how late each strand is seen. */
export function Preflight({ preflight, leads = true }: { readonly preflight: PreflightSheet; /** False: its places are no links, where nothing lies there yet. */ readonly leads?: boolean }) {
  const { sentence, totals, lines, moreCount, notChecked, detours, assumptions } = preflight;
  return (
    <section className="preflight" aria-labelledby="preflight-title">
      <h2 id="preflight-title">Before the print: the plan</h2>
      <p className="preflight-sentence">{sentence}</p>
      <p className="preflight-totals">{totals}</p>
      {lines.length === 0 ? null : (
        <ol className="preflight-items">
          {lines.map((line, i) => (
            <li key={i} className={line.severity}>
              <span className="kind">{line.label}</span>{" "}
              <span className="value">{line.value}</span>{" "}
              <span className="limit-severity">{line.limit} · {line.severity}</span>{" "}
              {leads ? <a href={placeHash(line.place)}>{line.where}</a> : <span className="where">{line.where}</span>}
              {line.other === "" ? null : <span className="other"> {line.other}</span>}
            </li>
          ))}
        </ol>
      )}
      {moreCount === 0 ? null : <p>{moreCount} more are not shown here; the command inspect with --preflight lists all.</p>}
      {notChecked.length === 0 ? null : (
        <>
          <h3>Not checked</h3>
          <ul className="preflight-not-checked">{notChecked.map(({ label, reason }) => <li key={label}>{label}: {reason}</li>)}</ul>
        </>
      )}
      {detours.length === 0 ? null : (
        <details>
          <summary>From laying to seeing, strand by strand</summary>
          <ul>{detours.map(({ where, words }) => <li key={where}>{where}: {words}</li>)}</ul>
        </details>
      )}
      {assumptions.length === 0 ? null : <ul className="preflight-assumptions">{assumptions.map((words) => <li key={words}>{words}</li>)}</ul>}
    </section>
  );
}
