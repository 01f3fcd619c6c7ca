/** What the frames of a run say together: of each station the newest that shows it, bodies until they are seen gone, and what hangs, is misplaced or disagrees. */
import { ABSENT, HIDDEN, PRESENT, UNSEEN, type FrameReading, type SeenBody, type StationColumns } from "../camera/scene.ts";
import { median } from "../kernel/statistics.ts";
import type { CameraState, FrameResult, FrameStretch, StationCamera } from "../model/frame.ts";
import type { Job } from "../model/job.ts";
import type { CameraPoseFinding, HangFinding, Point } from "../model/result.ts";
import type { StationPlan } from "../model/stations.ts";
import { rounded, roundedOrNull } from "./stationResult.ts";

const STATE_OF: Readonly<Record<number, CameraState>> = { [PRESENT]: "present", [ABSENT]: "absent", [HIDDEN]: "hidden" };
/** A body that is seen again lies within this of where it was, mm. */
export const SAME_BODY_MM = 2;
/** A body counts as gone once so many later frames show its place without it. */
const GONE_AFTER = 2;

/** Of one attempt of a station. */
interface Evidence { readonly state: typeof PRESENT | typeof ABSENT; readonly tS: number; readonly file: string; readonly pasteFraction: number; /** Since the state last changed; they grow in place. */ readonly widthsMm: number[]; readonly uWidthsMm: number[] }

/** A body that stands by what frames show. */
export interface StandingBody { readonly body: SeenBody; readonly layer: number; readonly file: string; readonly missed: number }

export class CameraStanding {
  readonly frames: FrameResult[] = [];
  /** In the order in which they were seen first. */
  bodies: readonly StandingBody[] = [];
  private readonly evidence = new Map<string, Evidence>(); // by "station/attempt"
  private readonly poses = new Map<string, CameraPoseFinding>(); // by device, the frame that lies farthest off
  private readonly poseCounts = new Map<string, { right: number; wrong: number }>(); // by device
  private hangs: readonly HangFinding[] = [];
  private isHanging = false;

  constructor(private readonly plan: StationPlan, private readonly columns: StationColumns, private readonly job: Job) {}

  /** Takes the next frame in order of time. */
  take(reading: FrameReading): void {
    this.frames.push(this.resultOf(reading));
    if (reading.poseErrorMm === reading.poseErrorMm) this.notePose(reading);
    if (reading.reason !== null) return;
    this.noteStations(reading);
    this.noteBodies(reading);
    this.noteHang(reading);
  }

  /** What stands at a station; null: no used frame shows it. */
  cameraAt(strandIndex: number, station: number, attempt: number): StationCamera | null {
    const seen = this.evidenceAt(strandIndex, station, attempt);
    if (seen === null) return null;
    return { state: seen.state === PRESENT ? "present" : "absent", widthMm: roundedOrNull(median(seen.widthsMm)), u: { widthMm: roundedOrNull(median(seen.uWidthsMm)) }, file: seen.file };
  }

  /** Share of the planned width that paste covers there, and when that was seen. */
  shareAt(strandIndex: number, station: number, attempt: number): { readonly pasteFraction: number; readonly tS: number } | null {
    return this.evidenceAt(strandIndex, station, attempt);
  }

  findings(): (HangFinding | CameraPoseFinding)[] {
    const isWrong = ({ device }: CameraPoseFinding): boolean => { const { right, wrong } = this.poseCounts.get(device) ?? { right: 0, wrong: 0 }; return wrong > right; };
    return [...this.hangs, ...[...this.poses.values()].filter(isWrong)]; // one frame that misleads among many that agree is no wrong pose
  }

  private evidenceAt(strandIndex: number, station: number, attempt: number): Evidence | null {
    return this.evidence.get(`${(this.columns.first[strandIndex] as number) + station}/${attempt}`) ?? null;
  }

  private resultOf(reading: FrameReading): FrameResult {
    return {
      file: reading.file, tS: rounded(reading.tS), used: reading.reason === null, reason: reading.reason, separability: roundedOrNull(reading.separability), poseErrorMm: roundedOrNull(reading.poseErrorMm),
      stretches: reading.reason === null ? this.stretchesOf(reading) : [],
      bodies: reading.bodies.map(({ position, areaMm2 }) => ({ position: position.map(rounded) as unknown as Point, areaMm2: rounded(areaMm2) })), nozzleHangMm2: roundedOrNull(reading.nozzleHangMm2),
    };
  }

