/** Frames a second of a run's page with 100 000 stations while it scrolls and zooms, in headless Chromium without a graphics card. */
import type { Page } from "playwright-core";
import type { InspectResult, StationLimits, StationResult } from "../model/result.ts";
import { newId, nowIso } from "../server/settings.ts";
import type { Store } from "../store/openStore.ts";
import { writeRun } from "../store/writeRun.ts";
import type { BenchRow } from "./bench.ts";
import { hasBrowser, inBrowser } from "./benchBrowser.ts";
import { served } from "./benchServer.ts";
import type { Io } from "./io.ts";

const LAYERS = 4, STRANDS = 25, STATIONS = 1000, SPACING_MM = 0.5;
/** Frames taken of each movement. */
const FRAMES = 120;
const LIMITS: StationLimits = {
  areaRatio: { watch: [0.9, 1.1], act: [0.8, 1.25] }, widthMm: { watch: [-0.1, 0.1], act: [-0.2, 0.2] }, heightMm: { watch: [-0.06, 0.06], act: [-0.12, 0.12] },
  offsetMm: { watch: 0.15, act: 0.3 }, gapRatio: 0.25, liftMm: 0.15, strayAreaMm2: 0.5,
};

/** A station whose bead differs from its neighbours', so that no line is level and can be drawn with fewer points. */
export function benchStation(layer: number, strand: number, i: number): StationResult {
  const wave = (k: number): number => Math.sin(i * (0.9 + 0.13 * k) + strand + layer) + Math.sin(i * 0.031 * (k + 1));
  const [widthMm, heightMm, areaMm2, offsetMm] = [1 + 0.03 * wave(1), 0.5 + 0.012 * wave(2), 0.473 * (1 + 0.03 * wave(3)), 0.03 * wave(4)];
  return {
    layer, strand, sMm: i * SPACING_MM, attempt: 1, position: [i * SPACING_MM, strand * 1.4, layer * 0.5], laid: true, planned: { widthMm: 1, heightMm: 0.5, areaMm2: 0.473 },
    measured: { widthMm, heightMm, areaMm2, offsetMm, coverage: 0.97, support: "measured", ageS: 0.6 }, u: { widthMm: 0.02, heightMm: 0.006, areaMm2: 0.008, offsetMm: 0.01, placementMm: null },
    areaRatio: areaMm2 / 0.473, verdict: "inBand", proven: true, sagMm: null, camera: null, limits: LIMITS,
  };
}

function madeResult(): InspectResult {
  const count = LAYERS * STRANDS * STATIONS;
  const stations = Array.from({ length: count }, (_, k) => benchStation(1 + Math.floor(k / (STRANDS * STATIONS)), 1 + Math.floor(k / STATIONS) % STRANDS, k % STATIONS));
  return {
    contract: "aslaid/1", warnings: [], tolerance: {}, stations, findings: [], events: [], frames: [], motion: null, earlierAttempts: [],
    summary: { stations: count, laid: count, measured: count, inBandLengthFraction: 1, plannedVolumeMm3: 1, measuredVolumeMm3: 1 },
  };
}

/** Writes the run; its id. */
function fill({ db }: Store): string {
  const sha256 = "0".repeat(64), lengthMm = (STATIONS - 1) * SPACING_MM;
  return writeRun(db, {
    run: {
      id: newId(), createdAt: nowIso(), contentSha256: sha256, name: "bench", specimen: null, materialName: "none", lot: null, beadShape: "stadium", state: "recorded", rehearsal: false, demo: false,
      jobText: "{}", jobSha256: sha256, planFile: "plan.csv", planText: "", planSha256: sha256, layerCount: LAYERS, strandCount: LAYERS * STRANDS, plannedLengthMm: LAYERS * STRANDS * lengthMm,
    },
    strands: Array.from({ length: LAYERS * STRANDS }, (_, k) => ({ layer: 1 + Math.floor(k / STRANDS), strand: 1 + k % STRANDS, approach: 1, waypointCount: 2, lengthMm, closed: false })),
    resultId: newId(), computedAt: nowIso(), acceptance: { minMeasuredFraction: 0.95, minInBandFraction: 0.9, maxActFindings: 0 }, result: madeResult(),
  });
}

type Movement = "scrolling down" | "zooming" | "scrolling along";

/** Milliseconds a frame, median, while the unrolled strands move a step each frame. */
function frameMs(page: Page, movement: Movement): Promise<number> {
  return page.evaluate(async ({ movement: what, frames }) => {
    const view = document.querySelector(".lanes-view") as HTMLElement;
    const frame = (): Promise<number> => new Promise((done) => { requestAnimationFrame(done); });
    const wheel = (deltaY: number): boolean => view.dispatchEvent(new WheelEvent("wheel", { deltaY, ctrlKey: true, clientX: 500, clientY: 300, bubbles: true, cancelable: true }));
    const ms: number[] = [];
    let before = await frame();
    for (let i = 0; i < frames; i++) {
      if (what === "scrolling down") view.scrollTop = i * 7 % (view.scrollHeight - view.clientHeight);
      else if (what === "scrolling along") view.scrollLeft = i * 23 % (view.scrollWidth - view.clientWidth);
      else wheel(i < frames / 2 ? -20 : 20);
      const now = await frame();
      ms.push(now - before);
      before = now;
    }
    return ms.sort((a, b) => a - b)[frames >> 1] as number;
  }, { movement, frames: FRAMES });
}

/** Rows of frames a second at 100 000 stations; a row that says so where there is no Chromium. */
export async function pageRows(io: Io): Promise<BenchRow[]> {
  if (!hasBrowser()) return [{ what: "frames a second at 100 000 stations", value: "no Chromium", aim: "≥ 30" }];
  io.err("writing a run of 100 000 stations");
  return served(fill, ({ url }, runId) => inBrowser(async (browser) => {
    const page = await browser.newPage({ viewport: { width: 1920, height: 1080 } });
    const began = io.nowMs();
    await page.goto(`${url}/runs/${runId}`);
    await page.waitForSelector(".lanes-view canvas[style]");
    const rows: BenchRow[] = [{ what: "opening the page of 100 000 stations", value: `${((io.nowMs() - began) / 1000).toFixed(1)} s`, aim: "" }];
    for (const movement of ["scrolling down", "zooming", "scrolling along"] as const) {
      io.err(`the page, ${movement}`);
      rows.push({ what: `frames a second at 100 000 stations, ${movement}`, value: (1000 / await frameMs(page, movement)).toFixed(0), aim: "≥ 30" });
    }
    return rows;
  }));
}
