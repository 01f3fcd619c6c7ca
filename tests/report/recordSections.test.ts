/** What the log says in a report, from logs made by hand: every number and time below was written into them. */
import { describe, expect, it } from "vitest";
import { chainEntry, EMPTY_LOG, type LogDraft, type LogHead } from "../../lib/log/entries.ts";
import type { AlertRaised, LogEntry, LogKind, LogPayloads, RunRecord, Seal } from "../../lib/model/log.ts";
import type { ReportSection, ReportTable } from "../../lib/model/report.ts";
import type { Signature } from "../../lib/model/signature.ts";
import { recordSections, type RecordInput } from "../../lib/report/recordSections.ts";

type Said = { [K in LogKind]: readonly [second: number, actor: string, kind: K, payload: LogPayloads[K]] }[LogKind];
const atS = (s: number): string => new Date(Date.parse("2026-02-03T09:12:00.000Z") + 1000 * s).toISOString();
function logOf(...said: readonly Said[]): LogEntry[] {
  let head: LogHead = EMPTY_LOG;
  return said.map(([s, actor, kind, payload]) => {
    const entry = chainEntry("run-1", head, { actor, at: atS(s), kind, payload } as LogDraft);
    head = entry;
    return entry;
  });
}
const HASH = (letter: string): string => letter.repeat(64);
const file = (name: string, letter: string, size: number) => ({ name, sha256: HASH(letter), size });
const raised = (n: number, change: Partial<AlertRaised> = {}): AlertRaised => ({ n, source: "strand/2/7", alertKind: "gap", severity: "act", priority: "medium", subject: "", layer: 2, strand: 7, fromMm: 6, toMm: 8.6, metric: "areaRatio", value: 0.03, limit: 0.25, ...change });
const WHOLE: RunRecord = { whole: true, problem: null, head: HASH("e"), count: 41, lastSealAt: atS(300), keyId: HASH("1") };
const RATES = { count: 4, byPriority: { high: 1, medium: 3, low: 0 }, peakPer10Min: 4, floodFraction: 0 };

const sections = (entries: readonly LogEntry[], more: Partial<RecordInput> = {}): readonly ReportSection[] => recordSections({ entries, seals: [], record: WHOLE, signatures: [], resultId: "result-1", rates: RATES, ...more });
const of = (id: string, found: readonly ReportSection[]): ReportSection => found.find((each) => each.id === id) as ReportSection;
const tables = ({ blocks }: ReportSection): readonly ReportTable[] => blocks.flatMap((block) => (block.kind === "table" ? [block.table] : []));
const facts = ({ blocks }: ReportSection): Record<string, string> => Object.fromEntries(blocks.flatMap((block) => (block.kind === "facts" ? block.facts.map(({ name, value }) => [name, value]) : [])));
const said = ({ blocks }: ReportSection, kind: "words" | "caution"): string[] => blocks.flatMap((block) => (block.kind === kind ? [block.text] : []));

describe("the sections", () => {
  it("are five, in the order of the report, and each table has as many cells in a row as columns", () => {
    const found = sections(logOf([0, "Dana Reyes", "run.created", { name: "block 7", jobSha256: HASH("a"), planFile: "plan.csv", planSha256: HASH("b") }], [1, "aslaid", "alert.raised", raised(1)], [2, "aslaid", "command.asked", { n: 1, command: '{"at":"now","kind":"pause","reason":"","retractMm":0}' }]));
    expect(found.map(({ id }) => id)).toEqual(["alerts", "commands", "deeds", "signatures", "record"]);
    for (const table of found.flatMap(tables)) for (const row of table.rows) expect(row).toHaveLength(table.columns.length);
  });
});

describe("alerts", () => {
  const log = logOf(
    [0, "aslaid", "alert.raised", raised(1)], [4, "Dana Reyes", "alert.acknowledged", { n: 1 }],
    [10, "aslaid", "alert.raised", raised(2, { alertKind: "liftedStrand", metric: "heightMm", value: 0.31 })], [40, "Dana Reyes", "alert.shelved", { n: 2, until: atS(100), reason: "known", note: "" }],
    [50, "aslaid", "alert.raised", raised(3, { severity: "watch" })], [60, "aslaid", "alert.escalated", { n: 3, priority: "high" }], [70, "aslaid", "alert.returned", { n: 3 }],
    [80, "aslaid", "alert.raised", raised(4)], [82, "aslaid", "alert.urgent", raised(1, { priority: "high" })], [91, "Kim Sand", "alert.disposed", { n: 1, disposition: "false", reason: "sensorArtefact", note: "" }],
  );
  const alerts = of("alerts", sections(log));

  it("of waits of 4, 9 and 30 s: median 9.0 s, longest 30 s; an alert that rose again waits anew", () => {
    expect(facts(alerts)).toEqual({ raised: "4 (1 high, 3 medium); at most 4 in 10\u00a0min; no time in flood", "time to acknowledge": "median 9.0\u00a0s, longest 30\u00a0s, of three answers", "never acknowledged": "2" });
  });

  it("are counted by kind and by the highest priority that each came to", () => {
    expect(tables(alerts)[0]?.rows).toEqual([["gaps", "2", "1", "–"], ["lifted stretch", "–", "1", "–"]]);
  });

  it("that nobody ever acknowledged are named: gone by itself after 20 s, and one that stood to the end", () => {
    expect(tables(alerts)[1]?.rows).toEqual([
      ["3", "Strand 7 of layer 2 has a gap of 2.6 mm at 6.0 mm", "high", "09:12:50", "09:13:10"], ["4", "Strand 7 of layer 2 has a gap of 2.6 mm at 6.0 mm", "medium", "09:13:20", "stood to the end"],
    ]);
  });

  it("of a recording there are none, for nobody watched; of a watched print without any that is said", () => {
    expect(said(of("alerts", sections([], { rates: null })), "words")[0]).toContain("nobody watched this print here");
    expect(said(of("alerts", sections([])), "words")).toEqual(["No alert was raised while it was printed."]);
  });
});

