/** Who did what, and when: the deeds of a run's log as a table of its report. Total: a new kind of entry does not compile until it has its words, or none. */
import { DISPOSITION_LABELS, DISPOSITION_REASONS, type Disposition } from "../model/disposition.ts";
import { PROGRAM_ACTOR, type LogEntry, type LogKind, type LogPayloads } from "../model/log.ts";
import type { ReportBlock, ReportTable } from "../model/report.ts";
import { MEANING_WORDS } from "../model/signature.ts";
import { mm } from "./findingWords.ts";
import { dateTime } from "./words.ts";

/** null: it stands in another section, or is no deed. */
type Says<K extends LogKind> = ((payload: LogPayloads[K], isProgram: boolean) => string | null) | null;

const withNote = (words: string, note: string): string => (note === "" ? words : `${words}: ${note}`);
const reasonLabel = (disposition: Disposition, reason: string): string => DISPOSITION_REASONS[disposition].find(({ code }) => code === reason)?.label ?? reason;
const decided = (what: string, { disposition, reason, note }: { readonly disposition: Disposition; readonly reason: string; readonly note: string }): string => withNote(`${what}: ${DISPOSITION_LABELS[disposition]} (${reasonLabel(disposition, reason)})`, note);
const settingsWords = (settings: Readonly<Record<string, string>>): string => Object.entries(settings).map(([name, value]) => `${name} ${value}`).join(", ");

const DEEDS: { readonly [K in LogKind]: Says<K> } = {
  "run.created": ({ name }) => `the run was made: ${name}`,
  "run.state": ({ from, to, reason }) => withNote(`${from} → ${to}`, reason),
  "run.endAsked": ({ reason }) => withNote("the run was ended here", reason),
  "run.finished": () => "the run was finished",
  "run.aborted": () => "the run was ended before its plan was laid",
  "result.computed": () => "the result was computed",
  "result.failed": ({ message }) => `what came could not be measured: ${message}`,
  "result.recomputed": ({ reason }) => withNote("the same data under another job", reason),
  "scan.added": ({ n, note }) => withNote(`scan ${n} of the set material was added`, note),
  "strand.takenOff": ({ layer, strand, fromMm, toMm, reason }) => withNote(`taken off: layer ${layer}, strand ${strand}, ${mm(fromMm)} to ${mm(toMm)} mm`, reason),
  "paste.marked": ({ device, file, u0Px, v0Px, u1Px, v1Px }) => `paste marked in ${file} of ${device}, ${[u0Px, v0Px].map(Math.round).join(", ")} to ${[u1Px, v1Px].map(Math.round).join(", ")} px`,
  "gate.opened": ({ layer, reason }) => withNote(`layer ${layer} may be covered`, reason),
  "autoPause.set": ({ isOn }) => `automatic pauses ${isOn ? "on" : "off"}`,
  "alert.acknowledged": ({ n }) => `alert ${n} acknowledged`,
  "alert.shelved": ({ n, until, note }) => withNote(`alert ${n} shelved until ${until.slice(11, 19)}`, note),
  "alert.unshelved": ({ n }, isProgram) => (isProgram ? null : `alert ${n} off its shelf`),
  "alert.noted": ({ n, note }) => withNote(`alert ${n}`, note),
  "alert.disposed": ({ n, ...of }) => decided(`alert ${n}`, of),
  "finding.disposed": ({ findingIndex, layer, strand, ...of }) => decided(`finding ${findingIndex + 1}, layer ${layer}${strand === null ? "" : `, strand ${strand}`}`, of),
  "note.added": ({ layer, strand, sMm, text }) => `note at layer ${layer}, strand ${strand}, ${mm(sMm)} mm: ${text}`,
  "report.opened": () => "the report was opened",
  "run.signed": ({ meaning }) => `the report was signed: ${MEANING_WORDS[meaning].done}`,
  "server.began": ({ version, build, settings }) => `a server of version ${version}, build ${build}, kept the run from here (${settingsWords(settings)})`,
  "person.signedIn": ({ roles }) => `signed in, as ${roles.join(", ")}`,
  "person.signedOut": () => "signed out",
  "key.changed": ({ from, to }) => `the key of seals was changed: ${from.slice(0, 12)}… → ${to.slice(0, 12)}…`,
  "raw.dropped": ({ sha256, reason }) => withNote(`raw data of ${sha256.length} ${sha256.length === 1 ? "file was" : "files were"} dropped`, reason),
  "raw.kept": null, "data.received": null, "seal.named": null,
  "command.asked": null, "command.sent": null, "command.receipt": null,
  "alert.raised": null, "alert.urgent": null, "alert.changed": null, "alert.again": null, "alert.returned": null, "alert.escalated": null,
};

function wordsOf<K extends LogKind>({ kind, payload, actor }: LogEntry<K>): string | null {
  return DEEDS[kind]?.(payload, actor === PROGRAM_ACTOR) ?? null;
}

/** `entries`: of one run, in order. */
export function deedBlocks(entries: readonly LogEntry[]): ReportBlock[] {
  const rows = entries.flatMap((entry) => {
    const words = wordsOf(entry);
    return words === null ? [] : [[String(entry.seq), dateTime(entry.at), entry.actor === PROGRAM_ACTOR ? "the program" : entry.actor, words]];
  });
  const table: ReportTable = { caption: "Who did what, and when", columns: [{ title: "entry", isNumber: true }, { title: "when, UTC", isNumber: false }, { title: "who", isNumber: false }, { title: "what", isNumber: false }], rows };
  return rows.length === 0 ? [{ kind: "words", text: "The record has no entry." }] : [{ kind: "table", table }];
}
