import { describe, expect, it } from "vitest";
import { ALERT_KINDS, type Alert, type AlertCause, type AlertKind } from "../../lib/model/alert.ts";
import { BODY_KINDS, STRETCH_KINDS } from "../../lib/model/result.ts";
import { alertLines, moreAlertsWords } from "../../lib/report/alertWords.ts";
import { madeAlert, madeHealth } from "../support/madeAlert.ts";

const title = (cause: Partial<AlertCause>): string => alertLines([madeAlert(1, cause)], 1)[0]!.title.replaceAll("\u00a0", " ");
const advice = (alert: Alert): string | null => alertLines([alert], 1)[0]!.advice;
const worst = (metric: NonNullable<AlertCause["worst"]>["metric"], value: number | null, limit = 0.3) => ({ worst: { metric, value, limit } });
const health = (kind: AlertKind, subject = "", change: Partial<AlertCause> = {}): string => title({ ...madeHealth(kind, subject), ...change });

/** Each kind with all that its alert can lack: a place, a stretch of it, a worst value. */
const CASES: readonly Partial<AlertCause>[] = ALERT_KINDS.flatMap((kind) => [
  { kind }, { kind, worst: null }, { kind, ...worst("widthMm", null) }, { kind, ...worst("offsetMm", -0.41) }, { kind, place: { layer: 12, strand: 108, fromMm: 104.5, toMm: 118.2 }, ...worst("heightMm", -0.23) },
  { kind, place: { layer: 3, strand: 9, fromMm: null, toMm: null } }, { kind, place: { layer: 3, strand: null, fromMm: null, toMm: null } }, { kind, place: null, ...worst("s", 12.4) },
].map((cause) => ({ subject: "profiler-2", ...cause })));

