/** What frames say, beside a result. */
import { UNUSED_REASONS, type FrameBody, type FrameResult, type FrameStretch } from "../model/frame.ts";
import type { Sqlite } from "./connection.ts";
import type { FrameModel } from "./generated/models.ts";
import { oneOf } from "./oneOf.ts";

export function frameToRow(resultId: string, frameIndex: number, { stretches, bodies, ...frame }: FrameResult): FrameModel {
  return { resultId, frameIndex, ...frame, stretchesJson: JSON.stringify(stretches), bodiesJson: JSON.stringify(bodies) };
}

/** As SQLite hands it out: 0 or 1 for a boolean. */
type StoredFrame = Omit<FrameModel, "used"> & { readonly used: number };

function frameFromRow({ file, tS, used, reason, separability, poseErrorMm, stretchesJson, bodiesJson, nozzleHangMm2 }: StoredFrame): FrameResult {
  return {
    file, tS, used: used === 1, reason: reason === null ? null : oneOf(UNUSED_REASONS, reason, "Frame.reason"), separability, poseErrorMm,
    stretches: JSON.parse(stretchesJson) as FrameStretch[], bodies: JSON.parse(bodiesJson) as FrameBody[], nozzleHangMm2,
  };
}

/** Every frame of a result in order of time, one at a time in memory; none for a result from before frames were measured. */
export function* readFrames(db: Sqlite, resultId: string): Generator<FrameResult> {
  const next = db.prepare<[string, number], StoredFrame>(`SELECT * FROM "Frame" WHERE resultId = ? AND frameIndex >= ? ORDER BY frameIndex LIMIT 64`);
  for (let from = 0, rows = next.all(resultId, 0); rows.length > 0; rows = next.all(resultId, from)) {
    for (const row of rows) yield frameFromRow(row);
    from += rows.length;
  }
}
