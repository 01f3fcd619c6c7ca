/** The chart of one quantity as chart.js takes it: lines by type and thickness, bands by shade, all in the sheet's inks. */
import type { ChartConfiguration, ChartDataset, Plugin } from "chart.js";
import type { Inks } from "../../components/inks.ts";
import type { Series } from "./courseSeries.ts";
import { thinnedPoints, yRange } from "./courseSeries.ts";
import type { Metric } from "./metrics.ts";

const FONT = { family: '"Barlow Semi Condensed", "Arial Narrow", sans-serif', size: 14 };
/** Share of the width that the name of a layer or strand needs; nearer starts stay without one. */
const NAME_PX = 58;

type Line = ChartDataset<"line", { x: number; y: number | null }[]>;

const base = { pointRadius: 0, pointHitRadius: 0, borderJoinStyle: "round", spanGaps: false, tension: 0 } as const;

/** Shades of two inks over the sheet, so that neither depends on hue. */
function shade(ink: string, percent: number): string {
  return `color-mix(in srgb, ${ink} ${percent}%, transparent)`;
}

function lines(series: Series, inks: Inks): Line[] {
  const line = (values: Float64Array, look: Partial<Line>): Line => ({ ...base, data: thinnedPoints(series, values), borderColor: inks.quiet, borderWidth: 0.9, ...look });
  return [
    line(series.value, { borderColor: inks.ink, borderWidth: 1.8, pointRadius: loneRadius }),
    line(series.planned, { borderWidth: 0.7 }),
    line(series.actLow, { borderDash: [5, 4] }),
    line(series.actHigh, { borderDash: [5, 4] }),
    line(series.low, { borderWidth: 0 }),
    line(series.high, { borderWidth: 0, fill: 4, backgroundColor: shade(inks.ink, 16) }),
    line(series.watchLow, { borderWidth: 0 }),
    line(series.watchHigh, { borderWidth: 0, fill: 6, backgroundColor: inks.faint }),
  ].map((dataset, order) => ({ ...dataset, order }));
}

/** A value with nothing on either side has no line: it is a dot. */
function loneRadius({ dataIndex, dataset }: { readonly dataIndex: number; readonly dataset: { readonly data: readonly unknown[] } }): number {
  const there = (i: number): boolean => ((dataset.data[i] as { y: number | null } | undefined)?.y ?? null) !== null;
  return there(dataIndex) && !there(dataIndex - 1) && !there(dataIndex + 1) ? 1.2 : 0;
}

/** Thin lines where layers or strands begin, and the chosen station as a centre line. */
function marks(series: Series, inks: Inks, cursor: { readonly xMm: number | null }): Plugin<"line"> {
  return {
    id: "marks",
    afterDatasetsDraw(chart) {
      const { ctx, chartArea: { top, bottom, left, right }, scales } = chart;
      const xScale = scales["x"];
      if (xScale === undefined) return;
      const upright = (x: number, ink: string, widthPx: number, dash: number[]): void => {
        ctx.beginPath();
        ctx.strokeStyle = ink;
        ctx.lineWidth = widthPx;
        ctx.setLineDash(dash);
        ctx.moveTo(x, top);
        ctx.lineTo(x, bottom);
        ctx.stroke();
      };
      ctx.save();
      ctx.font = `${FONT.size - 1}px ${FONT.family}`;
      ctx.fillStyle = inks.quiet;
      let freeFrom = -Infinity;
      for (const { xMm, name } of series.starts) {
        const x = xScale.getPixelForValue(xMm);
        if (x > left + 1) upright(x, inks.hair, 1, []);
        if (x < freeFrom || x > right - NAME_PX) continue;
        ctx.fillText(name, x + 4, top - 5);
        freeFrom = x + NAME_PX;
      }
      if (cursor.xMm !== null) upright(xScale.getPixelForValue(cursor.xMm), inks.ink, 0.9, [12, 3, 2, 3]);
      ctx.restore();
    },
  };
}

export interface CourseOptions {
  readonly inks: Inks;
  readonly metric: Metric;
  /** Read at each draw. */
  readonly cursor: { readonly xMm: number | null };
  readonly onPlace: (xMm: number) => void;
  /** Device pixels a px; paper wants more than a screen. */
  readonly pixelRatio: number;
}

/** Everything that chart.js needs; no animation, no tooltip: the sheet's own read-out says more. */
export function courseConfig(series: Series, { inks, metric, cursor, onPlace, pixelRatio }: CourseOptions): ChartConfiguration<"line", { x: number; y: number | null }[]> {
  const [min, max] = yRange(series);
  const number = (value: number | string, digits: number): string => Number(value).toFixed(digits).replace("-", "−");
  const axis = { type: "linear" as const, border: { color: inks.hair }, grid: { color: inks.faint } };
  return {
    type: "line", data: { datasets: lines(series, inks) }, plugins: [marks(series, inks, cursor)],
    options: {
      animation: false, responsive: true, maintainAspectRatio: false, parsing: false, normalized: true, devicePixelRatio: pixelRatio, events: ["click"], layout: { padding: { top: 18, right: 12 } },
      onClick: (event, _, chart) => { if (event.x !== null) onPlace(chart.scales["x"]?.getValueForPixel(event.x) ?? Number.NaN); },
      scales: {
        x: { ...axis, min: 0, max: series.endMm, ticks: { color: inks.quiet, font: FONT, maxRotation: 0, autoSkipPadding: 40 }, title: { display: true, text: "length along the strands, mm", color: inks.quiet, font: FONT } },
        y: { ...axis, min, max, ticks: { color: inks.quiet, font: FONT, maxTicksLimit: 7, callback: (value) => number(value, metric.digits) }, title: { display: true, text: metric.unit === "" ? metric.label : `${metric.label}, ${metric.unit}`, color: inks.quiet, font: FONT } },
      },
    },
  };
}
