/** One camera of a run: a frame's picture and what was known when it was taken in, what it shows out. Of earlier frames it remembers the colours alone. */
import { dilateMask } from "../kernel/mask.ts";
import type { FramePixels, UnusedReason } from "../model/frame.ts";
import type { Camera, Job } from "../model/job.ts";
import type { Point } from "../model/result.ts";
import type { StationPlan } from "../model/stations.ts";
import { judgeExposure, softnessMm } from "./fitness.ts";
import { cellOf, labelCells, thinned, type Labels } from "./labels.ts";
import { bridgeUndecided, LineReader, type LineReading } from "./line.ts";
import { farFrom, learn, ratiosIn, withoutStrange, type KnownColours, type Look, type Ratios } from "./look.ts";
import { COLOURS, takePicture, type Picture } from "./picture.ts";
import { NOT_LAID, stationColumns, type FrameReading, type FrameScene, type PasteRect, type StationColumns } from "./scene.ts";
import { findShift } from "./shift.ts";
import { setStage, stageModel, type Stage, type StageModel } from "./stage.ts";
import { stationsInView, type Station } from "./station.ts";
import { coarser, NO_SHIFT, pointAt, shifted, viewOf, type Shift, type View } from "./view.ts";
import { beadWidth, edgeLevel, type Width } from "./width.ts";
import { findSeenBodies } from "./bodies.ts";
import { hangArea } from "./hang.ts";

/** Cells of the view on the target, and what is looked at round the plan, mm. */
const CELL_MM = 0.066, MARGIN_MM = 7.5;
/** Cells for frames that may not take long: a bead is some ten of them wide. */
export const QUICK_CELL_MM = 0.1;
/** Fewer places on good beads or of bare target teach nothing. */
const LEAST_PASTE = 40, LEAST_TARGET = 200;
const MOST_LEARNED = 6000;
/** Blur of a greater standard deviation leaves no edge to measure, widths. */
const MOST_SOFT_WIDTHS = 0.15;

/** Everything about one used frame on the way to its reading. */
interface Seen { readonly view: View; readonly stage: Stage; readonly look: Look; readonly stations: readonly Station[]; readonly cellMm: number }

export class CameraEye {
  private readonly columns: StationColumns;
  private readonly model: StageModel;
  private readonly points: Float64Array; // Float64Array[3 · station], plan points
  private known: KnownColours | null = null; // by the newest used frame
  private readonly marked = new Map<string, Ratios | null>(); // by mark

  constructor(private readonly job: Job, private readonly plan: StationPlan, private readonly camera: Camera, private readonly cellMm = CELL_MM) {
    this.columns = stationColumns(plan);
    this.model = stageModel(plan, this.columns);
    this.points = Float64Array.from({ length: 3 * this.columns.count }, (_, i) => this.columns.frames[12 * Math.floor(i / 3) + (i % 3)] as number);
  }

  /** Marks of a scene whose pictures have not been learned from. */
  unlearned({ marks }: FrameScene): readonly PasteRect[] {
    return marks.filter((mark) => !this.marked.has(keyOf(mark)));
  }

  /** Learns what paste looks like where a person says that all is paste. `pixels`: of the mark's frame; null: it cannot be read. */
  learnMark(mark: PasteRect, pixels: FramePixels | null): void {
    this.marked.set(keyOf(mark), pixels === null ? null : ratiosIn(pixels, mark.rectPx));
  }

  /** By the newest mark that taught something; null: none did. */
  private markedPaste({ marks }: FrameScene): Ratios | null {
    return marks.map((mark) => this.marked.get(keyOf(mark)) ?? null).findLast((ratios) => ratios !== null) ?? null;
  }

