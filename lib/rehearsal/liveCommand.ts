/** Commands as the long poll gives them (contract, section 5), and what the cell answers. */

/** Where a pause takes hold. */
export type PauseAt = "now" | "strandEnd" | "layerEnd";
/** A plan row of a resume: the plan's columns in camelCase; what is not given is null. */
export interface PlanRow {
  readonly layer: number; readonly strand: number; readonly xMm: number; readonly yMm: number; readonly zMm: number;
  readonly widthMm: number | null; readonly heightMm: number | null; readonly speedMmS: number | null;
  /** 0: nothing flows from here to the next row. */
  readonly flowMm3S: number | null;
}
/** Go on from a place, mm along a strand. */
export interface Resume { readonly kind: "resume"; readonly n: number; readonly layer: number; readonly strand: number; readonly sMm: number; readonly overlapMm: number; readonly rows: readonly PlanRow[] }
/** Flow as planned times a factor from a place on. */
export interface FlowFactor { readonly kind: "flowFactor"; readonly n: number; readonly factor: number; readonly layer: number; readonly strand: number; readonly fromMm: number }
/** A command of the long poll, read. */
export type Command =
  | { readonly kind: "pause"; readonly n: number; readonly at: PauseAt; readonly retractMm: number; readonly reason: string }
  | Resume
  | { readonly kind: "abort"; readonly n: number; readonly reason: string }
  | FlowFactor
  /** Understood to be a command, and not what it asks for. */
  | { readonly kind: "unreadable"; readonly n: number; readonly why: string };

/** What became of a command; tS on the cell's clock. */
export interface Receipt { readonly kind: "receipt"; readonly n: number; readonly outcome: "done" | "refused" | "failed"; readonly tS: number; readonly note: string }

const PAUSES: readonly PauseAt[] = ["now", "strandEnd", "layerEnd"];

/** The commands of an answer, in the order of their numbers; null where the text is no such array. */
export function readCommands(text: string): Command[] | null {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return null;
  }
  if (!Array.isArray(value)) return null;
  const commands: Command[] = [];
  for (const each of value as unknown[]) {
    const given = (typeof each === "object" && each !== null ? each : {}) as Record<string, unknown>;
    if (!Number.isInteger(given.n)) return null;
    commands.push(readCommand(given.n as number, given));
  }
  return commands.sort((a, b) => a.n - b.n);
}

function readCommand(n: number, given: Record<string, unknown>): Command {
  const unreadable = (key: string): Command => ({ kind: "unreadable", n, why: `${String(given.kind)}: ${key} is not as expected` });
  const reason = typeof given.reason === "string" ? given.reason : "";
  const layer = number(given.layer), strand = number(given.strand);
  switch (given.kind) {
    case "pause": {
      const at = PAUSES.find((one) => one === given.at), retractMm = given.retractMm === undefined || given.retractMm === null ? 0 : number(given.retractMm);
      if (at === undefined) return unreadable("at");
      return retractMm >= 0 ? { kind: "pause", n, at, retractMm, reason } : unreadable("retractMm");
    }
    case "abort": return { kind: "abort", n, reason };
    case "resume": {
      const sMm = number(given.sMm), overlapMm = given.overlapMm === undefined || given.overlapMm === null ? 0 : number(given.overlapMm), rows = readRows(given.rows);
      if (!(sMm >= 0)) return unreadable("sMm");
      if (!(overlapMm >= 0)) return unreadable("overlapMm");
      if (rows === null) return unreadable("rows");
      return layer >= 1 && strand >= 1 ? { kind: "resume", n, layer, strand, sMm, overlapMm, rows } : unreadable("layer, strand");
    }
    case "flowFactor": {
      const factor = number(given.factor), fromMm = number(given.fromMm);
      if (!(factor > 0)) return unreadable("factor");
      return fromMm >= 0 && layer >= 1 && strand >= 1 ? { kind: "flowFactor", n, factor, layer, strand, fromMm } : unreadable("layer, strand, fromMm");
    }
    default: return { kind: "unreadable", n, why: `this cell knows no command ${JSON.stringify(given.kind)}` };
  }
}

/** Rows of a resume; none given is an empty list, null where they are no plan rows. */
function readRows(value: unknown): PlanRow[] | null {
  if (value === undefined || value === null) return [];
  if (!Array.isArray(value)) return null;
  const rows = (value as Record<string, unknown>[]).map((row): PlanRow => ({
    layer: number(row?.layer), strand: number(row?.strand), xMm: number(row?.xMm), yMm: number(row?.yMm), zMm: number(row?.zMm),
    widthMm: orNone(row?.widthMm), heightMm: orNone(row?.heightMm), speedMmS: orNone(row?.speedMmS), flowMm3S: orNone(row?.flowMm3S),
  }));
  return rows.every((row) => [row.layer, row.strand, row.xMm, row.yMm, row.zMm].every((x) => !Number.isNaN(x))) ? rows : null;
}

/** NaN for what is no finite number. */
function number(value: unknown): number {
  return typeof value === "number" && Number.isFinite(value) ? value : Number.NaN;
}
function orNone(value: unknown): number | null {
  return typeof value === "number" && Number.isFinite(value) ? value : null;
}
