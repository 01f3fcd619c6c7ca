import { describe, expect, it } from "vitest";
import { calibrate, type LookedAt } from "../../lib/camera/calibrate.ts";
import { findBoard, type FoundBoard } from "../../lib/camera/findBoard.ts";
import { InputError } from "../../lib/base/errors.ts";
import { type Calibration, CALIBRATION_DEFAULT, LENS_NAMES } from "../../lib/model/calibration.ts";
import { makeRandom } from "../../lib/rehearsal/random.ts";
import { boardPoints, seenPoints, stands, type Stand, type TrueLens, turned } from "../support/boardScene.ts";
import { raysOf, renderBoard, type Scene } from "../support/renderedBoard.ts";

const WIDTH = 480, HEIGHT = 360, SHA = "0".repeat(64);
const LENS: TrueLens = { fx: 520, fy: 517, cx: 246, cy: 176, k1: -0.18, k2: 0.09, p1: 0.0012, p2: -0.0008, k3: 0 };
const CORNERS: Scene = { board: { columns: 8, rows: 5, pitchMm: 6 }, pattern: "checkerboard", lens: LENS, widthPx: WIDTH, heightPx: HEIGHT, noise: 2 };
const DOTS: Scene = { ...CORNERS, board: { columns: 9, rows: 7, pitchMm: 5 }, pattern: "dots" };

interface Shown { readonly stand: Stand; readonly found: FoundBoard | string }

/** Boards that are rendered and looked for. `isGiven`: their size is told. */
function show(scene: Scene, standing: readonly Stand[], seed: number, isGiven = true): Shown[] {
  const rays = raysOf(scene), random = makeRandom(seed, "grain"), { columns, rows, pitchMm } = scene.board;
  return standing.map((stand) => {
    const pixels = Float32Array.from(renderBoard(scene, rays, stand, random)), board = { pattern: scene.pattern, columns: isGiven ? columns : null, rows: isGiven ? rows : null, pitchMm, camera: "camera-1" };
    return { stand, found: findBoard({ pixels, width: WIDTH, height: HEIGHT }, board, null) };
  });
}

function solve(scene: Scene, shown: readonly { readonly found: FoundBoard | string }[], more: { readonly tools?: Parameters<typeof calibrate>[0]["tools"] } = {}): Omit<Calibration, "warnings"> {
  const pictures = shown.map(({ found }, i): LookedAt => ({ file: `${i}.png`, found })), board = { pattern: scene.pattern, ...scene.board, camera: "camera-1" };
  return calibrate({ board, options: { ...CALIBRATION_DEFAULT, fixed: ["k3"] }, widthPx: WIDTH, heightPx: HEIGHT, pictures, tools: more.tools ?? null, sha256: SHA });
}

function withoutError(scene: Scene, seed: number, count: number, options: { readonly tiltRad: number; readonly fill: number }): Shown[] {
  const standing = stands(scene.board, scene.lens, WIDTH, { seed, count, ...options });
  return show(scene, standing, seed);
}

/** Distance of each found point from where it truly is seen, px; the board may be read from its other end. */
function misses(scene: Scene, { stand, found }: Shown): number[] {
  const truth = seenPoints(boardPoints(scene.board), scene.lens, stand, () => 0), n = truth.length / 2, image = (found as FoundBoard).image;
  const away = (isReversed: boolean): number[] => Array.from({ length: n }, (_, i) => { const k = isReversed ? n - 1 - i : i; return Math.hypot(image[2 * i]! - truth[2 * k]!, image[2 * i + 1]! - truth[2 * k + 1]!); });
  const [one, other] = [away(false), away(true)];
  return Math.max(...one) < Math.max(...other) ? one : other;
}

const shares = (calibration: Omit<Calibration, "warnings">): number[] => LENS_NAMES.filter((name) => name !== "k3").map((name) => Math.abs(calibration.device[name] - LENS[name]) / calibration.device.calibration.u[name]!);