  /** `pixels` null: the picture cannot be read. */
  measure(scene: FrameScene, pixels: FramePixels | null): FrameReading {
    if (pixels === null) return this.empty(scene, "unreadable");
    if (scene.frame !== "plan") return this.empty(scene, "poseDisagrees");
    const laid = this.laidPoints(scene), view = laid.length === 0 ? null : viewOf(this.camera, scene.pose, laid, { marginMm: MARGIN_MM, cellMm: this.cellMm });
    if (view === null) return this.empty(scene, "nothingLearned");
    const stage = setStage(this.model, view, scene, this.job.nozzle), stations = stationsInView(this.plan, this.columns, view, scene);
    if (stations.length === 0) return this.empty(scene, "nothingLearned");
    const cellMm = meanCellMm(view, stations);
    const taken = (into: View, moved: Shift, size: number): Picture => {
      const picture = takePicture(into, pixels, this.camera.maskPx, moved);
      return this.known === null ? picture : withoutStrange(picture, into, this.known, size);
    };
    const rough = withoutNozzle(taken(coarser(view), NO_SHIFT, 2 * cellMm), view, stage, cellMm), known = { model: this.model, stage, view, stations, scene, cellMm }, byProfiles = labelCells(known, (i) => scene.good[i] === 1);
    const mark = byProfiles.pasteX.length < LEAST_PASTE ? this.markedPaste(scene) : null, labels = mark === null ? byProfiles : labelCells(known, () => true);
    if (labels.pasteX.length < LEAST_PASTE || labels.target.length < LEAST_TARGET) return this.empty(scene, "nothingLearned");
    if (!judgeExposure(rough, view, labels)) return this.empty(scene, "badExposure");
    const { separability: limit, poseErrorMm: limitMm } = this.job.tolerance.camera;
    const shift = findShift(rough, view, labels, { cellMm, limitMm }), poseErrorMm = this.shiftMm(view, stations, labels, shift), picture = taken(view, shift, cellMm), paste = likeMark(picture, pasteCells(view, labels), mark);
    if (paste.length < LEAST_PASTE) return this.empty(scene, "notSeparable");
    const look = learn(picture, view, paste, thinned(labels.target, MOST_LEARNED), cellMm);
    const facts = { separability: look.separability, poseErrorMm };
    if (!(look.separability >= limit)) return this.empty(scene, "notSeparable", { separability: look.separability });
    if (poseErrorMm > limitMm) return this.empty(scene, "poseDisagrees", facts);
    return this.read(scene, { view, stage, look, stations, cellMm }, facts);
  }

  private read(scene: FrameScene, seen: Seen, facts: Facts): FrameReading {
    const { view, stage, look, stations, cellMm } = seen, reader = new LineReader({ model: this.model, stage, view, look, cellMm, gapRatio: this.job.tolerance.gapRatio });
    const lines = stations.map((station) => reader.read(station));
    if (softnessMm(lines) > MOST_SOFT_WIDTHS * meanWidthMm(stations)) return this.empty(scene, "blurred", facts);
    bridgeUndecided(stations, lines, this.columns.strandOf, this.plan.spacingMm);
    const widths = lines.map((line, k) => beadWidth(this.plan.beadShape, stations[k] as Station, line, cellMm)), level = edgeLevel(scene, stations, widths);
    if (level === null) return this.empty(scene, "notSeparable", facts);
    this.known = look.known;
    const reading = this.empty(scene, null, facts);
    stations.forEach((station, k) => note(scene, station, { line: lines[k] as LineReading, width: widths[k] as Width, level }, reading));
    const bodies = findSeenBodies({ ...seen, model: this.model, scene, leastMm2: this.job.tolerance.strayAreaMm2 ?? 0.5 * meanWidthMm(stations) ** 2 });
    return { ...reading, bodies: bodies.bodies, placesSeen: bodies.placesSeen, nozzleHangMm2: hangArea({ ...seen, scene, nozzle: this.job.nozzle, widthMm: meanWidthMm(stations) }) };
  }

  private laidPoints(scene: FrameScene): Float64Array {
    const out: number[] = [];
    for (let i = 0; i < this.columns.count; i++) if (scene.laid[i] !== 0) out.push(this.points[3 * i] as number, this.points[3 * i + 1] as number, this.points[3 * i + 2] as number);
    return Float64Array.from(out);
  }

  /** Mean distance on the target that the shift moves the learned places by. */
  private shiftMm(view: View, stations: readonly Station[], labels: Labels, shift: Shift): number {
    const byIndex = new Map(stations.map((station) => [station.index, station]));
    let sum = 0, n = 0;
    for (let k = 0; k < labels.pasteX.length; k += 3) {
      const station = byIndex.get(labels.pasteStation[k] as number) as Station, x = labels.pasteX[k] as number, y = labels.pasteY[k] as number;
      sum += distanceOn(this.columns, view, station, [x, y], shifted(shift, x, y));
      n++;
    }
    return n === 0 ? Number.NaN : sum / n;
  }

  /** A reading that says nothing yet; with a reason it says nothing at all. */
  private empty(scene: FrameScene, reason: UnusedReason | null, { separability = Number.NaN, poseErrorMm = Number.NaN }: Facts = {}): FrameReading {
    const n = this.columns.count, nan = (): Float32Array => new Float32Array(n).fill(Number.NaN);
    return {
      file: scene.file, device: scene.device, tS: scene.tS, layer: scene.layer, reason, separability, poseErrorMm, states: new Uint8Array(n), attempt: scene.attempt,
      pasteFraction: nan(), widthMm: nan(), uWidthMm: nan(), bodies: [], placesSeen: new Uint8Array(scene.places.length), nozzleHangMm2: Number.NaN, tip: scene.nozzle?.tip ?? null, middle: this.middleOf(scene),
    };
  }

