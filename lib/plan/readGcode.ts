import { InputError, type InputCode, type Warning } from "../base/errors.ts";
import { nulLine } from "../base/text.ts";
import { norm, sub, type Vec3 } from "../kernel/vec.ts";
import type { Job, PlanSource } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import { blocksOf, type Block } from "./readBlocks.ts";
import { layStrands, type LaidStrand } from "./readLayers.ts";
import { unitNormal } from "./readStrand.ts";

type Gcode = NonNullable<PlanSource["gcode"]>;
const AXES = ["X", "Y", "Z"] as const;
const MM_PER_INCH = 25.4;
/** G word → what it sets; everything else is refused by line. */
const MOTIONS: ReadonlySet<number> = new Set([0, 1, 4, 92]);
const UNITS: ReadonlyMap<number, number> = new Map([[70, MM_PER_INCH], [20, MM_PER_INCH], [71, 1], [21, 1]]);
const DISTANCES: ReadonlyMap<number, boolean> = new Map([[90, true], [91, false]]);

/**
 * Reads plan.gcode: ISO 6983 words G0 G1 G4 G70 G71 (G20 G21) G90 G91 G92, X Y Z F (feed in mm or inch a minute), the job's flow
 * word and axis words. A G1 that moves with material flowing lays; consecutive ones make a strand, any other move or a retraction
 * ends it. Material that flows without a move (priming) and dwells are passed over. G92 shifts the coordinates from there on.
 * Anything else is an InputError plan.badWord with its line.
 */
export function readPlanGcode(text: string, job: Job, gcode: Gcode, file: string): { plan: Plan; warnings: Warning[] } {
  const nul = nulLine(text);
  if (nul !== null) throw new InputError("source.nulByte", "a text file without NUL bytes", "a NUL byte", { file, line: nul });
  const program = new Program(gcode, file);
  for (const block of blocksOf(text.replace(/^\uFEFF/, ""), file)) program.run(block);
  const strands = layStrands(program.strands, job.material.beadShape, gcode.flowWord, file);
  return { plan: { beadShape: job.material.beadShape, strands, layerCount: strands.at(-1)?.layer ?? 0 }, warnings: [] };
}

/** The state that blocks change: modal words, where the nozzle is, and the strands so far. */
class Program {
  readonly strands: LaidStrand[] = [];
  private unitMm = 1;
  private isAbsolute = true;
  private motion: 0 | 1 | null = null;
  private feedMmS = Number.NaN;
  private flowTotal = 0; // in the job's flow unit
  private at: Vec3 = [0, 0, 0]; // in plan
  private shift: Vec3 = [0, 0, 0]; // plan = programmed + shift
  private axis: Vec3 = [0, 0, 1];
  private axisBefore: Vec3 = [0, 0, 1]; // at the start of the block
  private axisWords = new Map<string, number>();
  private layer: number | null = null;
  private heightMm = Number.NaN;
  private isOpen = false;

  constructor(private readonly gcode: Gcode, private readonly file: string) {
    (gcode.axisWords ?? "").split("").forEach((word, i) => this.axisWords.set(word, i));
  }

  run(block: Block): void {
    for (const comment of block.comments) this.readComment(comment, block);
    const motion = this.setModes(block);
    if (motion === 4) return this.checkWords(block, ["X", "F", "P"]); // a dwell: its words are a time
    this.checkWords(block, [...AXES, "F", this.gcode.flowWord, ...this.axisWords.keys()]);
    this.axisBefore = this.axis;
    this.turnAxis(block);
    const feed = block.words.get("F");
    if (feed !== undefined) this.feedMmS = feed > 0 ? feed * this.unitMm / 60 : this.fail("plan.badNumber", "a feed above 0", String(feed), block, "F");
    if (motion === 92) this.preset(block);
    else if ([...AXES, this.gcode.flowWord].some((word) => block.words.has(word))) this.move(block);
  }

  private fail(code: InputCode, expected: string, got: string, block: Block, key?: string): never {
    throw new InputError(code, expected, got, { file: this.file, line: block.line, ...(key === undefined ? {} : { key }) });
  }

  private readComment(comment: string, block: Block): void {
    const [, layer] = /^layer\s+(\d+)$/i.exec(comment) ?? [];
    if (layer !== undefined) {
      this.layer = Number(layer);
      this.isOpen = false;
    }
    const [, height] = /^height\s+([+-]?[\d.]+)(?:\s*mm)?$/i.exec(comment) ?? [];
    if (height === undefined) return;
    this.heightMm = Number(height);
    if (!(this.heightMm > 0 && Number.isFinite(this.heightMm))) this.fail("plan.badNumber", "a height above 0, mm", `"${height}"`, block, "height");
  }

