import type { SupportMap, SupportSheet } from "../../../lib/model/supportFound.ts";
import "./Preflight.css";
import { SUPPORT_CLASSES, strandPath, supportPaths, type SupportClass } from "./supportFoundGeometry.ts";

/** Over leans to the right, under to the left; outside the band both are close, and what was seen has a tint of its own: unseen stays blank. */
const LOOKS: Readonly<Record<SupportClass, { readonly gap: number; readonly lean: "/" | "\\" | ""; readonly words: string }>> = {
  underBand: { gap: 3, lean: "\\", words: "under the band" },
  under: { gap: 8, lean: "\\", words: "under, in the outer half of the band" },
  near: { gap: 8, lean: "", words: "in the inner half of the band" },
  over: { gap: 8, lean: "/", words: "over, in the outer half of the band" },
  overBand: { gap: 3, lean: "/", words: "over the band" },
};

/** Largest drawing, px. */
const WIDE_PX = 310, HIGH_PX = 320;

function Hatches({ prefix, pxPerMm }: { readonly prefix: string; readonly pxPerMm: number }) {
  return (
    <defs>
      {SUPPORT_CLASSES.map((name) => {
        const { gap, lean } = LOOKS[name];
        const line = lean === "/" ? `M0 ${gap}L${gap} 0` : lean === "\\" ? `M0 0L${gap} ${gap}` : "";
        return (
          <pattern key={name} id={`${prefix}-${name}`} width={gap} height={gap} patternUnits="userSpaceOnUse" patternTransform={`scale(${1 / pxPerMm})`}>
            <rect width={gap} height={gap} fill="currentColor" fillOpacity="0.08" />
            <path d={line} stroke="currentColor" strokeWidth="0.9" fill="none" />
          </pattern>
        );
      })}
    </defs>
  );
}

function MapDrawing({ map, found, prefix }: { readonly map: SupportMap; readonly found: SupportSheet; readonly prefix: string }) {
  const wide = map.nu * map.cellMm, high = map.nv * map.cellMm, pxPerMm = Math.min(WIDE_PX / wide, HIGH_PX / high);
  const paths = supportPaths(map, found.bandMm);
  const bar = 10 ** Math.floor(Math.log10(wide / 2));
  const under = 22 / pxPerMm;
  return (
    <svg className="support-map" width={wide * pxPerMm} viewBox={`0 0 ${wide} ${high + under}`} role="img" aria-label={`Map of the target under layer 1. ${found.sentence}`}>
      <Hatches prefix={prefix} pxPerMm={pxPerMm} />
      {SUPPORT_CLASSES.map((name) => (paths[name] === "" ? null : <path key={name} d={paths[name]} fill={`url(#${prefix}-${name})`} />))}
      {map.strands.map(({ strand, uvMm }) => <path key={strand} className="centre-line" d={strandPath(map, uvMm)} vectorEffect="non-scaling-stroke" />)}
      {map.strands.map(({ strand, uvMm: [u = 0, v = 0] }) => <text key={strand} x={u} y={high - v} dx={3 / pxPerMm} dy={-4 / pxPerMm} fontSize={13 / pxPerMm} fill="currentColor">{strand}</text>)}
      <path d={`M0 ${high + under / 3}h${bar}`} stroke="currentColor" strokeWidth={1.2 / pxPerMm} />
      <text x={bar + 6 / pxPerMm} y={high + under * 0.6} fontSize={13 / pxPerMm} fill="currentColor">{bar} mm</text>
    </svg>
  );
}

/** The target as found before layer 1: go or no go, a map of its distance from the planned base, and the numbers. */
export function SupportFound({ found }: { readonly found: SupportSheet }) {
  return (
    <section className="support-found" aria-labelledby="support-found-title">
      <h2 id="support-found-title">Before the print: the support as found</h2>
      <p className="support-sentence">{found.sentence}</p>
      <div>{found.maps.map((map, i) => (map.nu * map.nv === 0 ? null : <MapDrawing key={i} map={map} found={found} prefix={`support-${i}`} />))}</div>
      <div>
        <ul className="support-key">
          {SUPPORT_CLASSES.map((name) => (
            <li key={name}>
              <svg width="28" height="16" aria-hidden="true"><Hatches prefix={`support-key-${name}`} pxPerMm={1} /><rect width="28" height="16" fill={`url(#support-key-${name}-${name})`} /></svg> {LOOKS[name].words}
            </li>
          ))}
          <li>blank: not seen, or nothing is laid near</li>
        </ul>
        <table>
          <caption>Distance of the target over the planned base, along the planned normal</caption>
          <tbody>{found.rows.map(({ name, value }) => <tr key={name}><th scope="row">{name}</th><td>{value}</td></tr>)}</tbody>
        </table>
      </div>
    </section>
  );
}
