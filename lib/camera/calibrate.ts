/** From the boards of all pictures to the calibration that is told of. */
import { InputError } from "../base/errors.ts";
import type { Pose7 } from "../kernel/vec.ts";
import { type BoardGiven, type Calibration, type CalibrationOptions, LENS_NAMES, type PictureLeftOut } from "../model/calibration.ts";
import type { LensName } from "../model/job.ts";
import { mountOnTool } from "./armMount.ts";
import type { FoundBoard } from "./findBoard.ts";
import { judgeLens, reasonsOf, worstOf } from "./judgeLens.ts";
import { boardsSeen, type NamedBoard, solveBoards } from "./solveBoards.ts";

export interface LookedAt {
  readonly file: string;
  /** What was found, or why there is none. */
  readonly found: FoundBoard | string;
}

export interface CalibrationInput {
  readonly board: BoardGiven;
  readonly options: CalibrationOptions;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly pictures: readonly LookedAt[];
  /** Tool → base by picture; null: none were given. */
  readonly tools: ReadonlyMap<string, Pose7> | null;
  /** Hash over all that went in, hex. */
  readonly sha256: string;
}

/** InputError calibration.notEnough. */
export function calibrate({ board, options, widthPx, heightPx, pictures, tools, sha256 }: CalibrationInput): Omit<Calibration, "warnings"> {
  const { size, boards, leftOut } = sameSize(pictures, board), given = { ...board, ...size };
  if (boards.length < 3) throw new InputError("calibration.notEnough", "at least 3 pictures that show the board", `${boards.length} of ${pictures.length}${leftOut.length === 0 ? "" : `; ${leftOut[0]!.file}: ${leftOut[0]!.why}`}`, {});
  const sized = { ...size, pitchMm: board.pitchMm, widthPx, heightPx }, all = solveBoards(boards, sized, options), { solved, used } = all;
  const checks = judgeLens({ solved, images: used.map(({ found }) => found.image), widthPx, heightPx });
  const arm = tools === null ? null : used.flatMap(({ file, found }, i) => { const tool = tools.get(file); return tool === undefined ? [] : [{ tool, board: solved.poses[i]!, alikeTurns: found.alikeTurns }]; });
  const { lens, u } = solved, said = (v: number): number | null => (v === v ? Number(v.toPrecision(4)) : null);
  return {
    contract: "aslaid/1", board: given,
    device: {
      id: board.camera, kind: "camera", widthPx, heightPx, ...lens,
      calibration: {
        at: `sha256:${sha256}`, pictures: used.length, points: used.length * size.columns * size.rows, rmsPx: Number(solved.rmsPx.toPrecision(4)),
        u: Object.fromEntries(LENS_NAMES.map((name) => [name, said(u[name])])) as Record<LensName, number | null>, verdict: worstOf(checks), why: reasonsOf(checks),
      },
    },
    checks, boards: boardsSeen(all, sized), leftOut: [...leftOut, ...all.leftOut], handEye: arm === null ? null : mountOnTool(arm, { ...size, pitchMm: board.pitchMm, camera: board.camera }, { focalShare: Math.max(u.fx / lens.fx, u.fy / lens.fy), axisRad: Math.max(u.cx / lens.fx, u.cy / lens.fy) }),
  };
}

interface SameSize { readonly size: { readonly columns: number; readonly rows: number }; readonly boards: readonly NamedBoard[]; readonly leftOut: readonly PictureLeftOut[] }

/** Boards of the size that was given, else of the one that most pictures show (of equally many the larger). */
function sameSize(pictures: readonly LookedAt[], { columns, rows }: BoardGiven): SameSize {
  const found = pictures.filter((each): each is NamedBoard => typeof each.found !== "string"), counts = new Map<string, { readonly columns: number; readonly rows: number; count: number }>();
  for (const { found: board } of found) {
    const key = `${board.columns} × ${board.rows}`, entry = counts.get(key) ?? { columns: board.columns, rows: board.rows, count: 0 };
    entry.count++;
    counts.set(key, entry);
  }
  const most = [...counts.values()].sort((a, b) => b.count - a.count || b.columns * b.rows - a.columns * a.rows)[0];
  const size = { columns: columns ?? most?.columns ?? 0, rows: rows ?? most?.rows ?? 0 }, isSame = ({ found: board }: NamedBoard): boolean => board.columns === size.columns && board.rows === size.rows;
  const leftOut = pictures.flatMap((each): PictureLeftOut[] => {
    if (typeof each.found === "string") return [{ file: each.file, why: each.found }];
    return isSame(each as NamedBoard) ? [] : [{ file: each.file, why: `expected a board of ${size.columns} × ${size.rows} as most pictures show, found ${each.found.columns} × ${each.found.rows}` }];
  });
  return { size, boards: found.filter(isSame), leftOut };
}