  private middleOf(scene: FrameScene): Point {
    const laid = this.laidPoints(scene), n = Math.max(1, laid.length / 3), sum: [number, number, number] = [0, 0, 0];
    for (let i = 0; i < laid.length; i++) sum[i % 3] = (sum[i % 3] as number) + (laid[i] as number) / n;
    return sum;
  }
}

/** Round the nozzle nothing is looked up, mm: its metal may be as grey as paste. */
const ROUND_NOZZLE_MM = 1;

/** `picture` in cells twice as large as the stage's. */
function withoutNozzle(picture: Picture, fine: View, { layers, ids }: Stage, cellMm: number): Picture {
  const { width, height } = coarser(fine), metal = new Uint8Array(width * height);
  let count = 0;
  for (let r = 0; r < height; r++) for (let c = 0; c < width; c++) if (layers.id1[2 * r * fine.width + 2 * c] === ids.nozzle) { metal[r * width + c] = 1; count++; }
  if (count === 0) return picture;
  const near = dilateMask(metal, width, height, Math.round(ROUND_NOZZLE_MM / (2 * cellMm))), colours = picture.colours.slice();
  for (let at = 0; at < near.length; at++) if (near[at] === 1) colours.fill(Number.NaN, COLOURS * at, COLOURS * (at + 1));
  return { ...picture, colours };
}

/** What one station's line and width say, into the frame's columns. */
function note(scene: FrameScene, station: Station, { line, width, level }: { readonly line: LineReading; readonly width: Width; readonly level: Width }, reading: FrameReading): void {
  if (scene.laid[station.index] === NOT_LAID) return;
  reading.states[station.index] = line.state;
  reading.pasteFraction[station.index] = line.pasteFraction;
  reading.widthMm[station.index] = width.widthMm - level.widthMm;
  reading.uWidthMm[station.index] = Math.sqrt(width.uWidthMm ** 2 + level.uWidthMm ** 2);
}

interface Facts { readonly separability?: number; readonly poseErrorMm?: number }

const keyOf = ({ file, rectPx }: PasteRect): string => `${file} ${rectPx.join(" ")}`;

/** Cells that look like what a person marked; all of them without a mark. */
function likeMark({ colours }: Picture, cells: Int32Array, mark: Ratios | null): Int32Array {
  if (mark === null) return cells;
  const far = farFrom(mark);
  return cells.filter((at) => far(colours[COLOURS * at + 1]!, colours[COLOURS * at + 2]!) < LIKE_MARK);
}
/** Squared distance within which a colour is the marked one: 99.7 % of two normal variables. */
const LIKE_MARK = 12;

function pasteCells(view: View, { pasteX, pasteY }: Labels): Int32Array {
  return thinned(Int32Array.from(pasteX, (x, k) => cellOf(view, x, pasteY[k] as number)), MOST_LEARNED);
}

/** Size of a cell on the target, square to the view, mm; of at least one station. */
function meanCellMm(view: View, stations: readonly Station[]): number {
  let sum = 0;
  for (const { inverse } of stations) sum += view.step / (view.lens.fx * inverse);
  return sum / stations.length;
}

function meanWidthMm(stations: readonly Station[]): number {
  return stations.reduce((sum, { plannedWidthMm }) => sum + plannedWidthMm, 0) / stations.length;
}

/** Distance between two cells' rays in the plane through the station's bead, mm. */
function distanceOn({ frames }: StationColumns, view: View, { index, inverse }: Station, a: readonly [number, number], b: readonly [number, number]): number {
  const o = 12 * index, n = [frames[o + 6]!, frames[o + 7]!, frames[o + 8]!] as const, at = pointAt(view, a[0], a[1], inverse), far = pointAt(view, b[0], b[1], inverse), { t } = view.place;
  const dx = far[0] - t[0], dy = far[1] - t[1], dz = far[2] - t[2];
  const k = ((at[0] - t[0]) * n[0] + (at[1] - t[1]) * n[1] + (at[2] - t[2]) * n[2]) / (dx * n[0] + dy * n[1] + dz * n[2]);
  const x = t[0] + k * dx - at[0], y = t[1] + k * dy - at[1], z = t[2] + k * dz - at[2];
  return Math.sqrt(x * x + y * y + z * z);
}