describe("the title of an alert", () => {
  it("is one sentence of 10 to 80 characters without a full stop, of every kind and whatever its alert lacks", () => {
    for (const cause of CASES) {
      const said = title(cause);
      expect(said).toMatch(/^[A-Z][^.]*([0-9]\.[0-9][^.]*)*$/);
      expect(said).not.toMatch(/undefined|null|NaN|Infinity|\[object/);
      expect(said.length).toBeLessThanOrEqual(80);
      expect(said.length).toBeGreaterThan(9);
    }
  });

  it("says what and where of a finding", () => {
    expect(title({})).toBe("Strand 7 of layer 2 has a gap of 2.6 mm at 6.0 mm");
    expect(title({ kind: "underExtrusion", ...worst("areaRatio", 0.62) })).toBe("Strand 7 of layer 2 holds 38 % too little, 6.0 to 8.6 mm");
    expect(title({ kind: "overExtrusion", ...worst("areaRatio", 1.31) })).toBe("Strand 7 of layer 2 holds 31 % too much, 6.0 to 8.6 mm");
    expect(title({ kind: "underExtrusion", ...worst("widthMm", -0.27) })).toBe("Strand 7 of layer 2 is 0.27 mm too narrow, 6.0 to 8.6 mm");
    expect(title({ kind: "overExtrusion", ...worst("heightMm", 0.19) })).toBe("Strand 7 of layer 2 is 0.19 mm too high, 6.0 to 8.6 mm");
    expect(title({ kind: "liftedStrand", ...worst("heightMm", 0.35) })).toBe("Strand 7 of layer 2 stands 0.35 mm too high, 6.0 to 8.6 mm");
    expect([0.44, -0.46].map((value) => title({ kind: "displacedStrand", ...worst("offsetMm", value) }))).toEqual(["Strand 7 of layer 2 lies 0.44 mm left of its path, 6.0 to 8.6 mm", "Strand 7 of layer 2 lies 0.46 mm right of its path, 6.0 to 8.6 mm"]);
  });

  it("says of a frame's findings who sees what, how much hangs, and how far a camera is off", () => {
    expect([0.04, 0.9].map((value) => title({ kind: "sensorsDisagree", ...worst("pasteFraction", value) }))).toEqual(["Strand 7 of layer 2 is bare to camera, laid to profiler, 6.0 to 8.6 mm", "Strand 7 of layer 2 is laid to camera, bare to profiler, 6.0 to 8.6 mm"]);
    expect(title({ kind: "nozzleHang", place: { layer: 3, strand: null, fromMm: null, toMm: null }, ...worst("areaMm2", 1.26) })).toBe("Paste hangs at the nozzle over layer 3, 1.3 mm² of it in sight");
    expect(title({ kind: "cameraPose", subject: "camera-1", place: null, ...worst("poseErrorMm", 0.83) })).toBe("Camera-1 shows beads 0.8 mm off their place");
  });

  it("says the time of what is silent or late: tenths below 2 s, whole seconds from there on", () => {
    expect(health("profilerSilent", "profiler-2", worst("s", 1.94))).toBe("Profiler-2 has sent nothing for 1.9 s");
    expect(health("progressSilent", "", worst("s", 2))).toBe("Nobody has said for 2 s where the nozzle is");
    expect(health("receiptOverdue", "14", worst("s", 3.2))).toBe("The cell has not answered command 14 for 3 s");
    expect(health("cellSilent")).toBe("The cell has not asked for commands yet");
    expect(health("diskLow", "", worst("fraction", 0.0314))).toBe("The disk is full but for 3.1 %");
    expect(health("layerHeld", "", { place: { layer: 4, strand: null, fromMm: null, toMm: null } })).toBe("Layer 4 is held: the next one must not cover it yet");
  });
});

describe("the advice of an alert", () => {
  it("is one or two sentences of at most 100 characters, of every kind", () => {
    for (const kind of ALERT_KINDS) expect(advice(madeAlert(2, { kind }))).toMatch(/^[A-Z].{15,98}\.$/);
  });

  it("is none once it is accepted or called false; what is taken off has still to be laid again", () => {
    const decided = (disposition: "acceptedAsIs" | "false" | "takenOffAndLaidAgain") => advice(madeAlert(2, {}, { disposition: { disposition, reason: "r", note: "", by: "Dana Reyes", at: "2026-02-03T09:12:09.000Z" } }));
    expect([decided("acceptedAsIs"), decided("false")]).toEqual([null, null]);
    expect(decided("takenOffAndLaidAgain")).toMatch(/lay it again/);
  });
});

describe("the order of alerts", () => {
  it("is: what stands, what has gone, what is decided, what is shelved; in each the more urgent first, of those what is to be acknowledged, of those the newest", () => {
    const made = (n: number, kind: AlertKind, change: Parameters<typeof madeAlert>[2] = {}) => madeAlert(n, { kind }, change);
    const alerts = [
      made(1, "gap", { state: "acknowledged" }), made(2, "closedPore"), made(3, "gap"), made(4, "gap", { state: "returned", isOn: false }), made(5, "liftedStrand", { state: "shelved" }),
      made(6, "gap"), made(7, "liftedStrand", { state: "acknowledged" }), made(8, "liftedStrand"), made(9, "liftedStrand", { state: "returned", isOn: false }),
      made(10, "liftedStrand", { state: "acknowledged", disposition: { disposition: "acceptedAsIs", reason: "r", note: "", by: "Dana Reyes", at: "2026-02-03T09:12:09.000Z" } }),
    ];
    expect(alertLines(alerts, 10).map(({ n }) => n)).toEqual([8, 7, 6, 3, 1, 2, 9, 4, 10, 5]);
    expect(alertLines(alerts, 3).map(({ n }) => n)).toEqual([8, 6, 3]); // 7 is known already: what waits is not left out for it
    expect(alertLines(alerts, 5).map(({ n }) => n)).toEqual([8, 7, 6, 3, 2]);
    expect(moreAlertsWords(alerts, 6)).toBe("4 more: 3 lifted stretches, 1 gap");
    expect(moreAlertsWords(alerts, 10)).toBe("");
  });
});

describe("alerts beyond those that are listed", () => {
  it("are counted by kind, most first, one and several of each in their own words", () => {
    const one = ALERT_KINDS.map((kind, i) => madeAlert(i + 1, { kind })), words = moreAlertsWords(one, 0);
    expect(words).toMatch(/^27 more: 1 stretch with too little, 1 stretch with too much, 1 gap, /);
    expect(words.split(", ").every((part) => /(^27 more: )?1 [a-z ]+$/.test(part))).toBe(true);
    const two = moreAlertsWords([...one, ...one.map((alert) => ({ ...alert, n: alert.n + 50 }))], 0);
    for (const i of ALERT_KINDS.keys()) expect(two.split(", ")[i]).not.toBe(words.split(", ")[i]?.replace("1 ", "2 "));
  });

  it("are never more than one part for each kind: 2 000 in four kinds are four parts, and thousands are set apart", () => {
    const kinds = [...STRETCH_KINDS.slice(0, 3), BODY_KINDS[0]], alerts = Array.from({ length: 2000 }, (_, i) => madeAlert(i + 1, { kind: kinds[i % 4]! }));
    const words = moreAlertsWords(alerts, 40);
    expect(words.split(", ").length).toBe(4);
    expect(words.startsWith("1\u2009960 more: 500 ")).toBe(true);
  });
});
