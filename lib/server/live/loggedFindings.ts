/** What the log says of the findings of a run that lives: which act findings came, and which went again. */
import type { LogDraft } from "../../log/entries.ts";
import type { LiveEvents } from "../../model/liveEvent.ts";
import { PROGRAM_ACTOR, type LiveFindingPayload, type LogEntry } from "../../model/log.ts";
import { unlessDiskRefuses } from "../diskRefuses.ts";

/** A place as the log can say it: no number so small that it needs an exponent. */
const toMicron = (mm: number): number => Math.round(1000 * mm) / 1000 + 0;
const overlaps = (a: LiveFindingPayload, b: LiveFindingPayload): boolean => a.kind === b.kind && a.fromMm <= b.toMm && b.fromMm <= a.toMm;
const keyOf = (at: { readonly layer: number; readonly strand: number }): string => `${at.layer}/${at.strand}`;

export class LoggedFindings {
  /** Act findings that the log says are there, by strand. */
  private readonly raised = new Map<string, LiveFindingPayload[]>();
  /** Newest findings of strands that the log has not been told of. */
  private readonly unlogged = new Map<string, LiveEvents["finding"]>();

  /** `entries`: the log so far; `record` writes entries, or throws. */
  constructor(entries: Iterable<LogEntry>, private readonly record: (drafts: readonly LogDraft[]) => void, private readonly nowIso: () => string) {
    for (const { kind, payload } of entries) {
      if (kind === "finding.raised") this.note(payload as LiveFindingPayload);
      if (kind === "finding.cleared") this.drop(payload as LiveFindingPayload);
    }
  }

  /** Findings of a strand as they stand now. */
  take(value: LiveEvents["finding"]): void {
    this.unlogged.set(keyOf(value), value);
    this.log();
  }

  /** Says what the log has not been told; what the disk refuses is tried again at the next call. */
  log(): void {
    for (const [key, value] of this.unlogged) if (unlessDiskRefuses(() => this.logOf(key, value))) this.unlogged.delete(key);
  }

  private logOf(key: string, { findings }: LiveEvents["finding"]): void {
    const now = findings.filter((finding) => finding.severity === "act")
      .map(({ kind, severity, layer, strand, fromMm, toMm }): LiveFindingPayload => ({ kind, severity, layer, strand, fromMm: toMicron(fromMm), toMm: toMicron(toMm) }));
    const before = this.raised.get(key) ?? [];
    const cleared = before.filter((old) => !now.some((each) => overlaps(each, old))), fresh = now.filter((each) => !before.some((old) => overlaps(old, each)));
    if (cleared.length + fresh.length === 0) return;
    const at = this.nowIso();
    this.record([
      ...cleared.map((payload): LogDraft => ({ actor: PROGRAM_ACTOR, at, kind: "finding.cleared", payload })),
      ...fresh.map((payload): LogDraft => ({ actor: PROGRAM_ACTOR, at, kind: "finding.raised", payload })),
    ]);
    for (const each of cleared) this.drop(each);
    for (const each of fresh) this.note(each);
  }

  private note(finding: LiveFindingPayload): void {
    const key = keyOf(finding);
    this.raised.set(key, [...(this.raised.get(key) ?? []), finding]);
  }

  private drop(finding: LiveFindingPayload): void {
    const key = keyOf(finding);
    this.raised.set(key, (this.raised.get(key) ?? []).filter((each) => !overlaps(each, finding)));
  }
}
