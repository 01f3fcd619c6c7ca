/** The alerts of a run in its report, from its log: how many, how soon they were answered, and which never were. */
import { ALERT_KINDS, ALERT_PRIORITIES, type AlertKind, type AlertPriority, type AlertRates } from "../model/alert.ts";
import { quantile } from "../kernel/statistics.ts";
import type { AlertRaised, LogEntry, LogKind } from "../model/log.ts";
import type { ReportBlock, ReportTable } from "../model/report.ts";
import { alertNoun, alertRateWords, alertTitle } from "./alertWords.ts";
import { counted, secondsWords, timeOfDay, wholeNumber } from "./words.ts";

/** One alert over its life. */
interface AlertLife {
  readonly raised: AlertRaised;
  readonly raisedAt: string;
  /** Highest it came to. */
  priority: AlertPriority;
  /** Since when it waits to be acknowledged; null: it does not. */
  waitsSince: string | null;
  /** How long it waited each time until a person answered it, s. */
  readonly waitsS: number[];
  goneAt: string | null;
}

const BEGINS: ReadonlySet<LogKind> = new Set<LogKind>(["alert.urgent", "alert.again", "alert.unshelved"]);
/** Whoever shelves an alert or decides about it has seen it. */
const ANSWERS: ReadonlySet<LogKind> = new Set<LogKind>(["alert.acknowledged", "alert.shelved", "alert.disposed"]);

function take(life: AlertLife, { kind, at, payload }: LogEntry): void {
  if (BEGINS.has(kind)) life.waitsSince ??= at;
  if (kind === "alert.urgent" || kind === "alert.escalated") life.priority = (payload as { readonly priority: AlertPriority }).priority;
  if (kind === "alert.again" || kind === "alert.urgent") life.goneAt = null;
  if (kind === "alert.returned") life.goneAt = at;
  if (!ANSWERS.has(kind) || life.waitsSince === null) return;
  life.waitsS.push(Math.max(0, Date.parse(at) - Date.parse(life.waitsSince)) / 1000);
  life.waitsSince = null;
}

function livesOf(entries: readonly LogEntry[]): AlertLife[] {
  const lives = new Map<number, AlertLife>();
  for (const entry of entries) {
    if (entry.kind === "alert.raised") {
      const raised = entry.payload as AlertRaised;
      lives.set(raised.n, { raised, raisedAt: entry.at, priority: raised.priority, waitsSince: entry.at, waitsS: [], goneAt: null });
    } else if (entry.kind.startsWith("alert.")) {
      const life = lives.get((entry.payload as { readonly n: number }).n);
      if (life !== undefined) take(life, entry);
    }
  }
  return [...lives.values()];
}

function countsTable(lives: readonly AlertLife[]): ReportTable {
  const count = (kind: AlertKind, priority: AlertPriority): number => lives.filter((life) => life.raised.alertKind === kind && life.priority === priority).length;
  const rows = ALERT_KINDS.flatMap((kind) => {
    const counts = ALERT_PRIORITIES.map((priority) => count(kind, priority)), all = counts.reduce((sum, each) => sum + each, 0);
    return all === 0 ? [] : [[alertNoun(kind, all), ...counts.map((each) => (each === 0 ? "–" : wholeNumber(each)))]];
  });
  return { caption: "Alerts by kind and by the highest priority that each came to", columns: [{ title: "what", isNumber: false }, ...ALERT_PRIORITIES.map((title) => ({ title, isNumber: true }))], rows };
}

function unansweredTable(lives: readonly AlertLife[]): ReportTable {
  const rows = lives.map(({ raised, raisedAt, goneAt, priority }) => [String(raised.n), alertTitle(raised), priority, timeOfDay(raisedAt), goneAt === null ? "stood to the end" : timeOfDay(goneAt)]);
  return {
    caption: "Alerts that nobody ever acknowledged",
    columns: [{ title: "no.", isNumber: true }, { title: "what, as it was raised", isNumber: false }, { title: "priority", isNumber: false }, { title: "raised, UTC", isNumber: false }, { title: "gone by itself, UTC", isNumber: false }], rows,
  };
}

/** "median 4.2 s, longest 31 s, of 12 answers": from when an alert was raised, or rose again, until a person acknowledged it, shelved it or decided about it. */
function answerWords(lives: readonly AlertLife[]): string {
  const waits = Float64Array.from(lives.flatMap(({ waitsS }) => waitsS)).sort();
  return waits.length === 0 ? "nobody acknowledged any" : `median ${secondsWords(quantile(waits, 0.5))}, longest ${secondsWords(waits.at(-1) ?? 0)}, of ${counted(waits.length, "answer")}`;
}

/** `rates`: how they came; null: the run came as a folder, and nobody watched it here. */
export function alertBlocks(entries: readonly LogEntry[], rates: AlertRates | null): ReportBlock[] {
  if (rates === null) return [{ kind: "words", text: "No alerts: nobody watched this print here, it came as a recording." }];
  const lives = livesOf(entries), never = lives.filter(({ waitsS }) => waitsS.length === 0);
  if (lives.length === 0) return [{ kind: "words", text: "No alert was raised while it was printed." }];
  return [
    { kind: "facts", facts: [{ name: "raised", value: alertRateWords(rates) }, { name: "time to acknowledge", value: answerWords(lives) }, { name: "never acknowledged", value: never.length === 0 ? "none" : wholeNumber(never.length) }] },
    { kind: "table", table: countsTable(lives) },
    ...(never.length === 0 ? [] : [{ kind: "table" as const, table: unansweredTable(never) }]),
    { kind: "words", text: "Alerts are provisional: they say what was seen at the time. The findings above are those of the whole run." },
  ];
}
