/** Materials of the target's picture, and the objects that show its ground. */
import * as three from "three";
import type { Ground } from "./ground.ts";
import { cameraRows, foldSquared, type LaidPicture } from "./laid.ts";
import { BODY_FRAGMENT, BODY_VERTEX, EDGE_VERTEX, LAID_FRAGMENT, LAID_VERTEX, LINE_FRAGMENT, OUTLINE_FRAGMENT, OUTLINE_VERTEX, PLAIN_VERTEX } from "./shaders.ts";
import type { TargetInks } from "./targetInks.ts";

/** How far a layer beneath the chosen one goes towards the sheet. */
const BURIED = 0.7;
/** A pattern repeats about every so many px; it stands on beads from so many px on, and so does their outline. */
const PATTERN_PX = 7, PATTERNED_FROM_PX = 8, OUTLINED_FROM_PX = 9;
/** A dash that never ends: the line is whole. */
const ENDLESS_MM = 1e9;
const DASH_PX = 9, OUTLINE_PX = 1;
/** A line of a graphics card is one device px wide: these are drawn again so far to the side, px, and stand out. */
const THICK: readonly (readonly [number, number])[] = [[0, 0], [0.5, 0], [0, 0.5]];

type Value = { value: number | three.Vector2 | three.Vector3 | three.Vector3[] | three.Texture | null };

/** #rrggbb as it stands on the screen: shaders write it as it is. */
const rgb = (hex: string): three.Vector3 => new three.Vector3(...[1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255) as [number, number, number]);
const ramp = (value: number, from: number): number => Math.max(0, Math.min(1, (value - from) / from));

export type Inked = Readonly<Record<"top" | "buried", three.Material>>;
export type Depth = "top" | "buried" | "none";

