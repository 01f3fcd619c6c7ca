/** What a run's record says, as sections of its report: alerts, commands, deeds, signatures, and the record itself. From the log's entries alone. */
import { sizeWords } from "../base/sizeWords.ts";
import type { AlertRates } from "../model/alert.ts";
import { RECORD_FILES, RECORD_FOLDERS, type KeptFile, type LogEntry, type LogPayloads, type RunRecord, type Seal } from "../model/log.ts";
import type { ReportBlock, ReportSection, ReportTable, SectionId } from "../model/report.ts";
import type { Fact } from "../model/sheet.ts";
import { MEANING_WORDS, type Signature } from "../model/signature.ts";
import { alertBlocks } from "./recordAlerts.ts";
import { commandBlocks } from "./recordCommands.ts";
import { deedBlocks } from "./recordDeeds.ts";
import { counted, dateTime, wholeNumber } from "./words.ts";

export interface RecordInput {
  /** The whole log, in order. */
  readonly entries: readonly LogEntry[];
  /** In order of what they cover. */
  readonly seals: readonly Seal[];
  /** As it was checked; null: that is going on. */
  readonly record: RunRecord | null;
  /** Every signature of the run, in the order of the log. */
  readonly signatures: readonly Signature[];
  /** Whose report it is. */
  readonly resultId: string;
  /** How alerts came; null: the run came as a folder. */
  readonly rates: AlertRates | null;
}

const section = (id: SectionId, title: string, blocks: readonly ReportBlock[]): ReportSection => ({ id, title, blocks });

/** The five sections that the log gives, in the order of SECTION_IDS. */
export function recordSections(input: RecordInput): ReportSection[] {
  const { entries, rates } = input;
  return [
    section("alerts", "Alerts", alertBlocks(entries, rates)), section("commands", "Commands to the cell", commandBlocks(entries)), section("deeds", "Deeds", deedBlocks(entries)),
    section("signatures", "Signatures", signatureBlocks(input)), section("record", "Record", recordBlocks(input)),
  ];
}

const words = (text: string): ReportBlock => ({ kind: "words", text });
const caution = (text: string): ReportBlock => ({ kind: "caution", text });

/** "the first 41 entries; 2 entries came after and are not covered" */
function coverWords({ count, notCovered }: Signature): string {
  return `the first ${counted(count, "entry", "entries")}; ${notCovered === 0 ? "nothing new came after" : `${counted(notCovered, "entry", "entries")} came after and ${notCovered === 1 ? "is" : "are"} not covered`}`;
}

/** The newest of each person counts; earlier ones are said to be earlier ones. */
function signaturesTable(signatures: readonly Signature[]): ReportTable {
  const newest = new Map(signatures.map((each) => [each.printedName, each.seq]));
  const meaningOf = ({ meaning, printedName, seq }: Signature): string => `${MEANING_WORDS[meaning].done}${newest.get(printedName) === seq ? "" : " (earlier; a later one counts)"}`;
  return {
    caption: "Signatures under this report",
    columns: [{ title: "printed name", isNumber: false }, { title: "when, UTC", isNumber: false }, { title: "meaning", isNumber: false }, { title: "remarks", isNumber: false }, { title: "what it covers", isNumber: false }, { title: "report as signed, SHA-256", isNumber: false }],
    rows: signatures.map((each) => [each.printedName, dateTime(each.at), meaningOf(each), each.remarks === "" ? "–" : each.remarks, coverWords(each), each.reportSha256]),
  };
}

function signatureBlocks({ signatures, resultId }: RecordInput): ReportBlock[] {
  const here = signatures.filter((each) => each.resultId === resultId), elsewhere = signatures.length - here.length;
  const other = elsewhere === 0 ? [] : [words(`${counted(elsewhere, "signature")} ${elsewhere === 1 ? "stands" : "stand"} under another result of this run: not under this one.`)];
  if (here.length === 0) return [words("Not signed."), ...other];
  const own = [...new Set(here.filter(({ ownRun }) => ownRun).map(({ printedName }) => printedName))], open = here.filter(({ notCovered }) => notCovered > 0);
  return [
    ...own.map((name) => caution(`${name} operated this run and signed it: this bench lets one person do both. Nobody else has reviewed it by that signature.`)),
    ...open.map(({ printedName, at, notCovered }) => caution(`${counted(notCovered, "entry", "entries").replace(/^./, (first) => first.toUpperCase())} came after the signature of ${printedName} of ${dateTime(at)} UTC and ${notCovered === 1 ? "is" : "are"} not covered.`)),
    { kind: "table", table: signaturesTable(here) }, ...other,
  ];
}

/** What a file of the run is, by where it lies in its folder. */
function kindOf(name: string): string {
  const [top = ""] = name.split("/");
  if (name === "job.json") return "job and plan";
  if (top === RECORD_FOLDERS.reports) return "reports as signed";
  if (top === RECORD_FOLDERS.scans) return "scans of the set material";
  if (top === RECORD_FOLDERS.results || name === RECORD_FILES.result) return "results";
  return "what was received";
}

