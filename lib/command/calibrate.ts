/** `calibrate FOLDER`: a camera's numbers from pictures of a board, and where it sits on the arm's tool. */
import { parseArgs } from "node:util";
import { InputError } from "../base/errors.ts";
import { parseDecimal } from "../base/text.ts";
import { type CalibrationOptions, jobBlocksOf } from "../model/calibration.ts";
import { calibrateFiles } from "../server/calibrateFiles.ts";
import { readBoardFolder } from "../source/boardFiles.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";
import { writeWhole } from "./writeWhole.ts";

const HELP = `npm run --silent calibrate -- FOLDER [options]

Calibrates a camera from pictures (PNG, JPEG) of a checkerboard or a grid of dots in FOLDER, beside board.json:
  { "pattern": "checkerboard" | "dots", "columns": 9, "rows": 6, "pitchMm": 25, "camera": "camera-1" }
columns and rows count inner corners, or dots; without them the size that most pictures show is taken. With poses.csv beside them
(file,tx,ty,tz,qx,qy,qz,qw: tool to base at each picture) the camera's place on the tool is found, too: the board has to stand still.
  --pattern, --columns, --rows, --pitch-mm, --camera   as in board.json, and over it
  --square              one focal length for both axes
  --fix k3,p1           these distortions stay 0
  --corner-window PX    half-size of the window in which a corner is looked for (default: three tenths of the way to the next one)
  --keep-all            no picture is left out for its error
  --out FILE            writes the job's blocks there; without it they are printed on stdout
  --detail FILE         writes everything besides: points, errors and checks of each picture, as the page shows them
What is judged, and left out, is told on stderr. Exit 0: calibrated, whatever the verdict; 2: bad input, one clear error on stderr.
`;

const FLAGS = { help: { type: "boolean" }, square: { type: "boolean" }, "keep-all": { type: "boolean" } } as const;
const VALUES = { pattern: { type: "string" }, columns: { type: "string" }, rows: { type: "string" }, "pitch-mm": { type: "string" }, camera: { type: "string" }, fix: { type: "string" }, "corner-window": { type: "string" }, out: { type: "string" }, detail: { type: "string" } } as const;

interface Asked { readonly folder: string; readonly out: string | null; readonly detail: string | null; readonly over: Readonly<Record<string, unknown>>; readonly options: CalibrationOptions }

function parsed(argv: readonly string[]) {
  try {
    return parseArgs({ args: [...argv], allowPositionals: true, options: { ...FLAGS, ...VALUES } });
  } catch (error) {
    throw new InputError("command.usage", "calibrate FOLDER [options], see --help", (error as Error).message, {}, error);
  }
}

function parse(argv: readonly string[]): Asked | "help" {
  const { values, positionals: [folder, ...more] } = parsed(argv);
  if (values.help === true) return "help";
  if (folder === undefined || more.length > 0) throw new InputError("command.usage", "one folder of pictures", folder === undefined ? "none" : `${more.length + 1} arguments`, {});
  const over = { pattern: values.pattern, columns: numberOf(values.columns, "--columns"), rows: numberOf(values.rows, "--rows"), pitchMm: numberOf(values["pitch-mm"], "--pitch-mm"), camera: values.camera };
  const options = { cornerWindowPx: windowOf(values["corner-window"]), isSquare: values.square ?? false, fixed: fixedOf(values.fix), keepsAll: values["keep-all"] ?? false };
  return { folder, out: values.out ?? null, detail: values.detail ?? null, over, options };
}

function numberOf(given: string | undefined, key: string): number | null {
  if (given === undefined) return null;
  const value = parseDecimal(given);
  if (!Number.isFinite(value)) throw new InputError("command.usage", "a number", JSON.stringify(given), { key });
  return value;
}

const MOST_WINDOW_PX = 100;

function windowOf(given: string | undefined): number | null {
  const value = numberOf(given, "--corner-window");
  if (value !== null && !(Number.isInteger(value) && value >= 1 && value <= MOST_WINDOW_PX)) throw new InputError("command.usage", `a whole number from 1 to ${MOST_WINDOW_PX}`, String(given), { key: "--corner-window" });
  return value;
}

const DISTORTIONS = ["k1", "k2", "p1", "p2", "k3"] as const;

function fixedOf(given: string | undefined): CalibrationOptions["fixed"] {
  const names = given === undefined ? [] : given.split(","), fixed = DISTORTIONS.filter((name) => names.includes(name));
  if (fixed.length !== names.length) throw new InputError("command.usage", `some of ${DISTORTIONS.join(",")}`, JSON.stringify(given), { key: "--fix" });
  return fixed;
}

/** Runs the command; the exit code. */
export async function calibrateCommand(argv: readonly string[], io: Io): Promise<number> {
  const asked = parse(argv);
  if (asked === "help") {
    await io.out(HELP);
    return 0;
  }
  const progress = reportProgress(io);
  const calibration = await calibrateFiles({ ...asked, files: await readBoardFolder(asked.folder), looked: (count, of) => progress(() => `looking for boards: ${count} of ${of} pictures`) });
  for (const warning of calibration.warnings) io.err(`calibration.unknown: ${warning}`);
  for (const { file, why } of calibration.leftOut) io.err(`left out: ${file}: ${why}`);
  for (const { verdict, sentence } of [...calibration.checks, ...calibration.handEye?.checks ?? []]) io.err(`${verdict}: ${sentence}`);
  const blocks = `${JSON.stringify(jobBlocksOf(calibration), null, 1)}\n`;
  if (asked.detail !== null) await writeWhole(asked.detail, `${JSON.stringify(calibration)}\n`);
  if (asked.out === null) await io.out(blocks);
  else await writeWhole(asked.out, blocks);
  return 0;
}