describe("commands", () => {
  it("stand with who asked and when they were asked, handed over and answered; what the program asked is its own", () => {
    const log = logOf(
      [10, "aslaid", "command.asked", { n: 1, command: '{"at":"strandEnd","kind":"pause","reason":"gap, alert 3","retractMm":0}' }], [10.2, "aslaid", "command.sent", { n: 1 }], [12.4, "cell-1", "command.receipt", { n: 1, outcome: "done", note: "" }],
      [30, "Dana Reyes", "command.asked", { n: 2, command: '{"kind":"resume","layer":1,"overlapMm":1,"rowCount":12,"rowsSha256":"aa","sMm":2.5,"strand":2}' }], [31, "aslaid", "command.sent", { n: 2 }],
      [40, "screen 4f2c19", "command.asked", { n: 3, command: '{"kind":"abort","reason":"smoke"}' }],
    );
    expect(tables(of("commands", sections(log)))[0]?.rows).toEqual([
      ["1", "pause at the strand’s end: gap, alert 3", "by itself", "09:12:10.0", "09:12:10.2", "09:12:12.4", "done"],
      ["2", "resume at layer 1, strand 2, 2.5 mm with 1.0 mm of overlap", "Dana Reyes", "09:12:30.0", "09:12:31.0", "–", "with the cell, no answer yet"],
      ["3", "abort: smoke", "screen 4f2c19", "09:12:40.0", "–", "–", "the cell has not fetched it yet"],
    ]);
  });

  it("where there are none that is said", () => {
    expect(said(of("commands", sections([])), "words")).toEqual(["The cell was asked for nothing."]);
  });
});

describe("deeds", () => {
  it("name who did what and when, the program by itself too; seals, files and data that came are none", () => {
    const log = logOf(
      [0, "Dana Reyes", "run.created", { name: "block 7", jobSha256: HASH("a"), planFile: "plan.csv", planSha256: HASH("b") }], [0, "Kim Sand", "person.signedIn", { person: "Kim Sand", roles: ["reviewer"] }],
      [1, "aslaid", "data.received", { journalBytes: 9, counts: {} }], [2, "aslaid", "seal.named", { count: 1, head: HASH("c"), keyId: HASH("1") }],
      [5, "Dana Reyes", "strand.takenOff", { layer: 1, strand: 2, fromMm: 3, toMm: 6.5, reason: "a gap, or too little" }], [6, "Dana Reyes", "gate.opened", { layer: 1, reason: "looked at by eye" }],
      [7, "Dana Reyes", "autoPause.set", { isOn: false }], [8, "aslaid", "alert.unshelved", { n: 1 }],
      [9, "Kim Sand", "finding.disposed", { resultId: "result-1", findingIndex: 0, findingKind: "gap", layer: 1, strand: 1, disposition: "acceptedAsIs", reason: "handFinished", note: "rim" }],
      [10, "Kim Sand", "note.added", { layer: 1, strand: 1, sMm: 2.4, text: "a note" }],
    );
    expect(tables(of("deeds", sections(log)))[0]?.rows).toEqual([
      ["1", "2026-02-03 09:12:00", "Dana Reyes", "the run was made: block 7"], ["2", "2026-02-03 09:12:00", "Kim Sand", "signed in, as reviewer"],
      ["5", "2026-02-03 09:12:05", "Dana Reyes", "taken off: layer 1, strand 2, 3.0 to 6.5 mm: a gap, or too little"], ["6", "2026-02-03 09:12:06", "Dana Reyes", "layer 1 may be covered: looked at by eye"],
      ["7", "2026-02-03 09:12:07", "Dana Reyes", "automatic pauses off"],
      ["9", "2026-02-03 09:12:09", "Kim Sand", "finding 1, layer 1, strand 1: accepted as it is (put right by hand): rim"], ["10", "2026-02-03 09:12:10", "Kim Sand", "note at layer 1, strand 1, 2.4 mm: a note"],
    ]);
  });
});

