/** The small files beside pictures of a board: board.json, which says what all of them show, and poses.csv, where the arm's tool was at each. */
import { CsvError, parse } from "csv-parse/sync";
import { readdir, readFile } from "node:fs/promises";
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import { BOARD_PATTERNS, type BoardGiven } from "../model/calibration.ts";
import { describe } from "../model/describe.ts";
import type { Pose } from "../model/job.ts";
import { block, oneOf, orNull, positive, text, whole } from "../model/jobFields.ts";
import { unitPose } from "../model/pose.ts";
import { realFolder } from "./paths.ts";

export const BOARD_FILE = "board.json", POSES_FILE = "poses.csv";

/** A file by its name in the folder. */
export interface BoardFile { readonly name: string; readonly bytes: () => Promise<Uint8Array> }

const isPicture = (name: string): boolean => /\.(png|jpe?g)$/i.test(name);

/** Pictures by name, board.json and poses.csv of a folder; other files are not looked at. InputError source.noFolder. */
export async function readBoardFolder(folder: string): Promise<BoardFile[]> {
  const root = await realFolder(folder), names = (await readdir(root)).filter((name) => isPicture(name) || name === BOARD_FILE || name === POSES_FILE).sort();
  return names.map((name) => ({ name, bytes: () => readFile(join(root, name)) }));
}

export function picturesAmong(files: readonly BoardFile[]): BoardFile[] {
  return files.filter(({ name }) => isPicture(name)).sort((a, b) => (a.name < b.name ? -1 : 1));
}

const LEAST_POINTS = 3, MOST_POINTS = 200;
const count = orNull(whole(LEAST_POINTS).lte(MOST_POINTS, { error: `a whole number from ${LEAST_POINTS} to ${MOST_POINTS}` }));
const board = block({ pattern: oneOf(BOARD_PATTERNS), columns: count, rows: count, pitchMm: positive, camera: text.default("camera-1") })
  .refine(({ columns, rows }) => (columns === null) === (rows === null), { path: ["rows"], error: "columns and rows, or neither" });

/**
 * The board from board.json's text ("": there is none) with what was given besides over it; null counts as not given. An unknown key is one
 * warning. InputError calibration.notJson, calibration.badValue.
 */
export function readBoard(json: string, over: Readonly<Record<string, unknown>>): { readonly board: BoardGiven; readonly warnings: readonly string[] } {
  const written = json === "" ? {} : parseObject(json), given = { ...written, ...Object.fromEntries(Object.entries(over).filter(([, v]) => v !== null && v !== undefined)) };
  const known = Object.keys(board.shape), unknown = Object.keys(written).filter((key) => !known.includes(key));
  const parsed = board.safeParse(Object.fromEntries(Object.entries(given).filter(([key]) => known.includes(key))));
  if (parsed.success) return { board: parsed.data, warnings: unknown.map((key) => `the key ${key} of ${BOARD_FILE} is not known and is ignored`) };
  const { path: [key], message } = parsed.error.issues[0]!;
  throw new InputError("calibration.badValue", message, describe(given[String(key)]), { file: BOARD_FILE, key: String(key) });
}

function parseObject(json: string): Readonly<Record<string, unknown>> {
  const refuse = (got: string, cause?: unknown): never => { throw new InputError("calibration.notJson", "a JSON object", got, { file: BOARD_FILE }, cause); };
  try {
    const value: unknown = JSON.parse(json.replace(/^\uFEFF/, ""));
    return typeof value === "object" && value !== null && !Array.isArray(value) ? value as Record<string, unknown> : refuse(describe(value));
  } catch (cause) {
    if (cause instanceof InputError) throw cause;
    return refuse((cause as Error).message, cause);
  }
}

const POSE_COLUMNS = ["file", "tx", "ty", "tz", "qx", "qy", "qz", "qw"] as const;

/** Tool → base by picture. InputError calibration.badPose with the line. */
export function readToolPoses(csv: string): ReadonlyMap<string, Pose> {
  const poses = new Map<string, Pose>();
  const [head = [], ...rows] = cellsOf(csv), columns = POSE_COLUMNS.map((name) => head.findIndex((cell) => cell.trim() === name));
  const refuse = (expected: string, got: string, line: number, key?: string): never => { throw new InputError("calibration.badPose", expected, got, { file: POSES_FILE, line, ...(key === undefined ? {} : { key }) }); };
  const missing = POSE_COLUMNS.find((_, i) => columns[i]! < 0);
  if (missing !== undefined) refuse(`the columns ${POSE_COLUMNS.join(",")}`, head.join(","), 1, missing);
  rows.forEach((cells, i) => {
    const [file = "", ...texts] = columns.map((at) => (cells[at] ?? "").trim()), numbers = texts.map(parseDecimal);
    const bad = numbers.findIndex((v) => !Number.isFinite(v));
    if (bad >= 0) refuse("a number", JSON.stringify(texts[bad]), i + 2, POSE_COLUMNS[bad + 1]);
    if (poses.has(file)) refuse("each picture once", JSON.stringify(file), i + 2, "file");
    poses.set(file, unitPose(numbers) ?? refuse("a quaternion of unit length within 0.001", texts.slice(3).join(","), i + 2, "qx"));
  });
  return poses;
}

function cellsOf(csv: string): readonly string[][] {
  try {
    return parse(csv, { bom: true, relax_column_count: true, skip_empty_lines: false }).filter((cells: string[]) => cells.some((cell) => cell.trim() !== ""));
  } catch (cause) {
    if (!(cause instanceof CsvError)) throw cause;
    throw new InputError("calibration.badPose", "comma-separated values", cause.message, { file: POSES_FILE }, cause);
  }
}
