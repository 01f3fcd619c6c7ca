/** The newest measured camera frame of a run that lives, and the pictures of its frames as they lie until it is over. */
import { join } from "node:path";
import { InputError } from "../base/errors.ts";
import { livePicturePath, type FrameView } from "../model/frameView.ts";
import { partsInside } from "../source/stage.ts";
import { frameViewOf } from "./frames.ts";
import { livePaths } from "./live/liveFolder.ts";
import { requireHub } from "./liveStream.ts";
import { pictureResponse } from "./pictures.ts";

function refuse(file: string): never {
  throw new InputError("store.noRun", "a run that lives, and its newest measured frame", JSON.stringify(file.slice(0, 90)), {});
}

/** `query`: the frame's file. InputError store.noRun where it is not the newest any more. */
export async function readLiveFrame(runId: string, query: URLSearchParams): Promise<FrameView> {
  const live = requireHub().open(runId), file = query.get("file") ?? "", measured = await live.newestFrame();
  if (measured === null || measured.frame.file !== file) return refuse(file);
  const { frame, place, layer } = measured;
  return frameViewOf({ frames: [frame], index: 0, layer, place, job: live.job, findings: live.seen.found, picture: livePicturePath(runId, file) });
}

/** `query`: the frame's file, as it was sent. InputError store.noRun; source.pathLeaves. */
export async function readLivePicture(runId: string, query: URLSearchParams): Promise<Response> {
  const live = requireHub().open(runId), file = query.get("file") ?? "", parts = partsInside(file, { file: "frames" });
  return (parts[0] === "frames" ? await pictureResponse(join(livePaths(live.dataFolder, runId).folder, ...parts)) : null) ?? refuse(file);
}
