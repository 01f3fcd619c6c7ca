/** Where a result's camera frames were taken from, and the hashes of their pictures. Written inside the caller's transaction. */
import type { FramePlace } from "../model/framePlace.ts";
import type { Sqlite } from "./connection.ts";
import type { FramePlaceModel } from "./generated/models.ts";

const POSE = ["tx", "ty", "tz", "qx", "qy", "qz", "qw"] as const;
const COLUMNS = ["file", "device", "frame", "sha256", ...POSE] as const;

export function writeFramePlaces(db: Sqlite, resultId: string, places: readonly FramePlace[]): void {
  const insert = db.prepare(`INSERT INTO "FramePlace" (resultId, ${COLUMNS.join(", ")}) VALUES (?, ${COLUMNS.map(() => "?").join(", ")})`);
  for (const { file, device, frame, sha256, pose } of places) insert.run(resultId, file, device, frame, sha256, ...pose);
}

/** By file; empty for a result without frames, or from before they were kept. */
export function readFramePlaces(db: Sqlite, resultId: string): Map<string, FramePlace> {
  const rows = db.prepare<[string], FramePlaceModel>(`SELECT * FROM "FramePlace" WHERE resultId = ?`).all(resultId);
  return new Map(rows.map(({ file, device, frame, sha256, tx, ty, tz, qx, qy, qz, qw }) => [file, { file, device, frame, sha256, pose: [tx, ty, tz, qx, qy, qz, qw] }]));
}
