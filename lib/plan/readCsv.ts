import { CsvError, parse } from "csv-parse/sync";
import { InputError, type Warning } from "../base/errors.ts";
import { nulLine, parseDecimal } from "../base/text.ts";
import type { Job } from "../model/job.ts";
import type { Plan } from "../model/plan.ts";
import { completeBead, packStrand, unitNormal, type Bead, type StrandRows, type Waypoint } from "./readStrand.ts";

const REQUIRED = ["layer", "strand", "x_mm", "y_mm", "z_mm", "nx", "ny", "nz", "width_mm", "height_mm", "speed_mm_s", "flow_mm3_s"] as const;
const BEAD = ["width_mm", "height_mm", "speed_mm_s", "flow_mm3_s"] as const;
type Column = (typeof REQUIRED)[number] | "approach";

/** One row of the file: cells by column. */
class Row {
  constructor(readonly cells: readonly string[], readonly columns: ReadonlyMap<string, number>, readonly file: string, readonly line: number) {}

  isBlank(key: Column): boolean {
    return (this.cells[this.columns.get(key) ?? -1] ?? "").trim() === "";
  }

  fail(code: "plan.badNumber" | "plan.badLine" | "plan.order", expected: string, key: Column): never {
    throw new InputError(code, expected, `"${this.cells[this.columns.get(key) ?? -1] ?? ""}"`, { file: this.file, line: this.line, key });
  }

  number(key: Column): number {
    const value = parseDecimal(this.cells[this.columns.get(key) ?? -1] ?? "");
    return Number.isNaN(value) ? this.fail("plan.badNumber", "a finite number", key) : value;
  }

  positive(key: Column): number {
    const value = this.number(key);
    return value > 0 ? value : this.fail("plan.badNumber", "a number above 0", key);
  }

  whole(key: Column): number {
    const value = this.number(key);
    return Number.isInteger(value) && value >= 1 ? value : this.fail("plan.badNumber", "a whole number from 1", key);
  }
}

/**
 * Reads plan.csv. Byte-order mark, CRLF and quoted fields are fine; an unknown column is one warning. Width or flow may be blank
 * where the other and the speed give it; at a strand's last waypoint the whole bead may be blank, nothing is laid from there.
 * Throws InputError plan.* with line and column.
 */
export function readPlanCsv(text: string, job: Job, file: string): { plan: Plan; warnings: Warning[] } {
  const { rows, warnings } = tableOf(text, file);
  const groups = groupRows(rows);
  if (groups.length === 0) throw new InputError("plan.noStrand", "at least one strand", "none", { file });
  const strands = groups.map((group) => packStrand(strandRows(group, job), file));
  return { plan: { beadShape: job.material.beadShape, strands, layerCount: strands.at(-1)?.layer ?? 0 }, warnings };
}

function tableOf(text: string, file: string): { rows: Row[]; warnings: Warning[] } {
  const nul = nulLine(text);
  if (nul !== null) throw new InputError("source.nulByte", "a text file without NUL bytes", "a NUL byte", { file, line: nul });
  const [head, ...records] = parseCsv(text, file);
  const names = head?.cells.map((name) => name.trim()) ?? [];
  const columns = new Map<string, number>();
  const warnings: Warning[] = [];
  names.forEach((name, i) => {
    if (columns.has(name)) throw new InputError("plan.badLine", "each column once", `"${name}" twice`, { file, line: 1, key: name });
    columns.set(name, i);
    const isKnown = name === "approach" || REQUIRED.some((known) => known === name);
    if (!isKnown) warnings.push({ code: "plan.unknownColumn", message: `the column ${name} is not known and is ignored`, file, line: 1 });
  });
  for (const key of REQUIRED) {
    if (!columns.has(key)) throw new InputError("plan.missingColumn", `a column ${key}`, names.join(",") || "an empty file", { file, line: 1, key });
  }
  return {
    warnings,
    rows: records.map(({ cells, line }) => {
      if (cells.length !== names.length) throw new InputError("plan.badLine", `${names.length} cells`, `${cells.length}`, { file, line });
      return new Row(cells, columns, file, line);
    }),
  };
}