export class StageInks {
  readonly #shared: Record<string, Value> = Object.fromEntries(["sheet", "bone", "boneShade", "markGround", "edgeInk"].map((name) => [name, { value: new three.Vector3() }]));
  readonly #lineInks = { planned: { value: new three.Vector3() }, gap: { value: new three.Vector3() }, grid: { value: new three.Vector3() } };
  readonly #dashMm = { value: 1 };
  readonly #outline = { value: new three.Vector2() };
  readonly #asides = THICK.map(() => ({ value: new three.Vector2() }));
  readonly #laid: Record<string, Value> = {
    ...Object.fromEntries(["laidX", "laidY", "laidZ", "laidAt", "laidK"].map((name) => [name, { value: new three.Vector3() }])), ...Object.fromEntries(["laidF", "laidC", "laidP", "laidSize"].map((name) => [name, { value: new three.Vector2(1, 1) }])),
    laidFold: { value: 0 }, laidOn: { value: 0 }, laidPicture: { value: null },
  };
  readonly #outward = { value: new three.Vector3(0, 0, 1) };
  #shown: LaidPicture | null = null;
  readonly bodies: Inked;
  readonly outlines: Inked;
  /** Of the ends of strands. */
  readonly edges: Inked;
  readonly planned: Inked;
  /** Drawn one over the other. */
  readonly gaps: readonly Inked[];
  readonly #grid: three.Material;
  readonly #fill: three.Material;
  readonly #pictured: three.Material;

  constructor() {
    Object.assign(this.#shared, { marks: { value: Array.from({ length: 4 }, () => new three.Vector3()) }, perMm: { value: 1 }, patterned: { value: 1 } });
    const body = (buried: number): three.Material => raw(BODY_VERTEX, BODY_FRAGMENT, { ...this.#shared, ...this.#laid, buried: { value: buried } });
    const [still] = this.#asides as [Value], sheet = this.#shared["sheet"] as Value, edgeInk = this.#shared["edgeInk"] as Value;
    const line = (ink: Value, dashMm: Value, buried: number, aside = still): three.Material => raw(PLAIN_VERTEX, LINE_FRAGMENT, { sheet, ink, dashMm, aside, buried: { value: buried } });
    const both = (make: (buried: number) => three.Material): Inked => ({ top: make(0), buried: make(BURIED) });
    this.bodies = both(body);
    this.outlines = both((buried) => Object.assign(raw(OUTLINE_VERTEX, OUTLINE_FRAGMENT, { sheet, edgeInk, outline: this.#outline, buried: { value: buried } }), { side: three.BackSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 4 }));
    this.edges = both((buried) => raw(EDGE_VERTEX, OUTLINE_FRAGMENT, { sheet, edgeInk, buried: { value: buried } }));
    this.planned = both((buried) => line(this.#lineInks.planned, { value: ENDLESS_MM }, buried));
    this.gaps = this.#asides.map((aside) => both((buried) => line(this.#lineInks.gap, this.#dashMm, buried, aside)));
    this.#grid = line(this.#lineInks.grid, { value: 0 }, 0);
    this.#fill = line(sheet, { value: ENDLESS_MM }, 0);
    Object.assign(this.#fill, { side: three.DoubleSide, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 2 });
    this.#pictured = Object.assign(raw(LAID_VERTEX, LAID_FRAGMENT, { ...this.#laid, outward: this.#outward }), { side: three.DoubleSide, polygonOffset: true, polygonOffsetFactor: 0.5, polygonOffsetUnits: 1 });
  }

  /** Lays a camera frame on bodies and ground, or takes it off (null). */
  lay(picture: LaidPicture | null): void {
    if (picture === this.#shown) return;
    this.#shown = picture;
    const of = (name: string): Value => this.#laid[name] as Value;
    of("laidOn").value = picture === null ? 0 : 1;
    (of("laidPicture").value as three.Texture | null)?.dispose();
    of("laidPicture").value = picture === null ? null : textureOf(picture.image);
    if (picture === null) return;
    const { fx, fy, cx, cy, k1, k2, k3, p1, p2, widthPx, heightPx } = picture.camera, { x, y, z, stands } = cameraRows(picture);
    for (const [name, triple] of [["laidX", x], ["laidY", y], ["laidZ", z], ["laidAt", stands], ["laidK", [k1, k2, k3]]] as const) (of(name).value as three.Vector3).fromArray(triple);
    for (const [name, pair] of [["laidF", [fx, fy]], ["laidC", [cx, cy]], ["laidP", [p1, p2]], ["laidSize", [widthPx, heightPx]]] as const) (of(name).value as three.Vector2).fromArray(pair);
    of("laidFold").value = foldSquared(picture);
  }

  /** For a picture of such a size and scale; `beadMm`: how wide its beads are, about. Gives whether they are outlined. */
  set(inks: TargetInks, { pxPerMm, widthPx, heightPx, beadMm }: { readonly pxPerMm: number; readonly widthPx: number; readonly heightPx: number; readonly beadMm: number }): boolean {
    const vector = (name: string): three.Vector3 => (this.#shared[name] as Value).value as three.Vector3, number = (name: string, value: number): void => { (this.#shared[name] as Value).value = value; };
    vector("sheet").copy(rgb(inks.sheet));
    vector("bone").copy(rgb(inks.bone));
    vector("boneShade").copy(rgb(inks.boneShade));
    vector("markGround").copy(rgb(inks.markGround));
    vector("edgeInk").copy(rgb(inks.edge));
    ((this.#shared["marks"] as Value).value as three.Vector3[]).forEach((mark, i) => mark.copy(rgb(inks.marks[i] as string)));
    for (const name of ["planned", "gap", "grid"] as const) this.#lineInks[name].value.copy(rgb(inks[name]));
    number("perMm", 2 ** Math.round(Math.log2(pxPerMm / PATTERN_PX)));
    number("patterned", ramp(beadMm * pxPerMm, PATTERNED_FROM_PX));
    this.#dashMm.value = 2 ** Math.round(Math.log2(DASH_PX / pxPerMm));
    this.#outline.value.set(2 * OUTLINE_PX / widthPx, 2 * OUTLINE_PX / heightPx);
    this.#asides.forEach(({ value }, i) => value.set(2 * (THICK[i]?.[0] ?? 0) / widthPx, 2 * (THICK[i]?.[1] ?? 0) / heightPx));
    return beadMm * pxPerMm >= OUTLINED_FROM_PX;
  }

  /** The grid's lines, the picture that may be laid on it, and what lies under them: in the sheet's own colour, so that it hides what is behind the target. `outward`: away from the target. */
  groundObjects({ positions, strengths, lines, faces }: Ground, outward: readonly [number, number, number]): three.Object3D[] {
    this.#outward.value.fromArray(outward);
    const object = (index: Uint32Array): three.BufferGeometry => {
      const geometry = new three.BufferGeometry();
      geometry.setAttribute("position", new three.BufferAttribute(positions, 3)).setAttribute("along", new three.BufferAttribute(strengths, 1)).setIndex(new three.BufferAttribute(index, 1));
      return geometry;
    };
    const objects = [new three.Mesh(object(faces), this.#fill), new three.Mesh(object(faces), this.#pictured), new three.LineSegments(object(lines), this.#grid)];
    for (const each of objects) each.frustumCulled = false;
    return objects;
  }

  dispose(): void {
    for (const material of [...[this.bodies, this.outlines, this.edges, this.planned, ...this.gaps].flatMap((inked) => Object.values(inked)), this.#grid, this.#fill, this.#pictured]) material.dispose();
    (this.#laid["laidPicture"]?.value as three.Texture | null)?.dispose();
  }
}

/** Pixels as they are, the top row first. */
function textureOf(image: HTMLImageElement): three.Texture {
  const texture = new three.Texture(image);
  Object.assign(texture, { flipY: false, generateMipmaps: false, minFilter: three.LinearFilter, needsUpdate: true });
  return texture;
}

function raw(vertexShader: string, fragmentShader: string, uniforms: Record<string, Value>): three.Material {
  return new three.RawShaderMaterial({ vertexShader, fragmentShader, uniforms, glslVersion: three.GLSL3 });
}
