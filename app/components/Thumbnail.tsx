import type { ThumbnailStrand } from "../../lib/model/sheet.ts";

const WIDTH_PX = 232;
const HEIGHT_PX = 92;
const LAYER_GAP_PX = 8;

function groupByLayer(strands: readonly ThumbnailStrand[]): [number, ThumbnailStrand[]][] {
  const layers = new Map<number, ThumbnailStrand[]>();
  for (const strand of strands) layers.set(strand.layer, [...(layers.get(strand.layer) ?? []), strand]);
  return [...layers];
}

/** Every strand a line, layers side by side; not to scale. What was not seen is left blank. */
export function Thumbnail({ strands }: { readonly strands: readonly ThumbnailStrand[] }) {
  const layers = groupByLayer(strands);
  const longestMm = strands.reduce((longest, strand) => Math.max(longest, strand.lengthMm), 0);
  const columnPx = (WIDTH_PX - LAYER_GAP_PX * Math.max(0, layers.length - 1)) / Math.max(1, layers.length);
  const pxPerMm = longestMm > 0 ? columnPx / longestMm : 0;
  return (
    <svg className="thumbnail" viewBox={`0 0 ${WIDTH_PX} ${HEIGHT_PX}`} aria-hidden="true">
      {layers.map(([layer, ofLayer], column) => {
        const pitchPx = Math.min(9, HEIGHT_PX / ofLayer.length);
        return (
          <g key={layer} transform={`translate(${column * (columnPx + LAYER_GAP_PX)} ${(HEIGHT_PX - pitchPx * ofLayer.length) / 2})`} strokeWidth={Math.max(0.8, pitchPx * 0.45)}>
            {ofLayer.map((strand, row) => strand.stretches.map((stretch) => (
              <line key={`${strand.strand}-${stretch.fromMm}`} className={`look-${stretch.look}`} x1={stretch.fromMm * pxPerMm} x2={stretch.toMm * pxPerMm} y1={(row + 0.5) * pitchPx} y2={(row + 0.5) * pitchPx} />
            )))}
          </g>
        );
      })}
    </svg>
  );
}
