/** The target on a canvas, with three: loaded only where it is drawn. It draws when it is told to, and never by itself. */
import * as three from "three";
import type { ParallelView } from "../../../lib/kernel/parallelView.ts";
import type { SheetLayer } from "../../../lib/model/sheet.ts";
import type { TargetShape } from "../../../lib/model/targetShape.ts";
import { makeChunks, partKey } from "./chunk.ts";
import { makeGround } from "./ground.ts";
import type { LaidPicture } from "./laid.ts";
import { StageChunk } from "./stageChunk.ts";
import { StageInks } from "./stageInks.ts";
import type { TargetInks } from "./targetInks.ts";

export interface Picture {
  readonly view: ParallelView;
  readonly widthPx: number;
  readonly heightPx: number;
  /** What lies beneath it is dimmed, what lies above it is left out; null: all layers. */
  readonly layer: number | null;
  readonly inks: TargetInks;
  /** True: drawn coarsely, to be drawn again when it rests. */
  readonly isMoving: boolean;
  /** The camera frame that lies on it; null: none. */
  readonly laid: LaidPicture | null;
  /** Strands that somebody looks at ("layer/strand"), drawn with all their points. */
  readonly near: readonly string[];
}

/** Device pixels a px: of a picture at rest, so that its lines are smooth, and of one that moves where drawing is slow. */
const REST_RATIO = 2, MOVING_RATIO = 1;
/** A picture at rest that took longer than this is drawn coarsely while it moves, ms. */
const QUICK_MS = 12;
/** Of the time of a machine without a graphics card new readings take one part in so many for a picture, and it is never older than this, ms. */
const SHARE = 8, MOST_WAIT_MS = 400;

export class TargetStage {
  readonly #renderer: three.WebGLRenderer;
  readonly #scene = new three.Scene();
  readonly #camera = new three.OrthographicCamera();
  readonly #inks = new StageInks();
  #chunks: StageChunk[] = [];
  #ground: three.Object3D[] = [];
  #shape: TargetShape | null = null;
  #isTimed = false;
  #restMs = Infinity;

  /** `context` is of the canvas. */
  constructor(canvas: HTMLCanvasElement, context: WebGL2RenderingContext) {
    this.#renderer = new three.WebGLRenderer({ canvas, context, antialias: false, alpha: true });
    this.#renderer.setClearColor(0, 0);
    this.#renderer.sortObjects = false;
    this.#camera.matrixAutoUpdate = false;
  }

  /** Another plan: everything is made anew. Else readings: strands that are the same objects as before are not looked at. */
  setLayers(shape: TargetShape, layers: readonly SheetLayer[]): void {
    if (this.#shape !== shape) this.#begin(shape, layers);
    const strands = new Map(layers.flatMap((layer) => layer.strands.map((strand) => [partKey(strand), strand] as const)));
    for (const chunk of this.#chunks) chunk.take(strands);
  }

  #begin(shape: TargetShape, layers: readonly SheetLayer[]): void {
    this.#clear();
    this.#shape = shape;
    const first = layers[0], ground = first === undefined ? null : makeGround(shape, first);
    if (ground !== null) this.#ground = this.#inks.groundObjects(ground, first?.frame.normal ?? [0, 0, 1]);
    this.#chunks = makeChunks(shape, layers).map((chunk) => new StageChunk(chunk, this.#inks));
    this.#scene.add(...this.#ground, ...this.#chunks.flatMap(({ objects }) => objects));
    this.#isTimed = false;
  }

  draw(picture: Picture): void {
    const ratio = picture.isMoving && this.#restMs > QUICK_MS ? MOVING_RATIO : REST_RATIO, began = performance.now();
    this.#render(picture, ratio);
    if (picture.isMoving) return;
    if (!this.#isTimed) { // the first picture also compiles and sends everything
      this.#isTimed = true;
      return;
    }
    if (this.#restMs !== Infinity) return;
    const gl = this.#renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4)); // waits until it is drawn
    this.#restMs = performance.now() - began;
  }

  /** So far apart are pictures that show nothing new but readings, ms. */
  get spacingMs(): number {
    return this.#restMs > QUICK_MS ? Math.min(MOST_WAIT_MS, SHARE * this.#restMs) : 0;
  }

  /** The picture as a data URL, for paper. */
  image(picture: Picture): string {
    this.#render(picture, REST_RATIO);
    return this.#renderer.domElement.toDataURL("image/png");
  }

  dispose(): void {
    this.#clear();
    this.#inks.dispose();
    this.#renderer.dispose();
    this.#renderer.forceContextLoss();
  }

  #clear(): void {
    this.#scene.clear();
    for (const chunk of this.#chunks) chunk.dispose();
    for (const object of this.#ground) (object as three.Mesh).geometry.dispose();
    [this.#chunks, this.#ground] = [[], []];
  }

  #render(picture: Picture, ratio: number): void {
    const { view, widthPx, heightPx, layer, inks, isMoving, near, laid } = picture, renderer = this.#renderer;
    this.#inks.lay(laid);
    if (renderer.getPixelRatio() !== ratio) renderer.setPixelRatio(ratio);
    const size = renderer.getSize(new three.Vector2());
    if (size.x !== widthPx || size.y !== heightPx) renderer.setSize(widthPx, heightPx, false);
    this.#look(view, widthPx, heightPx);
    const isCoarse = isMoving && ratio === MOVING_RATIO, isOutlined = this.#inks.set(inks, { pxPerMm: view.pxPerMm, widthPx, heightPx, beadMm: this.#chunks[0]?.beadMm ?? 1 });
    for (const chunk of this.#chunks) chunk.show({ pxPerMm: view.pxPerMm, isMoving: isCoarse, isOutlined: isOutlined && !isCoarse, near, depth: layer === null || chunk.layer === layer ? "top" : chunk.layer < layer ? "buried" : "none" });
    renderer.render(this.#scene, this.#camera);
  }

  #look({ right, up, toward, centreMm, pxPerMm }: ParallelView, widthPx: number, heightPx: number): void {
    const camera = this.#camera, [halfX, halfY, reachMm] = [widthPx / 2 / pxPerMm, heightPx / 2 / pxPerMm, 2000];
    [camera.left, camera.right, camera.bottom, camera.top, camera.near, camera.far] = [-halfX, halfX, -halfY, halfY, 0, 2 * reachMm];
    camera.updateProjectionMatrix();
    camera.matrix.makeBasis(new three.Vector3(...right), new three.Vector3(...up), new three.Vector3(...toward));
    camera.matrix.setPosition(centreMm[0] + reachMm * toward[0], centreMm[1] + reachMm * toward[1], centreMm[2] + reachMm * toward[2]);
    camera.updateMatrixWorld(true);
  }
}