describe("boards that are rendered through a known lens", () => {
  const options = { tiltRad: 0.6, fill: 0.55 };

  it("every corner of 10 checkerboards is found within 0.25 px and 0.06 px rms at noise 2 of 255, beginning with the dark square (seed 21)", () => {
    const all = withoutError(CORNERS, 21, 10, options).flatMap((each) => {
      expect(each.found).not.toBeTypeOf("string");
      expect((each.found as FoundBoard).alikeTurns).toEqual([0]); // 8 and 5: the colours tell its ends apart
      const truth = seenPoints(boardPoints(CORNERS.board), LENS, each.stand, () => 0);
      expect(Math.hypot((each.found as FoundBoard).image[0]! - truth[0]!, (each.found as FoundBoard).image[1]! - truth[1]!)).toBeLessThan(0.3);
      return misses(CORNERS, each);
    });
    expect(Math.max(...all)).toBeLessThan(0.25);
    expect(Math.sqrt(all.reduce((sum, v) => sum + v * v, 0) / all.length)).toBeLessThan(0.06);
  });

  it("the size of a board is found by itself, whatever its turn, and of two that are neither it nor a board the reason is told", () => {
    const found = show(CORNERS, stands(CORNERS.board, LENS, WIDTH, { seed: 22, count: 3, ...options }), 22, false).map((each) => each.found as FoundBoard);
    expect(found.map(({ columns, rows }) => [columns, rows])).toEqual([[8, 5], [8, 5], [8, 5]]);
    const flat = findBoard({ pixels: new Float32Array(WIDTH * HEIGHT).fill(90), width: WIDTH, height: HEIGHT }, { pattern: "checkerboard", columns: 8, rows: 5, pitchMm: 6, camera: "c" }, null);
    expect(flat).toBe("expected a grid of 8 × 5 corners, found none");
    const [other] = show({ ...CORNERS, board: { ...CORNERS.board, rows: 6 } }, stands(CORNERS.board, LENS, WIDTH, { seed: 23, count: 1, ...options }), 23);
    const wrong = findBoard({ pixels: Float32Array.from(renderBoard(CORNERS, raysOf(CORNERS), other!.stand, makeRandom(1, "grain"))), width: WIDTH, height: HEIGHT }, { pattern: "checkerboard", columns: 7, rows: 5, pitchMm: 6, camera: "c" }, null);
    expect(wrong).toMatch(/^expected a grid of 7 × 5 corners, found (8 × 5|5 × 8)$/);
  });

  it("the lens comes out within 3 u of the truth, parameter by parameter, and 80 % of them within 2 u: checkerboards of seeds 31 to 34", () => {
    const all = [31, 32, 33, 34].flatMap((seed) => {
      const solved = solve(CORNERS, withoutError(CORNERS, seed, 10, options)), each = shares(solved);
      expect(solved.device.calibration.rmsPx, `seed ${seed}`).toBeLessThan(0.1);
      each.forEach((share, i) => expect(share, `${LENS_NAMES[i]}, seed ${seed}`).toBeLessThan(3));
      return each;
    });
    expect(all.filter((share) => share < 2).length / all.length).toBeGreaterThan(0.8);
  });

  it("the same for dots, whose slanted middles are put right: within 3 u for seeds 41 and 42", () => {
    for (const seed of [41, 42]) {
      const shown = withoutError(DOTS, seed, 10, options), solved = solve(DOTS, shown);
      expect(solved.device.calibration.rmsPx).toBeLessThan(0.06);
      shares(solved).forEach((share, i) => expect(share, `${LENS_NAMES[i]}, seed ${seed}`).toBeLessThan(3));
    }
  });
});