const dropsIn = (entries: readonly LogEntry[]): LogEntry<"raw.dropped">[] => entries.filter((entry): entry is LogEntry<"raw.dropped"> => entry.kind === "raw.dropped");

function filesIn(entries: readonly LogEntry[]): KeptFile[] {
  const files = new Map<string, KeptFile>();
  for (const { payload } of entries) if ("sha256" in payload && "size" in payload) files.set((payload as KeptFile).name, payload as KeptFile);
  return [...files.values()];
}

function filesTable(entries: readonly LogEntry[], planFile: string): ReportTable {
  const gone = new Set(dropsIn(entries).flatMap(({ payload }) => payload.sha256)), groups = new Map<string, KeptFile[]>();
  for (const file of filesIn(entries)) {
    const kind = file.name === planFile ? "job and plan" : kindOf(file.name);
    groups.set(kind, [...groups.get(kind) ?? [], file]);
  }
  const bytes = (files: readonly KeptFile[]): string => (files.length === 0 ? "–" : sizeWords(files.reduce((sum, { size }) => sum + size, 0)));
  return {
    caption: "Files that the log names, each by its SHA-256",
    columns: [{ title: "what", isNumber: false }, { title: "files", isNumber: true }, { title: "size", isNumber: true }, { title: "of these dropped", isNumber: true }, { title: "size of these", isNumber: true }],
    rows: [...groups].map(([kind, files]) => {
      const dropped = files.filter(({ sha256 }) => gone.has(sha256));
      return [kind, wholeNumber(files.length), bytes(files), dropped.length === 0 ? "–" : wholeNumber(dropped.length), bytes(dropped)];
    }),
  };
}

function droppedBlocks(entries: readonly LogEntry[]): ReportBlock[] {
  const names = new Map(filesIn(entries).map(({ sha256, name }) => [sha256, name]));
  return dropsIn(entries).map(({ at, actor, payload: { sha256, reason, exportHead } }) => caution(
    `Raw data was dropped by ${actor}, ${dateTime(at)} UTC (${reason}): ${sha256.map((hash) => names.get(hash) ?? hash).join(", ")}. It was exported and verified before, at head ${exportHead}. The log and the result stay; the data cannot be measured again from here.`,
  ));
}

/** Every server that kept the run while it was open. */
function serversTable(entries: readonly LogEntry[]): ReportTable {
  const began = entries.filter((entry): entry is LogEntry<"server.began"> => entry.kind === "server.began");
  return {
    caption: "Servers that kept the run while it was open",
    columns: [{ title: "from, UTC", isNumber: false }, { title: "version", isNumber: false }, { title: "build", isNumber: false }, { title: "settings", isNumber: false }],
    rows: began.map(({ at, payload: { version, build, settings } }) => [dateTime(at), version, build, Object.entries(settings).map(([name, value]) => `${name}: ${value}`).join("; ")]),
  };
}

function keyWords(seals: readonly Seal[]): string {
  const until = new Map<string, number>();
  for (const { keyId, count } of seals) until.set(keyId, count);
  return until.size === 0 ? "none" : until.size === 1 ? [...until.keys()].join("") : [...until].map(([keyId, count]) => `${keyId} (seals up to entry ${count})`).join(", then ");
}

function recordBlocks({ entries, seals, record }: RecordInput): ReportBlock[] {
  if (record === null) return [words("The chain of entries, its seals, the files and what the database holds are being checked.")];
  const { whole, problem, head, count, lastSealAt } = record;
  const servers = serversTable(entries), created = entries.find(({ kind }) => kind === "run.created")?.payload as LogPayloads["run.created"] | undefined;
  const facts: Fact[] = [
    { name: "record", value: whole ? "whole" : `not whole: ${problem ?? "it cannot be read"}` }, { name: "entries", value: wholeNumber(count) }, { name: "seals", value: wholeNumber(seals.length) },
    { name: "last seal", value: lastSealAt === null ? "none" : `${dateTime(lastSealAt)} UTC` }, { name: "head", value: head === "" ? "none" : head }, { name: "key", value: keyWords(seals) },
  ];
  return [
    ...(whole ? [] : [caution(`The record is not whole: ${problem ?? "it cannot be read"}. What this report says may not be what was recorded.`)]),
    { kind: "facts", facts }, ...droppedBlocks(entries), { kind: "table", table: filesTable(entries, created?.planFile ?? "") },
    ...(servers.rows.length === 0 ? [words("The run came as a folder: which server recorded it is not in its log.")] : [{ kind: "table" as const, table: servers }]),
    words("Checked when this report was made: the chain of entries, every seal, and that every file is there with its size. The bytes of files are hashed when the report is signed, by export and by verify."),
  ];
}
