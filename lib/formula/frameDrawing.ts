/** The lines over a camera frame: planned strands as the camera must see them where its pose puts it, drawn by what the frame shows of them. */
import { LensView } from "../kernel/lensView.ts";
import { add, cross, reject, scale, sub, dot, unit, type Vec3 } from "../kernel/vec.ts";
import type { CameraState, FrameBody, FrameResult, FrameStretch } from "../model/frame.ts";
import type { FrameDrawing, FrameLine, FrameLook, FrameTag } from "../model/frameView.ts";
import type { Camera, Pose } from "../model/job.ts";

/** One strand station by station: columns of one length, places and directions three each. */
export interface FramedStrand {
  readonly layer: number;
  readonly strand: number;
  readonly sMm: ArrayLike<number>;
  /** The top of the planned bead. */
  readonly positionsMm: ArrayLike<number>;
  readonly tangents: ArrayLike<number>;
  readonly normals: ArrayLike<number>;
  readonly plannedWidthMm: ArrayLike<number>;
  readonly plannedHeightMm: ArrayLike<number>;
}

export interface FrameScene {
  readonly camera: Camera;
  /** Carries the camera's coordinates into `plan`. */
  readonly pose: Pose;
  readonly strands: readonly FramedStrand[];
  readonly frame: Pick<FrameResult, "stretches" | "bodies">;
  /** Planned lines are drawn of its strands. */
  readonly layer: number;
  /** A station that is looked at; null: none. `station`: place in the strand, from 0. */
  readonly chosen: { readonly layer: number; readonly strand: number; readonly station: number } | null;
  /** Letters that stand at places of the plan: findings. */
  readonly letters: readonly { readonly position: Vec3; readonly text: string }[];
}

/** Lines go on so far beyond the picture, as a share of its longer side, before they end. */
const MARGIN = 0.05;
const DISC_CORNERS = 32;
/** The line across a station that is looked at, in planned widths. */
export const CHOSEN_WIDTHS = 1.8;

type Pixel = readonly [number, number] | null;

/** Places of a strand, read between its stations. `f`: station from 0, whole or half. */
class Strip {
  readonly strand: FramedStrand;

  constructor(strand: FramedStrand) { this.strand = strand; }

  get last(): number { return this.strand.sMm.length - 1; }

  private read(column: ArrayLike<number>, f: number, size: number, k: number): number {
    const i = Math.floor(f), a = column[size * i + k] as number;
    return f === i ? a : (a + (column[size * (i + 1) + k] as number)) / 2;
  }

  /** So far to the left of travel and over the top of the planned bead. */
  at(f: number, leftMm: number, upMm: number): Vec3 {
    const { positionsMm, tangents, normals } = this.strand, of = (column: ArrayLike<number>): Vec3 => [this.read(column, f, 3, 0), this.read(column, f, 3, 1), this.read(column, f, 3, 2)];
    const normal = of(normals);
    return add(of(positionsMm), add(scale(cross(normal, of(tangents)), leftMm), scale(normal, upMm)));
  }

  widthMm(f: number): number { return this.read(this.strand.plannedWidthMm, f, 1, 0); }
  heightMm(f: number): number { return this.read(this.strand.plannedHeightMm, f, 1, 0); }

  /** First and last station of a stretch; null: it holds none. */
  stations({ fromMm, toMm }: Pick<FrameStretch, "fromMm" | "toMm">): readonly [number, number] | null {
    const { sMm } = this.strand;
    let from = 0, to = this.last;
    while (from <= to && (sMm[from] as number) < fromMm - 1e-6) from++;
    while (to >= from && (sMm[to] as number) > toMm + 1e-6) to--;
    return from > to ? null : [from, to];
  }

  /** Stations from half-way before the first to half-way after the last: stretches that divide a strand meet. */
  steps([from, to]: readonly [number, number]): number[] {
    const whole = Array.from({ length: to - from + 1 }, (_, i) => from + i);
    return [...(from > 0 ? [from - 0.5] : []), ...whole, ...(to < this.last ? [to + 0.5] : [])];
  }
}