describe("what is judged of a calibration", () => {
  const board = CORNERS.board, points = boardPoints(board), random = makeRandom(5, "corner noise");
  const seenAt = (stand: Stand, noisePx: number): FoundBoard => ({ columns: 8, rows: 5, image: seenPoints(points, LENS, stand, () => noisePx * random.gauss()), areasPx2: new Float64Array(0), alikeTurns: [0] });
  const some = (noisePx: number, tiltRad = 0.6, count = 12): { found: FoundBoard }[] => stands(board, LENS, WIDTH, { seed: 8, count, tiltRad, fill: 0.5 }).map((stand) => ({ found: seenAt(stand, noisePx) }));
  const verdictOf = (calibration: Omit<Calibration, "warnings">, name: string): string | undefined => calibration.checks.find((check) => check.name === name)?.verdict;

  it("0.3 px of noise is doubtful in nothing of the points, 0.45 px on both axes is doubtful, 0.9 px bad", () => {
    expect(verdictOf(solve(CORNERS, some(0.3)), "reprojection")).toBe("good");
    expect(verdictOf(solve(CORNERS, some(0.45)), "reprojection")).toBe("doubtful");
    expect(verdictOf(solve(CORNERS, some(0.9)), "reprojection")).toBe("bad");
  });

  it("boards that all stand square to the view are bad, and it says that focal length and distance cannot be told apart", () => {
    const solved = solve(CORNERS, some(0.1, 0.001));
    expect(solved.device.calibration.verdict).toBe("bad");
    expect(verdictOf(solved, "orientations")).toBe("bad");
    expect(solved.device.calibration.why.join(" ")).toContain("cannot be told apart");
  });

  it("a picture whose points lie 5 px off at random is left out by name, with both numbers", () => {
    const shown = some(0.1);
    const solved = solve(CORNERS, shown.map((each, i) => (i === 4 ? { found: seenAt(stands(board, LENS, WIDTH, { seed: 9, count: 1, tiltRad: 0.5, fill: 0.5 })[0]!, 5) } : each)));
    expect(solved.leftOut).toEqual([{ file: "4.png", why: expect.stringMatching(/^its points lie \d+\.\d\d px \(rms\) off, more than 3 times the middle picture’s 0\.2\d px$/) }]);
    expect(solved.device.calibration.pictures).toBe(11);
  });

  it("boards in one corner of the picture leave parts empty, which are named", () => {
    const corner = stands(board, LENS, WIDTH, { seed: 12, count: 10, tiltRad: 0.6, fill: 0.3 }).map(({ r, t }): Stand => ({ r, t: [t[0]! - 0.15 * t[2]!, t[1]! - 0.1 * t[2]!, t[2]!] }));
    const solved = solve(CORNERS, corner.map((stand) => ({ found: seenAt(stand, 0.1) })));
    expect(verdictOf(solved, "coverage")).not.toBe("good");
    expect(solved.device.calibration.why.join(" ")).toMatch(/No board was seen in \d of nine parts of the picture \(.*lower right.*\)/);
  });

  it("two pictures are too few: calibration.notEnough", () => {
    const two = some(0.1).slice(0, 2);
    try {
      solve(CORNERS, two);
      expect.unreachable();
    } catch (error) {
      expect((error as InputError).code).toBe("calibration.notEnough");
    }
  });

  it("a board that looks the same after a half-turn may be read from either end: the mount comes out the same", () => {
    const tools = new Map<string, [number, number, number, number, number, number, number]>(), shown: { found: FoundBoard }[] = [], chance = makeRandom(3, "arm");
    const dots = { ...DOTS.board }, all = boardPoints(dots), angle = (half: number): number => (2 * chance.next() - 1) * half;
    for (let i = 0; i < 10; i++) {
      // the camera is the tool's frame moved by (10, −20, 30) mm; the board stands at base (0, 0, 0)
      const r = turned(angle(0.5), angle(0.5), angle(0.6)), t = [angle(20) - 20, angle(15) - 15, 240 + angle(30)];
      const image = seenPoints(all, LENS, { r, t }, () => 0.02 * chance.gauss()), flipped = Float64Array.from(image, (_, k) => image[image.length - 2 - (k - k % 2) + k % 2]!);
      shown.push({ found: { columns: 9, rows: 7, image: i % 3 === 1 ? flipped : image, areasPx2: new Float64Array(0), alikeTurns: [0, 2] } });
      const w = Math.sqrt(1 + r[0]![0]! + r[1]![1]! + r[2]![2]!) / 2, back = [0, 1, 2].map((c) => -(r[0]![c]! * (t[0]! + 10) + r[1]![c]! * (t[1]! - 20) + r[2]![c]! * (t[2]! + 30)));
      tools.set(`${i}.png`, [back[0]!, back[1]!, back[2]!, -(r[2]![1]! - r[1]![2]!) / (4 * w), -(r[0]![2]! - r[2]![0]!) / (4 * w), -(r[1]![0]! - r[0]![1]!) / (4 * w), w]);
    }
    const { handEye } = solve({ ...DOTS }, shown, { tools });
    expect(handEye?.mount?.from).toBe("camera-1");
    [10, -20, 30].forEach((mm, k) => expect(Math.abs(handEye!.mount!.pose[k]! - mm)).toBeLessThan(3 * handEye!.mount!.u!.mm));
    expect(Math.abs(handEye!.mount!.pose[6])).toBeCloseTo(1, 4);
    expect(handEye!.rmsMm).toBeLessThan(0.2);
  });
});
