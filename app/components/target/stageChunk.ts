/** One chunk of strands as objects of the scene: its bodies coarse and fine over one set of vertices, its planned lines, its gaps. */
import * as three from "three";
import type { SheetStrand } from "../../../lib/model/sheet.ts";
import { RING_POINTS } from "../../../lib/formula/beadRing.ts";
import { detailOf, indexPlace, lineIndices, writeBodies, writePart, writePartLines, type Chunk, type Detail } from "./chunk.ts";
import { changedStations } from "./looks.ts";
import type { Depth, Inked, StageInks } from "./stageInks.ts";

export interface ChunkShown { readonly pxPerMm: number; readonly isMoving: boolean; readonly near: readonly string[]; readonly depth: Depth; readonly isOutlined: boolean }

/** Triangles for one degree of detail, and for which state of the chunk they were written. */
interface Written { readonly geometry: three.BufferGeometry; detail: Detail | null; version: number }

export class StageChunk {
  readonly #chunk: Chunk;
  readonly #inks: StageInks;
  readonly #attributes: readonly three.BufferAttribute[];
  readonly #known = new Map<string, SheetStrand>();
  readonly #rest: Written;
  readonly #moving: Written;
  readonly #body: three.Mesh;
  readonly #outline: three.Mesh;
  readonly #planned: three.LineSegments;
  readonly #gaps: readonly three.LineSegments[];
  readonly #edges: three.LineSegments;
  #version = 0;
  #lines = { version: -1, step: 0 };
  #beadMm = 1;
  #spacingMm = 1;

