import type { PlanPicture } from "../../lib/model/prepare.ts";

const WIDTH_PX = 600, MOST_HEIGHT_PX = 300, EDGE_PX = 14, BAR_PX = 34;

/** A round length (1, 2, 5 · 10ⁿ) that is about a fifth of the picture, mm. */
function barMm(widthMm: number): number {
  const decade = 10 ** Math.floor(Math.log10(Math.max(widthMm / 5, 1e-3)));
  return ([5, 2, 1].find((step) => step * decade <= widthMm / 5) ?? 1) * decade;
}

/** The plan's strands as thin lines (ISO 128: planned), all layers over each other, to scale. */
export function PlanView({ picture: { widthMm, heightMm, words, strands } }: { readonly picture: PlanPicture }) {
  const scale = Math.min((WIDTH_PX - 2 * EDGE_PX) / Math.max(widthMm, 1e-3), (MOST_HEIGHT_PX - 2 * EDGE_PX) / Math.max(heightMm, 1e-3));
  const [leftPx, heightPx] = [(WIDTH_PX - widthMm * scale) / 2, heightMm * scale + 2 * EDGE_PX], bar = barMm(widthMm);
  const path = (places: readonly number[]): string => places.map((value, i) => `${i % 2 === 0 ? (i === 0 ? "M" : "L") : " "}${((i % 2 === 0 ? leftPx : EDGE_PX) + value * scale).toFixed(1)}`).join("");
  const layerCount = new Set(strands.map(({ layer }) => layer)).size;
  return (
    <figure className="plan-view">
      <figcaption>The plan · {strands.length} strand{strands.length === 1 ? "" : "s"} of {layerCount} layer{layerCount === 1 ? "" : "s"} over each other · {words}</figcaption>
      <svg viewBox={`0 0 ${WIDTH_PX} ${heightPx + BAR_PX}`} aria-hidden="true">
        {strands.map(({ layer, places }, i) => <path key={i} className="planned-line" d={path(places)} data-layer={layer} />)}
        <g className="scale-bar">
          <path d={`M${EDGE_PX} ${heightPx + 8}v6h${bar * scale}v-6`} />
          <text x={EDGE_PX + (bar * scale) / 2} y={heightPx + 29}>{Number(bar.toPrecision(2))} mm</text>
        </g>
      </svg>
    </figure>
  );
}
