import { describe, expect, it } from "vitest";
import { pickFiles, planNamedBy } from "../../app/prepare/chosen.ts";
import { headWords, problemAt, problemSentence } from "../../app/prepare/prepareProblem.ts";

const file = (path: string) => ({ path, file: new File([""], path) });

describe("which of the chosen files are job and plan", () => {
  it("one .json and one .csv or .gcode, whatever they are called", () => {
    expect(pickFiles([file("block.json"), file("path.gcode")], null)).toMatchObject({ job: { path: "block.json" }, plan: { path: "path.gcode" }, oddWords: null });
  });

  it("of a whole run folder job.json and the plan that the job names", () => {
    const folder = ["run/job.json", "run/truth.json", "run/progress.csv", "run/toolpath.csv"].map(file);
    expect(pickFiles(folder, "toolpath.csv")).toMatchObject({ job: { path: "run/job.json" }, plan: { path: "run/toolpath.csv" }, oddWords: null });
    expect(pickFiles(folder, "other.csv").plan).toBeNull();
  });

  it("neither is said with names, and nothing too", () => {
    expect(pickFiles([file("a.png")], null).oddWords).toBe("Neither a job (.json) nor one plan (.csv or .gcode) is among a.png.");
    expect(pickFiles([], null).oddWords).toBe("There is no file in it.");
  });

  it("a job names its plan, or none where it cannot be read", () => {
    expect([planNamedBy(`{"plan":{"file":"p.csv"}}`), planNamedBy(`{"plan":{}}`), planNamedBy("{")]).toEqual(["p.csv", null, null]);
  });
});

describe("where bad input is told", () => {
  const draft = { jobText: `{"plan":{"file":"p.csv"}}`, planText: "x", planName: "p.csv", fields: {}, origin: "", odd: "" };
  const wide = { code: "job.badValue", message: "expected a number above 0, got \"wide\"", place: { file: "job.json", key: "nozzle.innerDiameterMm" } } as const;
  const line = { code: "plan.badNumber", message: "expected a finite number, got \"six\"", place: { file: "plan.csv", line: 3, key: "x_mm" } } as const;

  it("at the field that it is about, else at the files with file, line and key", () => {
    expect([problemAt(wide), problemSentence(wide)]).toEqual(["nozzle.innerDiameterMm", "Expected a number above 0, got \"wide\"."]);
    expect([problemAt(line), problemSentence(line)]).toEqual(["files", "plan.csv, line 3, x_mm: expected a finite number, got \"six\"."]);
    expect(problemAt({ code: "people.signIn", message: "", place: {} })).toBe("person");
  });

  it("and in the sentence that the page opens with", () => {
    expect(headWords(draft, { state: "asking" }, wide).headline).toBe("Not ready: nozzle bore is not right.");
    expect(headWords({ ...draft, planText: "" }, { state: "none" }, null)).toEqual({ headline: "The plan is missing.", detail: "The job names p.csv: choose it, too." });
    expect(headWords({ ...draft, jobText: "" }, { state: "none" }, null).headline).toBe("The job is missing.");
    expect(headWords(draft, { state: "asking" }, null).headline).toBe("Being checked.");
  });
});