  /** Takes the G words; answers the block's own one of G0 G1 G4 G92, null where it has none. */
  private setModes(block: Block): number | null {
    let own: number | null = null;
    for (const code of block.codes) {
      const unit = UNITS.get(code);
      const distance = DISTANCES.get(code);
      if (unit !== undefined) this.unitMm = unit;
      else if (distance !== undefined) this.isAbsolute = distance;
      else if (!MOTIONS.has(code)) this.fail("plan.badWord", "G0 G1 G4 G70 G71 G90 G91 or G92", `G${code}`, block, "G");
      else if (own !== null) this.fail("plan.badLine", "one of G0 G1 G4 G92 in a block", `G${own} and G${code}`, block, "G");
      else own = code;
    }
    if (own === 0 || own === 1) this.motion = own;
    return own;
  }

  private checkWords(block: Block, known: readonly string[]): void {
    for (const letter of block.words.keys()) {
      if (!known.includes(letter)) this.fail("plan.badWord", `one of the words ${known.join(" ")}`, letter, block, letter);
    }
  }

  private turnAxis(block: Block): void {
    const next: [number, number, number] = [...this.axis];
    let isTurned = false;
    for (const [word, i] of this.axisWords) {
      const value = block.words.get(word);
      if (value === undefined) continue;
      next[i as 0 | 1 | 2] = value;
      isTurned = true;
    }
    if (isTurned) this.axis = unitNormal(next, { file: this.file, line: block.line, key: this.gcode.axisWords ?? "" });
  }

  /** G92: what the present place is called from here on. */
  private preset(block: Block): void {
    this.shift = AXES.map((word, i) => {
      const named = block.words.get(word);
      return named === undefined ? this.shift[i] : (this.at[i] as number) - named * this.unitMm;
    }) as unknown as Vec3;
    this.flowTotal = block.words.get(this.gcode.flowWord) ?? this.flowTotal;
  }

  private move(block: Block): void {
    const { motion } = this;
    if (motion === null) return this.fail("plan.badLine", "G0 or G1 before the first move", "none", block, "G");
    const from = this.at;
    this.at = AXES.map((word, i) => this.coordinate(block.words.get(word), i)) as unknown as Vec3;
    const volumeMm3 = this.takeFlow(block);
    const lengthMm = norm(sub(this.at, from));
    if (volumeMm3 > 0 && lengthMm > 0) this.lay(block, { from, fromAxis: this.axisBefore, volumeMm3, lengthMm });
    else if (volumeMm3 < 0 || lengthMm > 0) this.isOpen = false;
  }

  private coordinate(word: number | undefined, i: number): number {
    const now = this.at[i] as number;
    if (word === undefined) return now;
    return this.isAbsolute ? word * this.unitMm + (this.shift[i] as number) : now + word * this.unitMm;
  }

  /** Material of this block, mm³; negative for a retraction. */
  private takeFlow(block: Block): number {
    const word = block.words.get(this.gcode.flowWord);
    if (word === undefined) return 0;
    const amount = this.gcode.flowMode === "total" ? word - this.flowTotal : word;
    if (this.gcode.flowMode === "total") this.flowTotal = word;
    return amount * (this.gcode.flowUnit === "plungerMm" ? (this.gcode.syringeAreaMm2 as number) : 1);
  }

  private lay(block: Block, move: { from: Vec3; fromAxis: Vec3; volumeMm3: number; lengthMm: number }): void {
    if (this.motion === 0) this.fail("plan.badLine", "material on G1 only", "material on the rapid move G0", block, this.gcode.flowWord);
    if (Number.isNaN(this.feedMmS)) this.fail("plan.badLine", "a feed F before material flows", "none", block, "F");
    if (!this.isOpen) this.strands.push({ line: block.line, layer: this.layer, start: move.from, startAxis: move.fromAxis, steps: [] });
    this.isOpen = true;
    this.strands.at(-1)?.steps.push({
      line: block.line, to: this.at, axis: this.axis, heightMm: this.heightMm, speedMmS: this.feedMmS, areaMm2: move.volumeMm3 / move.lengthMm,
    });
  }
}