  private stretchesOf({ states }: FrameReading): FrameStretch[] {
    return this.plan.strands.flatMap((strand) => {
      const first = this.columns.first[strand.index] as number, found: FrameStretch[] = [];
      for (let i = 0; i < strand.count; i++) {
        const state = states[first + i] as number;
        if (state === UNSEEN) continue;
        let last = i;
        while (last + 1 < strand.count && states[first + last + 1] === state) last++;
        found.push({ layer: strand.layer, strand: strand.strand, fromMm: rounded(strand.sMm[i] as number), toMm: rounded(strand.sMm[last] as number), state: STATE_OF[state] as CameraState });
        i = last;
      }
      return found;
    });
  }

  private noteStations({ states, attempt, file, tS, pasteFraction, widthMm, uWidthMm }: FrameReading): void {
    states.forEach((state, i) => {
      if (state !== PRESENT && state !== ABSENT) return;
      const key = `${i}/${attempt[i] as number}`, before = this.evidence.get(key), same = before?.state === state ? before : undefined, width = widthMm[i] as number;
      const widthsMm = same?.widthsMm ?? [], uWidthsMm = same?.uWidthsMm ?? [];
      if (width === width) {
        widthsMm.push(width);
        uWidthsMm.push(uWidthMm[i] as number);
      }
      this.evidence.set(key, { state, tS, file, pasteFraction: pasteFraction[i] as number, widthsMm, uWidthsMm });
    });
  }

  private noteBodies({ bodies, placesSeen, file, layer }: FrameReading): void {
    const found = [...bodies];
    const kept = this.bodies.flatMap((old, i): StandingBody[] => {
      const again = found.findIndex((body) => distance(body.position, old.body.position) <= SAME_BODY_MM);
      if (again >= 0) return [{ ...old, body: found.splice(again, 1)[0] as SeenBody, file, missed: 0 }];
      const missed = old.missed + (placesSeen[i] === 1 ? 1 : 0);
      return missed >= GONE_AFTER ? [] : [{ ...old, missed }];
    });
    this.bodies = [...kept, ...found.map((body): StandingBody => ({ body, layer, file, missed: 0 }))];
  }

  private noteHang({ nozzleHangMm2, tip, layer, file }: FrameReading): void {
    if (nozzleHangMm2 !== nozzleHangMm2 || tip === null) return;
    const width = this.widthNear(tip), limit = rounded(this.job.tolerance.strayAreaMm2 ?? 0.5 * width * width), area = rounded(nozzleHangMm2);
    if (!(area >= limit)) {
      this.isHanging = false;
      return;
    }
    const last = this.hangs[this.hangs.length - 1];
    if (this.isHanging && last !== undefined) {
      if (area > last.areaMm2) this.hangs = [...this.hangs.slice(0, -1), { ...last, areaMm2: area, worst: { ...last.worst, value: area }, position: tip.map(rounded) as unknown as Point, file }];
      return;
    }
    this.isHanging = true;
    this.hangs = [...this.hangs, { kind: "nozzleHang", severity: "act", proven: true, layer, areaMm2: area, position: tip.map(rounded) as unknown as Point, worst: { metric: "areaMm2", value: area, limit }, file }];
  }

  /** Planned width of the bead that is laid at the tip. */
  private widthNear(tip: Point): number {
    const { frames, widthMm, count } = this.columns;
    let best = 0, least = Infinity;
    for (let i = 0; i < count; i++) {
      const away = distance(tip, [frames[12 * i] as number, frames[12 * i + 1] as number, frames[12 * i + 2] as number]);
      if (away < least) [least, best] = [away, i];
    }
    return widthMm[best] as number;
  }

  private notePose({ device, reason, poseErrorMm, layer, middle, file }: FrameReading): void {
    const counts = this.poseCounts.get(device) ?? { right: 0, wrong: 0 }, isWrong = reason === "poseDisagrees";
    this.poseCounts.set(device, { right: counts.right + (isWrong ? 0 : 1), wrong: counts.wrong + (isWrong ? 1 : 0) });
    if (!isWrong) return;
    const before = this.poses.get(device), value = rounded(poseErrorMm);
    if (before !== undefined && before.worst.value >= value) return;
    this.poses.set(device, {
      kind: "cameraPose", severity: "watch", proven: true, layer, device, position: middle.map(rounded) as unknown as Point, worst: { metric: "poseErrorMm", value, limit: this.job.tolerance.camera.poseErrorMm }, file,
    });
  }
}

export function distance(a: Point, b: Point): number {
  return Math.sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2);
}
