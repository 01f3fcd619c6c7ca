/** What `calibrate --detail` wrote, when it comes back: checked, since a file may be any file. */
import { z } from "zod";
import { InputError } from "../base/errors.ts";
import { BOARD_PATTERNS, type Calibration } from "./calibration.ts";
import { cameraBlock, mountBlock } from "./jobShape.ts";

const number = z.number(), verdict = z.enum(["good", "doubtful", "bad"]), check = z.object({ name: z.string(), verdict, sentence: z.string() });
const count = z.number().int().min(2).max(1000);
const shape = z.object({
  contract: z.literal("aslaid/1"), board: z.object({ pattern: z.enum(BOARD_PATTERNS), columns: count, rows: count, pitchMm: number, camera: z.string() }), device: cameraBlock, checks: z.array(check),
  boards: z.array(z.object({ file: z.string(), pointsPx: z.array(number), residualsPx: z.array(number), rmsPx: number, tiltDeg: number, distanceMm: number })).min(1),
  leftOut: z.array(z.object({ file: z.string(), why: z.string() })),
  handEye: z.object({ pictures: number, verdict, checks: z.array(check), mount: mountBlock.nullable(), rmsMm: number.nullable(), rmsDeg: number.nullable() }).nullable(), warnings: z.array(z.string()),
}).refine(({ board, boards }) => boards.every(({ pointsPx, residualsPx }) => pointsPx.length === 2 * board.columns * board.rows && residualsPx.length === pointsPx.length), { path: ["boards"], error: "as many points in each picture as the board has" })
  .refine(({ device }) => device.calibration !== null, { path: ["device", "calibration"], error: "a calibration" });

/** InputError calibration.badValue with the key. */
export function readCalibration(value: unknown, file: string): Calibration {
  const parsed = shape.safeParse(value);
  if (!parsed.success) throw new InputError("calibration.badValue", parsed.error.issues[0]!.message, "something else", { file, key: parsed.error.issues[0]!.path.join(".") });
  const { maskPx: _, clockOffsetS: __, ...device } = parsed.data.device;
  return { ...parsed.data, device } as Calibration;
}
