import Link from "next/link";
import type { Beside, BesideFindings } from "../../lib/model/beside.ts";
import type { ReportTable } from "../../lib/model/report.ts";
import { DrawingSvg } from "../components/DrawingSvg.tsx";

function Table({ table: { caption, columns, rows } }: { readonly table: ReportTable }) {
  return (
    <div className="wide-table">
      <table>
        <caption>{caption}</caption>
        <thead><tr>{columns.map(({ title, isNumber }) => <th key={title} scope="col" className={isNumber ? "number" : undefined}>{title}</th>)}</tr></thead>
        <tbody>{rows.map((row) => <tr key={row.join("|")}>{row.map((cell, i) => (i === 0 ? <th key={i} scope="row" className={columns[i]?.isNumber === true ? "number" : undefined}>{cell}</th> : <td key={i} className={columns[i]?.isNumber === true ? "number" : undefined}>{cell}</td>))}</tr>)}</tbody>
      </table>
    </div>
  );
}

function Lines({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
  return (
    <div>
      <h3>{title} · {lines.length}</h3>
      {lines.length === 0 ? <p className="none">There are none.</p> : <ul>{lines.map((line) => <li key={line}>{line}</li>)}</ul>}
    </div>
  );
}

function Findings({ findings }: { readonly findings: BesideFindings | null }) {
  if (findings === null) return <p className="none">The plans differ, so nobody can say which finding lies where another does; the table of counts tells how many there are of each kind.</p>;
  return (
    <>
      <div className="two-sides"><Lines title="Only in A" lines={findings.onlyA} /><Lines title="Only in B" lines={findings.onlyB} /></div>
      <h3>In both, at places that overlap · {findings.both.length}</h3>
      {findings.both.length === 0 ? <p className="none">There are none.</p> : <ul>{findings.both.map(({ a, b }) => <li key={a} className="two-sides"><span>A: {a}</span><span>B: {b}</span></li>)}</ul>}
    </>
  );
}

/** Two results: facts and amounts, maps to one scale, findings, strands. */
export function BesideSheet({ beside: { facts, amounts, layers, maps, findings, means }, pathOfLayer }: { readonly beside: Beside; readonly pathOfLayer: (layer: number) => string }) {
  return (
    <div className="beside-body">
      <section aria-labelledby="facts-title">
        <h2 id="facts-title">What the two are</h2>
        <div className="wide-table"><table>
          <thead><tr><th scope="col">fact</th><th scope="col">A</th><th scope="col">B</th><th scope="col">alike</th></tr></thead>
          <tbody>{facts.map(({ name, a, b, isSame }) => <tr key={name} className={isSame ? undefined : "differs"}><th scope="row">{name}</th><td>{a}</td><td>{b}</td><td>{isSame ? "same" : "differs"}</td></tr>)}</tbody>
        </table></div>
      </section>
      <section aria-labelledby="amounts-title"><h2 id="amounts-title">How much</h2><Table table={amounts} /></section>
      <section aria-labelledby="maps-title">
        <h2 id="maps-title">As it lies, each layer to one scale on both sides</h2>
        {maps.length === layers.length ? null : (
          <p className="side-results"><span>layer</span>{layers.map((layer) => <Link key={layer} href={pathOfLayer(layer)} aria-current={layer === maps[0]?.layer ? "true" : undefined}>{layer}</Link>)}</p>
        )}
        {maps.map(({ layer, a, b }) => (
          <div key={layer} className="two-sides">
            {a === null ? <p className="none">A has no layer {layer}.</p> : <DrawingSvg drawing={a} />}
            {b === null ? <p className="none">B has no layer {layer}.</p> : <DrawingSvg drawing={b} />}
          </div>
        ))}
      </section>
      <section aria-labelledby="findings-beside"><h2 id="findings-beside">Findings</h2><Findings findings={findings} /></section>
      <section aria-labelledby="means-title">
        <h2 id="means-title">Strand by strand</h2>
        {means === null
          ? <p className="none">{findings === null ? "The plans differ, so their strands cannot be compared." : "Of one of the two no strand means are kept: it is from before they were."}</p>
          : <><DrawingSvg drawing={means.drawing} /><Table table={means.table} /></>}
      </section>
    </div>
  );
}
