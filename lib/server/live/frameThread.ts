/** The thread in which frames of one live run are measured: a scene in, what its picture shows out, one at a time. */
import { platform, setPriority } from "node:os";
import { join } from "node:path";
import { parentPort, workerData } from "node:worker_threads";
import { CameraEye, QUICK_CELL_MM } from "../../camera/eye.ts";
import type { FrameScene } from "../../camera/scene.ts";
import { resolveJob } from "../../model/jobSchema.ts";
import { readPlan } from "../../plan/readPlan.ts";
import { buildStations } from "../../plan/stations.ts";
import { decodePicture } from "../../source/decodePicture.ts";
import { livePaths, readHead } from "./liveFolder.ts";

/** Readings come first: where cores are scarce, frames take what is left. On Linux a priority is that of the calling thread alone; elsewhere it would be the whole server's. */
const NICE = 10;
if (platform() === "linux") setPriority(NICE);

const { dataFolder, runId } = workerData as { readonly dataFolder: string; readonly runId: string };
const paths = livePaths(dataFolder, runId), head = readHead(paths);
if (head === null) throw new TypeError(`no run ${runId}`);
const { job } = resolveJob(JSON.parse(head.jobText), "job.json"), stations = buildStations(readPlan(head.planText, job, head.planFile).plan, job.stationSpacingMm);
const eyes = new Map(job.devices.flatMap((camera) => (camera.kind === "camera" ? [[camera.id, { camera, eye: new CameraEye(job, stations, camera, QUICK_CELL_MM) }] as const] : [])));

async function measure(scene: FrameScene): Promise<void> {
  const own = eyes.get(scene.device);
  if (own === undefined) throw new TypeError(`${scene.device} is no camera of run ${runId}`);
  for (const mark of own.eye.unlearned(scene)) own.eye.learnMark(mark, (await decodePicture(join(paths.folder, mark.file), own.camera)).pixels);
  const { pixels } = await decodePicture(join(paths.folder, scene.file), own.camera);
  parentPort?.postMessage(own.eye.measure(scene, pixels));
}

parentPort?.on("message", (scene: FrameScene) => {
  measure(scene).catch((error: unknown) => setImmediate(() => { throw error; })); // ends the thread: whoever started it hears of it
});