describe("signatures", () => {
  const signature = (change: Partial<Signature> = {}): Signature => ({ seq: 44, at: atS(400), printedName: "Kim Sand", meaning: "accept", remarks: "", resultId: "result-1", reportName: "reports/1.json", reportSha256: HASH("d"), head: HASH("e"), count: 41, ownRun: false, notCovered: 0, ...change });
  const block = (...signatures: readonly Signature[]) => of("signatures", sections([], { signatures }));

  it("none: “Not signed.”, also where one stands under another result", () => {
    expect(said(block(), "words")).toEqual(["Not signed."]);
    expect(said(block(signature({ resultId: "result-2" })), "words")).toEqual(["Not signed.", "one signature stands under another result of this run: not under this one."]);
  });

  it("stand with printed name, time, meaning, remarks and what they cover; of one person the newest counts and the earlier is said to be earlier", () => {
    expect(tables(block(signature(), signature({ seq: 50, at: atS(460), meaning: "reject", remarks: "The end is missing.", count: 47 })))[0]?.rows).toEqual([
      ["Kim Sand", "2026-02-03 09:18:40", "accepted (earlier; a later one counts)", "–", "the first 41 entries; nothing new came after", HASH("d")],
      ["Kim Sand", "2026-02-03 09:19:40", "rejected", "The end is missing.", "the first 47 entries; nothing new came after", HASH("d")],
    ]);
  });

  it("that do not cover 1 and 3 later entries, and one of the own run, say so in plain words", () => {
    expect(said(block(signature({ notCovered: 1 }), signature({ printedName: "Dana Reyes", ownRun: true, notCovered: 3 })), "caution")).toEqual([
      "Dana Reyes operated this run and signed it: this bench lets one person do both. Nobody else has reviewed it by that signature.",
      "One entry came after the signature of Kim Sand of 2026-02-03 09:18:40 UTC and is not covered.", "Three entries came after the signature of Dana Reyes of 2026-02-03 09:18:40 UTC and are not covered.",
    ]);
  });
});

describe("the record", () => {
  const log = logOf(
    [0, "Dana Reyes", "run.created", { name: "block 7", jobSha256: HASH("a"), planFile: "path.csv", planSha256: HASH("b") }], [0, "aslaid", "server.began", { version: "0.1.0", build: "0a1b2c3d", settings: { looking: "free", "own runs": "are not signed" } }],
    [1, "aslaid", "raw.kept", file("job.json", "a", 900)], [1, "aslaid", "raw.kept", file("path.csv", "b", 1_100)], [1, "aslaid", "raw.kept", file("profiles.arrow", "c", 8_000_000)], [1, "aslaid", "raw.kept", file("poses.csv", "f", 2_000_000)],
    [2, "aslaid", "result.computed", { ...file("result.json", "d", 40_000), resultId: "result-1", rowsSha256: HASH("9") }], [3, "Kim Sand", "raw.kept", file("reports/1.json", "e", 50_000)],
    [9, "Ad Min", "raw.dropped", { sha256: [HASH("c")], reason: "room on the disk", exportHead: HASH("8") }],
  );
  const seal = (count: number, letter: string): Seal => ({ at: atS(count), count, head: HASH("e"), keyId: HASH(letter), runId: "run-1", signature: "" });

  it("counts entries, seals and keys with how far each key's seals go, and files with their bytes", () => {
    const record = of("record", sections(log, { seals: [seal(2, "1"), seal(6, "1"), seal(9, "2")] }));
    expect(facts(record)).toEqual({ record: "whole", entries: "41", seals: "3", "last seal": "2026-02-03 09:17:00 UTC", head: HASH("e"), key: `${HASH("1")} (seals up to entry 6), then ${HASH("2")} (seals up to entry 9)` });
    expect(tables(record)[0]?.rows).toEqual([
      ["job and plan", "2", "2.00 kB", "–", "–"], ["what was received", "2", "10.0 MB", "1", "8.00 MB"], ["results", "1", "40.0 kB", "–", "–"], ["reports as signed", "1", "50.0 kB", "–", "–"],
    ]);
    expect(tables(record)[1]?.rows).toEqual([["2026-02-03 09:12:00", "0.1.0", "0a1b2c3d", "looking: free; own runs: are not signed"]]);
  });

  it("says what was dropped, by whom, why and at which export's head", () => {
    expect(said(of("record", sections(log)), "caution")).toEqual([`Raw data was dropped by Ad Min, 2026-02-03 09:12:09 UTC (room on the disk): profiles.arrow. It was exported and verified before, at head ${HASH("8")}. The log and the result stay; the data cannot be measured again from here.`]);
  });

  it("that is not whole says first what is wrong", () => {
    const record = of("record", sections(log, { record: { ...WHOLE, whole: false, problem: "entry 3 (raw.kept) was changed" } }));
    expect(record.blocks[0]).toEqual({ kind: "caution", text: "The record is not whole: entry 3 (raw.kept) was changed. What this report says may not be what was recorded." });
    expect(facts(record)["record"]).toBe("not whole: entry 3 (raw.kept) was changed");
  });
});