/** What a line of a strand is drawn from. */
class Canvas {
  readonly lines: FrameLine[] = [];
  readonly #view: LensView;
  readonly #camera: Camera;
  readonly #marginPx: number;

  constructor(view: LensView, camera: Camera) {
    this.#view = view;
    this.#camera = camera;
    this.#marginPx = MARGIN * Math.max(camera.widthPx, camera.heightPx);
  }

  pixel(at: Vec3): Pixel { return this.#view.pixelAt(at); }

  isInside(at: Pixel, marginPx = 0.5): boolean {
    return at !== null && at[0] >= -marginPx && at[1] >= -marginPx && at[0] <= this.#camera.widthPx - 1 + marginPx && at[1] <= this.#camera.heightPx - 1 + marginPx;
  }

  /** Parts of a line that lie in the picture or just beside it. */
  draw(look: FrameLook, pixels: readonly Pixel[]): void {
    let part: number[] = [];
    const end = (): void => {
      if (part.length >= 4) this.lines.push({ look, points: part, closed: false });
      part = [];
    };
    for (const at of pixels) {
      if (at === null || !this.isInside(at, this.#marginPx)) end();
      else part.push(tenth(at[0]), tenth(at[1]));
    }
    end();
  }

  /** An outline; nothing where a corner has no place in the picture or beside it. */
  close(look: FrameLook, pixels: readonly Pixel[]): boolean {
    if (!pixels.every((at) => at !== null && this.isInside(at, this.#marginPx)) || !pixels.some((at) => this.isInside(at))) return false;
    this.lines.push({ look, points: pixels.flatMap((at) => [tenth((at as readonly [number, number])[0]), tenth((at as readonly [number, number])[1])]), closed: true });
    return true;
  }
}

const tenth = (px: number): number => Math.round(px * 10) / 10 + 0;

/** Pure. Pixels to a tenth. */
export function frameDrawing({ camera, pose, strands, frame, layer, chosen, letters }: FrameScene): FrameDrawing {
  const canvas = new Canvas(new LensView(camera, pose), camera), strips = new Map(strands.map((strand) => [`${strand.layer}/${strand.strand}`, new Strip(strand)]));
  const tags: FrameTag[] = [];
  for (const strip of strips.values()) if (strip.strand.layer === layer) drawPlanned(canvas, strip, frame.stretches);
  for (const [x0, y0, x1, y1] of camera.maskPx) canvas.lines.push({ look: "mask", points: [x0, y0, x1, y0, x1, y1, x0, y1].map(tenth), closed: true });
  let outsideMm = 0, beneathMm = 0;
  for (const state of ["hidden", "present", "absent"] as const) {
    for (const stretch of frame.stretches) {
      const strip = strips.get(`${stretch.layer}/${stretch.strand}`), range = stretch.state === state ? strip?.stations(stretch) : null;
      if (strip === undefined || range == null) continue;
      const isBeneath = state === "hidden" && stretch.layer < layer, { outside } = isBeneath ? { outside: 0 } : drawStretch(canvas, strip, range, state);
      outsideMm += outside;
      if (isBeneath) beneathMm += stretch.toMm - stretch.fromMm;
    }
  }
  for (const body of frame.bodies) drawBody(canvas, tags, body, strips.values());
  const looked = chosen === null ? undefined : strips.get(`${chosen.layer}/${chosen.strand}`);
  if (looked !== undefined && chosen !== null && chosen.station <= looked.last) canvas.draw("chosen", [-CHOSEN_WIDTHS / 2, CHOSEN_WIDTHS / 2].map((k) => canvas.pixel(looked.at(chosen.station, k * looked.widthMm(chosen.station), 0))));
  for (const { position, text } of letters) {
    const at = canvas.pixel(position);
    if (at !== null && canvas.isInside(at)) tags.push({ x: tenth(at[0]), y: tenth(at[1]), text });
  }
  return { widthPx: camera.widthPx, heightPx: camera.heightPx, lines: canvas.lines, tags, outsideMm, beneathMm };
}

/** Where the frame says nothing of a strand, its planned middle. */
function drawPlanned(canvas: Canvas, strip: Strip, stretches: readonly FrameStretch[]): void {
  const isTold = new Uint8Array(strip.last + 1);
  for (const stretch of stretches) {
    const range = stretch.layer === strip.strand.layer && stretch.strand === strip.strand.strand ? strip.stations(stretch) : null;
    if (range !== null) isTold.fill(1, range[0], range[1] + 1);
  }
  for (let from = 0; from <= strip.last; from++) {
    if (isTold[from] === 1) continue;
    let to = from;
    while (to < strip.last && isTold[to + 1] === 0) to++;
    canvas.draw("planned", strip.steps([from, to]).map((f) => canvas.pixel(strip.at(f, 0, 0))));
    from = to;
  }
}

/** Present and hidden along the middle of the bead's top; absent as the outline of what ought to lie there, on its base. Gives the length that the picture does not hold, mm. */
function drawStretch(canvas: Canvas, strip: Strip, range: readonly [number, number], state: CameraState): { outside: number } {
  const steps = strip.steps(range), middle = steps.map((f) => canvas.pixel(strip.at(f, 0, 0))), { sMm } = strip.strand;
  const side = (sign: 1 | -1): Pixel[] => steps.map((f) => canvas.pixel(strip.at(f, sign * strip.widthMm(f) / 2, -strip.heightMm(f))));
  if (state !== "absent") canvas.draw(state, middle);
  else if (!canvas.close("absent", [...side(1), ...side(-1).toReversed()])) for (const sign of [1, -1] as const) canvas.draw("absent", side(sign));
  let outside = 0;
  steps.forEach((f, i) => {
    const next = steps[i + 1];
    if (next === undefined || (canvas.isInside(middle[i] as Pixel) && canvas.isInside(middle[i + 1] as Pixel))) return;
    outside += between(sMm, next) - between(sMm, f);
  });
  return { outside };
}

function between(sMm: ArrayLike<number>, f: number): number {
  const i = Math.floor(f), a = sMm[i] as number;
  return f === i ? a : (a + (sMm[i + 1] as number)) / 2;
}

/** A disc of the body's own area on the target, facing as the nearest strand does; its area stands beside it. */
function drawBody(canvas: Canvas, tags: FrameTag[], { position, areaMm2 }: FrameBody, strips: Iterable<Strip>): void {
  const normal = nearestNormal(position, strips), radiusMm = Math.sqrt(areaMm2 / Math.PI);
  const a = unit(reject(Math.abs(normal[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0], normal)), b = cross(normal, a);
  const rim = Array.from({ length: DISC_CORNERS }, (_, i) => {
    const turn = 2 * Math.PI * i / DISC_CORNERS;
    return canvas.pixel(add(position, add(scale(a, radiusMm * Math.cos(turn)), scale(b, radiusMm * Math.sin(turn)))));
  });
  if (!canvas.close("body", rim)) return;
  const right = rim.reduce<readonly [number, number]>((most, at) => (at !== null && at[0] > most[0] ? at : most), [-Infinity, 0]);
  tags.push({ x: tenth(right[0]), y: tenth(right[1]), text: `${areaMm2.toFixed(1)} mm²` });
}

function nearestNormal(position: Vec3, strips: Iterable<Strip>): Vec3 {
  let normal: Vec3 = [0, 0, 1], least = Infinity;
  for (const { strand: { positionsMm, normals }, last } of strips) {
    for (let i = 0; i <= last; i++) {
      const away = sub(tripleOf(positionsMm, i), position), far = dot(away, away);
      if (far < least) [normal, least] = [tripleOf(normals, i), far];
    }
  }
  return normal;
}

const tripleOf = (column: ArrayLike<number>, i: number): Vec3 => [column[3 * i] as number, column[3 * i + 1] as number, column[3 * i + 2] as number];