  constructor(chunk: Chunk, inks: StageInks) {
    this.#chunk = chunk;
    this.#inks = inks;
    this.#attributes = [new three.BufferAttribute(chunk.positions, 3), new three.BufferAttribute(chunk.faces, 4, true), new three.BufferAttribute(chunk.places, 2)];
    const sphere = boundsOf(chunk);
    this.#rest = this.#written(sphere);
    this.#moving = this.#written(sphere);
    this.#body = new three.Mesh(this.#rest.geometry, inks.bodies.top);
    this.#outline = new three.Mesh(this.#rest.geometry, inks.outlines.top);
    const position = new three.BufferAttribute(chunk.linePositions, 3), along = new three.BufferAttribute(chunk.lineArcs, 1);
    const [lines, gaps, edges] = [position, position, this.#attributes[0] as three.BufferAttribute].map((at) => Object.assign(new three.BufferGeometry().setAttribute("position", at), { boundingSphere: sphere })) as [three.BufferGeometry, three.BufferGeometry, three.BufferGeometry];
    for (const geometry of [lines, gaps]) geometry.setAttribute("along", along);
    this.#planned = new three.LineSegments(lines, inks.planned.top);
    this.#gaps = inks.gaps.map(({ top }) => new three.LineSegments(gaps, top));
    this.#edges = new three.LineSegments(edges, inks.edges.top);
  }

  get objects(): three.Object3D[] { return [this.#planned, ...this.#gaps, this.#body, this.#outline, this.#edges]; }
  get layer(): number { return this.#chunk.layer; }
  /** Planned width at its first station. */
  get beadMm(): number { return this.#beadMm; }

  /** Writes what has changed of its strands since it was last told. */
  take(strands: ReadonlyMap<string, SheetStrand>): void {
    for (const part of this.#chunk.parts) {
      const strand = strands.get(part.key), before = this.#known.get(part.key);
      if (strand === undefined || strand === before) continue;
      if (before === undefined) this.#begin(strand, () => writePartLines(this.#chunk, part, strand));
      const [from, to] = before === undefined ? [0, part.count - 1] : changedStations(before, strand) ?? [0, -1];
      this.#known.set(part.key, strand);
      if (to < from) continue;
      writePart(this.#chunk, part, strand, from, to);
      this.#version++;
      for (const attribute of this.#attributes) {
        attribute.addUpdateRange((part.first + from) * RING_POINTS * attribute.itemSize, (to - from + 1) * RING_POINTS * attribute.itemSize);
        attribute.needsUpdate = true;
      }
    }
  }

  show({ pxPerMm, isMoving, near, depth, isOutlined }: ChunkShown): void {
    for (const object of this.objects) object.visible = depth !== "none";
    if (depth === "none") return;
    const isNear = this.#chunk.parts.some(({ key }) => near.includes(key)), detail = detailOf({ beadPx: this.#beadMm * pxPerMm, spacingPx: this.#spacingMm * pxPerMm, isMoving, isNear });
    const written = isMoving ? this.#moving : this.#rest;
    this.#write(written, detail);
    for (const [mesh, inked, isShown] of [[this.#body, this.#inks.bodies, true], [this.#outline, this.#inks.outlines, isOutlined]] as const) {
      [mesh.geometry, mesh.material, mesh.visible] = [written.geometry, inked[depth], isShown && written.geometry.drawRange.count > 0];
    }
    [this.#planned.material, this.#edges.material, this.#edges.visible] = [this.#inks.planned[depth], this.#inks.edges[depth], isOutlined];
    this.#gaps.forEach((gap, i) => { gap.material = (this.#inks.gaps[i] as Inked)[depth]; });
    if (this.#lines.version !== this.#version || (!isMoving && this.#lines.step !== detail.step)) this.#writeLines(detail);
  }

  dispose(): void {
    for (const object of [this.#planned, ...this.#gaps, this.#edges]) object.geometry.dispose();
    for (const { geometry } of [this.#rest, this.#moving]) geometry.dispose();
  }

  #begin(strand: SheetStrand, writeLines: () => void): void {
    this.#beadMm = strand.plannedWidthMm[0] ?? this.#beadMm;
    this.#spacingMm = (strand.sMm[1] ?? 1) - (strand.sMm[0] ?? 0);
    writeLines();
  }

  #written(sphere: three.Sphere): Written {
    const geometry = new three.BufferGeometry(), [position, face, place] = this.#attributes as [three.BufferAttribute, three.BufferAttribute, three.BufferAttribute];
    geometry.setAttribute("position", position).setAttribute("face", face).setAttribute("place", place);
    geometry.boundingSphere = sphere;
    return { geometry, detail: null, version: -1 };
  }

  #write(written: Written, detail: Detail): void {
    if (written.version === this.#version && written.detail?.step === detail.step && written.detail.used === detail.used) return;
    const { geometry } = written;
    if (geometry.index === null) geometry.setIndex(new three.BufferAttribute(indexPlace(this.#chunk), 1));
    const index = geometry.index as three.BufferAttribute, count = writeBodies(this.#chunk, detail, index.array as Uint16Array);
    refill(geometry, index, count);
    [written.version, written.detail] = [this.#version, detail];
  }

  #writeLines(detail: Detail): void {
    const { planned, gap, edges } = lineIndices(this.#chunk, detail);
    for (const [object, indices] of [[this.#planned, planned], [this.#gaps[0] as three.LineSegments, gap], [this.#edges, edges]] as const) {
      const { geometry } = object;
      if (geometry.index === null || geometry.index.count < indices.length) geometry.setIndex(new three.BufferAttribute(new Uint32Array(2 * indices.length), 1)); // grows by doubling
      const index = geometry.index as unknown as three.BufferAttribute;
      index.array.set(indices);
      refill(geometry, index, indices.length);
    }
    this.#lines = { version: this.#version, step: detail.step };
  }
}

function refill(geometry: three.BufferGeometry, index: three.BufferAttribute, count: number): void {
  geometry.setDrawRange(0, count);
  index.clearUpdateRanges();
  index.addUpdateRange(0, count);
  index.needsUpdate = true;
}

/** A sphere that holds every planned station, and room for what lies beside. */
function boundsOf({ parts }: Chunk): three.Sphere {
  const box = new three.Box3(), point = new three.Vector3();
  for (const { frames } of parts) for (let i = 0; i < frames.positionsMm.length; i += 3) box.expandByPoint(point.fromArray(frames.positionsMm, i));
  const sphere = box.getBoundingSphere(new three.Sphere());
  sphere.radius += 5;
  return sphere;
}
