"use client";
import { useMemo } from "react";
import type { StationLimits } from "../../../lib/model/result.ts";
import type { Sheet, SheetLayer, SheetStrand } from "../../../lib/model/sheet.ts";
import { laneScale, xPx } from "./laneGeometry.ts";
import { bandPath, levelPath, runsOf, spaced, stripScale, yPx } from "./stripGeometry.ts";
import { useWidth } from "./useWidth.ts";

const STRIP_PX = 48;
const GAP_PX = 21;

interface Quantity {
  readonly title: string;
  readonly digits: number;
  readonly value: (strand: SheetStrand) => readonly (number | null)[];
  readonly u: (strand: SheetStrand, i: number) => number | null;
  readonly planned: (strand: SheetStrand, i: number) => number;
  readonly limits: (limits: StationLimits, planned: number) => { readonly watch: readonly [number, number]; readonly act: readonly [number, number] };
}

const around = (planned: number, band: { readonly watch: readonly [number, number]; readonly act: readonly [number, number] }) => ({
  watch: [planned + band.watch[0], planned + band.watch[1]] as const, act: [planned + band.act[0], planned + band.act[1]] as const,
});

const QUANTITIES: readonly Quantity[] = [
  {
    title: "area ratio", digits: 2, value: (strand) => strand.areaRatio, planned: () => 1, limits: (limits) => limits.areaRatio,
    u: (strand, i) => { const u = strand.uAreaMm2[i] ?? null; return u === null ? null : u / (strand.plannedAreaMm2[i] as number); },
  },
  {
    title: "height, mm", digits: 2, value: (strand) => strand.heightMm, u: (strand, i) => strand.uHeightMm[i] ?? null,
    planned: (strand, i) => strand.plannedHeightMm[i] as number, limits: (limits, planned) => around(planned, limits.heightMm),
  },
  {
    title: "offset, mm, + left", digits: 2, value: (strand) => strand.offsetMm, u: (strand, i) => strand.uOffsetMm[i] ?? null, planned: () => 0,
    limits: ({ offsetMm }) => ({ watch: [-offsetMm.watch, offsetMm.watch], act: [-offsetMm.act, offsetMm.act] }),
  },
];

interface StripProps { readonly sheet: Sheet; readonly strand: SheetStrand; readonly quantity: Quantity; readonly x: (sMm: number) => number; readonly rightPx: number; readonly clip: string }

function Strip({ sheet, strand, quantity, x, rightPx, clip }: StripProps) {
  const bands = useMemo(() => strand.sMm.map((_, i) => {
    const planned = quantity.planned(strand, i);
    return { planned, ...quantity.limits(sheet.limits[strand.limits[i] as number] as StationLimits, planned) };
  }), [sheet, strand, quantity]);
  const values = quantity.value(strand);
  const scale = stripScale(bands.map((band) => band.act), values, STRIP_PX);
  const xs = strand.sMm.map(x);
  const first = bands[0];
  const labels = first === undefined ? [] : spaced([first.planned, first.act[0], first.act[1]], scale, 12);
  return (
    <>
      <text className="strip-title" x={xs[0] ?? 0} y={-5}>{quantity.title}</text>
      <path className="watch-band" d={bandPath(xs, bands.map((band) => yPx(scale, band.watch[0])), bands.map((band) => yPx(scale, band.watch[1])))} />
      <path className="act-line" d={levelPath(xs, bands.map((band) => yPx(scale, band.act[0]))) + levelPath(xs, bands.map((band) => yPx(scale, band.act[1])))} />
      <path className="planned-line" d={levelPath(xs, bands.map((band) => yPx(scale, band.planned)))} />
      {labels.map((value) => <text key={value} className="strip-number" x={(xs[0] ?? 0) - 8} y={yPx(scale, value) + 4}>{value.toFixed(quantity.digits).replace("-", "−")}</text>)}
      <g clipPath={`url(#${clip})`}>
        {runsOf(values).map(([from, to]) => {
          const at = xs.slice(from, to);
          const spread = (side: number): number[] => values.slice(from, to).map((value, k) => yPx(scale, (value as number) + side * (quantity.u(strand, from + k) ?? 0)));
          return (
            <g key={from}>
              <path className="u-band" d={bandPath(at, spread(-1), spread(1))} />
              <path className="measured-line" d={levelPath(at, spread(0))} />
            </g>
          );
        })}
      </g>
      <rect className="strip-frame" x={xs[0] ?? 0} y={0} width={Math.max(0, rightPx - (xs[0] ?? 0))} height={STRIP_PX} />
    </>
  );
}

export interface StripsProps { readonly sheet: Sheet; readonly layer: SheetLayer; readonly strand: SheetStrand; readonly station: number }

/** The chosen strand's area ratio, height and offset along its length, under the lanes and to their scale, with watch and act limits and ± u. */
export function Strips({ sheet, layer, strand, station }: StripsProps) {
  const [holder, widthPx] = useWidth<HTMLDivElement>(1000);
  const scale = useMemo(() => laneScale(layer.strands, widthPx), [layer, widthPx]);
  const x = (sMm: number): number => xPx(scale, sMm);
  const heightPx = QUANTITIES.length * (STRIP_PX + GAP_PX);
  const cursorMm = strand.sMm[station];
  return (
    <figure className="strips">
      <figcaption>Strand {strand.strand} of layer {layer.layer} along its length · shaded: within watch · dashed: act · ± u</figcaption>
      <div ref={holder}>
        <svg viewBox={`0 0 ${widthPx} ${heightPx}`} aria-hidden="true">
          <defs><clipPath id="strip-clip"><rect x={0} y={0} width={widthPx} height={STRIP_PX} /></clipPath></defs>
          {QUANTITIES.map((quantity, row) => (
            <g key={quantity.title} transform={`translate(0 ${GAP_PX + row * (STRIP_PX + GAP_PX)})`}>
              <Strip sheet={sheet} strand={strand} quantity={quantity} x={x} rightPx={x(strand.lengthMm)} clip="strip-clip" />
            </g>
          ))}
          {cursorMm === undefined ? null : <line className="centre-line" x1={x(cursorMm)} x2={x(cursorMm)} y1={GAP_PX - 4} y2={heightPx} />}
        </svg>
      </div>
    </figure>
  );
}
