/** The record of a run in words: whole or not, checked now. */
import type { AlertRates } from "../model/alert.ts";
import type { LogEntry, RunRecord } from "../model/log.ts";
import type { Fact, RecordWords } from "../model/sheet.ts";
import { shortHash } from "../model/titleWords.ts";
import { alertRateWords } from "./alertWords.ts";
import { counted, wholeNumber } from "./words.ts";

const time = (iso: string): string => `${iso.slice(0, 10)} ${iso.slice(11, 19)} UTC`;

/** `checkedAt`: ISO 8601, UTC. `alerts`: how they came; null: the run came as a folder. `drops`: of raw data. */
export function recordWords(record: RunRecord, checkedAt: string, alerts: AlertRates | null = null, drops: readonly LogEntry<"raw.dropped">[] = []): RecordWords {
  const { whole, problem, head, count, lastSealAt, keyId } = record;
  const facts: Fact[] = [
    { name: "checked", value: time(checkedAt) }, { name: "entries", value: wholeNumber(count) }, { name: "head", value: head === "" ? "none" : head },
    { name: "last seal", value: lastSealAt === null ? "none" : time(lastSealAt) }, { name: "key", value: keyId === "" ? "none" : keyId },
    ...(alerts === null ? [] : [{ name: "alerts", value: alertRateWords(alerts) }]),
    ...drops.map(({ at, actor, payload: { sha256, reason } }) => ({ name: "raw data dropped", value: `${counted(sha256.length, "file")} by ${actor}, ${time(at)}: ${reason}` })),
  ];
  const sentence = whole
    ? `The record is whole: its ${wholeNumber(count)} ${count === 1 ? "entry is" : "entries are"} sealed, and every file that ${count === 1 ? "it names" : "they name"} is there${drops.length === 0 ? "" : ", but for the raw data that was dropped"}. The database shows of it what was written then. The bytes of files are hashed by verify and export.`
    : `The record is not whole: ${problem ?? "it cannot be read"}.`;
  return { whole, title: whole ? `whole · head ${shortHash(head)}` : "not whole", sentence, facts };
}
