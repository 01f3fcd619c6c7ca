"use client";
import { Chart, Filler, LineController, LineElement, LinearScale, PointElement } from "chart.js";
import { useEffect, useEffectEvent, useId, useLayoutEffect, useMemo, useRef, useState } from "react";
import type { Sheet } from "../../../lib/model/sheet.ts";
import { PAPER_INKS, useInks } from "../../components/inks.ts";
import { courseConfig } from "./courseChart.ts";
import type { Scope } from "./courseSeries.ts";
import { SCOPES, buildSeries, seriesWords, strandAt, strandsOf, xOfPlace } from "./courseSeries.ts";
import { nearestStation } from "./laneGeometry.ts";
import type { MetricKey } from "./metrics.ts";
import { METRICS, METRIC_TABLE } from "./metrics.ts";
import type { StationPick } from "./picks.ts";

Chart.register(LineController, LineElement, PointElement, LinearScale, Filler);

/** Device pixels a px on paper. */
const PAPER_RATIO = 3;

interface Props { readonly sheet: Pick<Sheet, "layers" | "limits">; readonly pick: StationPick; readonly printing: boolean; readonly onStation: (pick: StationPick) => void }

const SCOPE_WORDS = (pick: StationPick): Readonly<Record<Scope, string>> => ({ run: "the run", layer: `layer ${pick.layer}`, strand: `strand ${pick.strand} of layer ${pick.layer}` });

/** Any quantity along the run, a layer or a strand, with its limits and ± u. */
export function Course({ sheet, pick, printing, onStation }: Props) {
  const [key, setKey] = useState<MetricKey>("areaRatio");
  const [scope, setScope] = useState<Scope>("run");
  const canvas = useRef<HTMLCanvasElement>(null);
  const chart = useRef<Chart<"line", { x: number; y: number | null }[]> | null>(null);
  const cursor = useRef<{ xMm: number | null }>({ xMm: null });
  const wordsId = useId();
  const metric = METRIC_TABLE[key];
  const layer = scope === "run" ? 0 : pick.layer, strand = scope === "strand" ? pick.strand : 0;
  const strands = useMemo(() => strandsOf(sheet, scope, { layer, strand, station: 0 }), [sheet, scope, layer, strand]);
  const series = useMemo(() => buildSeries(sheet, strands, metric, scope), [sheet, strands, metric, scope]);
  const words = useMemo(() => seriesWords(series, metric), [series, metric]);
  const screenInks = useInks();
  const inks = printing ? PAPER_INKS : screenInks;
  const onPlace = useEffectEvent((xMm: number) => {
    const found = strandAt(strands, xMm);
    if (found !== null) onStation({ layer: found.strand.layer, strand: found.strand.strand, station: nearestStation(found.strand, found.sMm) });
  });

  useLayoutEffect(() => {
    if (canvas.current === null) return undefined;
    const made = new Chart(canvas.current, courseConfig(series, { inks, metric, cursor: cursor.current, onPlace: (xMm) => onPlace(xMm), pixelRatio: printing ? PAPER_RATIO : window.devicePixelRatio }));
    chart.current = made;
    return () => made.destroy();
  }, [series, metric, inks, printing]);
  useEffect(() => {
    cursor.current.xMm = xOfPlace(strands, pick);
    chart.current?.draw();
  }, [strands, pick]);

  const scopes = SCOPE_WORDS(pick);
  return (
    <figure className="course">
      <figcaption>
        <span>Along the run · thick: measured, ± u shaded · thin: planned · shaded band: within watch · dashed: act</span>
      </figcaption>
      <div className="course-choice">
        <label>Quantity <select value={key} onChange={(event) => setKey(event.target.value as MetricKey)}>{METRICS.map((each) => <option key={each} value={each}>{METRIC_TABLE[each].label}</option>)}</select></label>
        <label>of <select value={scope} onChange={(event) => setScope(event.target.value as Scope)}>{SCOPES.map((each) => <option key={each} value={each}>{scopes[each]}</option>)}</select></label>
      </div>
      <div className="course-canvas"><canvas ref={canvas} role="img" aria-label={`${metric.label} along ${scopes[scope]}`} aria-describedby={wordsId} /></div>
      <p id={wordsId} className="course-words">{words}</p>
    </figure>
  );
}
