/** A calibration from files: pictures of a board, board.json, poses.csv; or what the command wrote of one. */
import { InputError } from "../base/errors.ts";
import { calibrate, type LookedAt } from "../camera/calibrate.ts";
import { findBoard } from "../camera/findBoard.ts";
import type { GrayImage } from "../kernel/grayImage.ts";
import { sha256Hex } from "../log/hash.ts";
import { type Calibration, CALIBRATION_DEFAULT, type CalibrationOptions, type CalibrationSheet, type PictureLeftOut } from "../model/calibration.ts";
import { readCalibration } from "../model/calibrationShape.ts";
import { calibrationSheet } from "../report/calibrationSheet.ts";
import { BOARD_FILE, type BoardFile, picturesAmong, POSES_FILE, readBoard, readToolPoses } from "../source/boardFiles.ts";
import { decodeGray } from "../source/boardImages.ts";

export interface CalibrateAsk {
  readonly files: readonly BoardFile[];
  /** Over what board.json says; null: not given. */
  readonly over: Readonly<Record<string, unknown>>;
  readonly options: CalibrationOptions;
  /** Told after each picture. */
  readonly looked?: (count: number, of: number) => void;
}

interface Picture { readonly file: string; readonly widthPx: number; readonly heightPx: number; readonly found: LookedAt["found"] }

/** A picture that cannot be read, is of another size or shows no board is left out and told of. InputError calibration.*. */
export async function calibrateFiles({ files, over, options, looked }: CalibrateAsk): Promise<Calibration> {
  const hashes: string[] = [], textOf = async (name: string): Promise<string | null> => {
    const file = files.find((each) => each.name === name), bytes = file === undefined ? null : await file.bytes();
    if (bytes !== null) hashes.push(`${name} ${sha256Hex(bytes)}`);
    return bytes === null ? null : new TextDecoder().decode(bytes);
  };
  const { board, warnings } = readBoard(await textOf(BOARD_FILE) ?? "", over), posesText = await textOf(POSES_FILE), tools = posesText === null ? null : readToolPoses(posesText);
  const pictures: Picture[] = [], unread: PictureLeftOut[] = [], all = picturesAmong(files);
  if (all.length === 0) throw new InputError("calibration.notEnough", "pictures (PNG, JPEG) of a board", "none", {});
  for (const [i, { name, bytes }] of all.entries()) {
    const content = await bytes();
    hashes.push(`${name} ${sha256Hex(content)}`);
    const image = await decodeOrWhy(content, name);
    if (typeof image === "string") unread.push({ file: name, why: image });
    else pictures.push({ file: name, widthPx: image.width, heightPx: image.height, found: findBoard(image, board, options.cornerWindowPx) });
    looked?.(i + 1, all.length);
  }
  const { widthPx, heightPx } = usualSize(pictures, unread), odd = pictures.filter((each) => each.widthPx !== widthPx || each.heightPx !== heightPx);
  const told = calibrate({ board, options, widthPx, heightPx, tools, pictures: pictures.filter((each) => !odd.includes(each)), sha256: sha256Hex(JSON.stringify([board, options, hashes])) });
  const oddWords = odd.map(({ file, ...size }): PictureLeftOut => ({ file, why: `expected ${widthPx} × ${heightPx} px as most pictures have, got ${size.widthPx} × ${size.heightPx}` }));
  const strange = [...tools?.keys() ?? []].filter((file) => !all.some(({ name }) => name === file)).map((file) => `${POSES_FILE} has a pose of ${file}, which is not among the pictures`);
  return { ...told, leftOut: [...unread, ...oddWords, ...told.leftOut], warnings: [...warnings, ...strange] };
}

async function decodeOrWhy(bytes: Uint8Array, name: string): Promise<GrayImage | string> {
  try {
    return await decodeGray(bytes, name);
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
}

/** The size that most pictures have; of equally many the first one's. */
function usualSize(pictures: readonly Picture[], unread: readonly PictureLeftOut[]): { readonly widthPx: number; readonly heightPx: number } {
  const same = (a: Picture): number => pictures.filter((b) => a.widthPx === b.widthPx && a.heightPx === b.heightPx).length;
  const [first] = pictures;
  if (first === undefined) throw new InputError("calibration.notEnough", "at least 3 pictures that show the board", unread[0]?.why ?? "none", {});
  return pictures.reduce((best, each) => (same(each) > same(best) ? each : best), first);
}

/** The sheet of what somebody hands in: pictures with board.json or `over`, or a single file that `calibrate --detail` wrote. InputError calibration.*. */
export async function sheetOfFiles(given: readonly { readonly name: string; readonly bytes: Uint8Array }[], over: Readonly<Record<string, unknown>>): Promise<CalibrationSheet> {
  const [only] = given;
  if (given.length === 1 && only !== undefined && /\.json$/i.test(only.name)) return calibrationSheet(readCalibration(parsedDetail(only.bytes, only.name), only.name));
  const files = given.map(({ name, bytes }): BoardFile => ({ name, bytes: async () => bytes }));
  return calibrationSheet(await calibrateFiles({ files, over, options: CALIBRATION_DEFAULT }));
}

function parsedDetail(bytes: Uint8Array, file: string): unknown {
  try {
    return JSON.parse(new TextDecoder().decode(bytes));
  } catch (cause) {
    throw new InputError("calibration.notJson", "what calibrate --detail wrote", (cause as Error).message, { file }, cause);
  }
}