function parseCsv(text: string, file: string): { cells: string[]; line: number }[] {
  try {
    const records = parse(text, { bom: true, info: true, relax_column_count: true, skip_empty_lines: true }) as unknown as { record: string[]; info: { lines: number } }[];
    return records.map(({ record, info }) => ({ cells: record, line: info.lines }));
  } catch (cause) {
    if (!(cause instanceof CsvError)) throw cause;
    throw new InputError("plan.badLine", "comma-separated values with balanced quotes", cause.message, { file, line: Number(cause["lines"]) }, cause);
  }
}

/** Rows strand by strand; plan.order where layers or strands do not count up from 1. */
function groupRows(rows: readonly Row[]): Row[][] {
  const groups: Row[][] = [];
  let layer = 0;
  let strand = 0;
  for (const row of rows) {
    const [nextLayer, nextStrand] = [row.whole("layer"), row.whole("strand")];
    if (nextLayer === layer && nextStrand === strand) {
      groups.at(-1)?.push(row);
      continue;
    }
    if (nextLayer !== layer && nextLayer !== layer + 1) row.fail("plan.order", layer === 0 ? "layer 1 first" : `layer ${layer} or ${layer + 1} after layer ${layer}`, "layer");
    const due = nextLayer === layer ? strand + 1 : 1;
    if (nextStrand !== due) row.fail("plan.order", `strand ${due} of layer ${nextLayer} next`, "strand");
    [layer, strand] = [nextLayer, nextStrand];
    groups.push([row]);
  }
  return groups;
}

function strandRows(group: readonly Row[], job: Job): StrandRows {
  const first = group[0] as Row;
  const approachOf = (row: Row): number => (row.columns.has("approach") && !row.isBlank("approach") ? row.whole("approach") : 1);
  const approach = approachOf(first);
  const waypoints: Waypoint[] = [];
  group.forEach((row, i) => {
    if (approachOf(row) !== approach) row.fail("plan.badLine", `one approach for the whole strand (${approach})`, "approach");
    const before = waypoints.at(-1)?.bead;
    waypoints.push({
      line: row.line,
      point: [row.number("x_mm"), row.number("y_mm"), row.number("z_mm")],
      normal: unitNormal([row.number("nx"), row.number("ny"), row.number("nz")], { file: row.file, line: row.line, key: "nx" }),
      bead: i === group.length - 1 && before !== undefined ? endBead(row, before, job) : beadOf(row, job),
    });
  });
  return { layer: first.whole("layer"), strand: first.whole("strand"), approach, line: first.line, waypoints };
}

/** Nothing is laid from the last waypoint on: its bead may be blank or stand still (0), but not be nonsense. */
function endBead(row: Row, before: Bead, job: Job): Bead {
  const [widthMm, heightMm] = BEAD.map((key) => (row.isBlank(key) ? Number.NaN : row.number(key))) as [number, number];
  if (widthMm > 0 && heightMm > 0) completeBead(job.material.beadShape, { ...before, widthMm, heightMm }, { file: row.file, line: row.line });
  return before;
}

function beadOf(row: Row, job: Job): Bead {
  const given = (key: Column): number => (row.isBlank(key) ? Number.NaN : row.positive(key));
  const bead: Bead = { widthMm: given("width_mm"), heightMm: row.positive("height_mm"), speedMmS: row.positive("speed_mm_s"), flowMm3S: given("flow_mm3_s") };
  if (Number.isNaN(bead.widthMm) && Number.isNaN(bead.flowMm3S)) row.fail("plan.badNumber", "a width, or a flow that gives it", "width_mm");
  return completeBead(job.material.beadShape, bead, { file: row.file, line: row.line });
}
