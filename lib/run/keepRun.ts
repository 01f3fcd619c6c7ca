/**
 * Keeps what a run shows besides its result: readings with their history, and the section of each reading that stands. Packed, so that
 * 100 000 stations stay small; of a station and attempt the first reading, the newest eight, and the newest sixteen before them that changed
 * the verdict. Each has its ordinal, so that what was dropped can be counted.
 */
import { orNull } from "../base/missing.ts";
import type { HistoryReading } from "../model/history.ts";
import { SUPPORT_KINDS, VERDICTS, type SupportKind, type Verdict } from "../model/result.ts";
import { packCut, unpackCut, type PackedCut, type SectionCut } from "../model/sectionCut.ts";
import type { StrandStations } from "../model/stations.ts";
import type { SupportFound } from "../model/supportFound.ts";
import type { RunOutput } from "./engine.ts";
import type { Taken } from "./standing.ts";
import type { StandingFacts } from "./strandMeans.ts";

const NEWEST = 8;
const CHANGES = 16;

/** ordinal, device, seq, tS, ageS, width, height, area, offset, their u, area ratio, coverage, support, sag, verdict, flags. */
const RECORD = 19;
const GOOD = 1, PROVEN = 2, STOOD = 4, CHANGED = 8;

interface Station { readonly strand: StrandStations; readonly station: number; readonly attempt: number; count: number; readonly slots: number[]; facts: StandingFacts | undefined }

/** Keeps what the engine hands on, until it is written. */
export class RunKeeper implements RunOutput {
  /** null: layer 1 was never begun. */
  support: SupportFound | null = null;
  private readonly stations = new Map<string, Station>(); // by layer/strand/attempt/station
  private readonly cutsKept = new Map<string, PackedCut>();
  private readonly devices: string[] = [];
  private records = new Float64Array(1024 * RECORD);
  private slotCount = 0;
  private readonly free: number[] = [];

  reading(strand: StrandStations, station: number, attempt: number, taken: Taken): void {
    const key = `${strand.layer}/${strand.strand}/${attempt}/${station}`;
    let at = this.stations.get(key);
    if (at === undefined) this.stations.set(key, at = { strand, station, attempt, count: 0, slots: [], facts: undefined });
    if (taken.stands) at.facts = { laidS: taken.reading.tS - taken.ageS, budget: taken.reading.budget };
    const { slots } = at;
    const before = slots[slots.length - 1];
    const slot = this.takeSlot();
    this.write(slot, ++at.count, strand.visibleAreaMm2[station] as number, taken);
    if (before !== undefined && this.records[RECORD * before + 17] !== this.records[RECORD * slot + 17]) this.records[RECORD * slot + 18]! |= CHANGED;
    slots.push(slot);
    this.drop(slots);
  }

  cut(cut: SectionCut): void {
    this.cutsKept.set(`${cut.layer}/${cut.strand}/${cut.attempt}/${cut.stationIndex}`, packCut(cut));
  }

  supportFound(found: SupportFound): void {
    this.support = found;
  }

  /** Every reading kept, oldest first station by station. */
  *history(): Generator<HistoryReading> {
    for (const at of this.stations.values()) for (const slot of at.slots) yield this.read(at, slot);
  }

  /** Of the reading that stands. */
  factsAt = (layer: number, strand: number, attempt: number, station: number): StandingFacts | undefined => this.stations.get(`${layer}/${strand}/${attempt}/${station}`)?.facts;

  /** The newest section of an attempt of a station; null: none stands there. */
  cutAt = (layer: number, strand: number, attempt: number, station: number): SectionCut | null => {
    const packed = this.cutsKept.get(`${layer}/${strand}/${attempt}/${station}`);
    return packed === undefined ? null : unpackCut(packed);
  };

  /** The newest section of every attempt of a station. */
  cuts(): Iterable<PackedCut> {
    return this.cutsKept.values();
  }

  /** What leaves the newest eight is dropped unless it is the first or changed the verdict; of those the oldest goes when there are too many. */
  private drop(slots: number[]): void {
    const left = slots.length - 1 - NEWEST;
    if (left < 1) return;
    if (((this.records[RECORD * (slots[left] as number) + 18] as number) & CHANGED) === 0) this.free.push(...slots.splice(left, 1));
    else if (left > CHANGES) this.free.push(...slots.splice(1, 1));
  }

  private takeSlot(): number {
    const slot = this.free.pop() ?? this.slotCount++;
    if (RECORD * (slot + 1) > this.records.length) {
      const more = new Float64Array(2 * this.records.length);
      more.set(this.records);
      this.records = more;
    }
    return slot;
  }

  private deviceIndex(device: string): number {
    const at = this.devices.indexOf(device);
    return at >= 0 ? at : this.devices.push(device) - 1;
  }

  private write(slot: number, ordinal: number, plannedAreaMm2: number, { reading: r, judgement, ageS, stands }: Taken): void {
    this.records.set([
      ordinal, this.deviceIndex(r.device), r.seq, r.tS, ageS, r.widthMm, r.heightMm, r.areaMm2, r.offsetMm, r.uWidthMm, r.uHeightMm, r.uAreaMm2, r.uOffsetMm,
      r.areaMm2 / plannedAreaMm2, r.coverage, SUPPORT_KINDS.indexOf(r.support), r.sagMm, VERDICTS.indexOf(judgement.verdict),
      (r.good ? GOOD : 0) | (judgement.proven ? PROVEN : 0) | (stands ? STOOD : 0),
    ], RECORD * slot);
  }

  private read(at: Station, slot: number): HistoryReading {
    const v = (i: number): number => this.records[RECORD * slot + i] as number;
    const flag = (bit: number): boolean => (v(18) & bit) !== 0;
    return {
      layer: at.strand.layer, strand: at.strand.strand, attempt: at.attempt, stationIndex: at.station, ordinal: v(0), device: this.devices[v(1)] as string, seq: v(2), tS: v(3),
      ageS: orNull(v(4)), widthMm: orNull(v(5)), heightMm: orNull(v(6)), areaMm2: v(7), offsetMm: orNull(v(8)),
      uWidthMm: orNull(v(9)), uHeightMm: orNull(v(10)), uAreaMm2: v(11), uOffsetMm: orNull(v(12)), areaRatio: v(13), coverage: v(14),
      support: SUPPORT_KINDS[v(15)] as SupportKind, sagMm: orNull(v(16)), verdict: VERDICTS[v(17)] as Verdict, good: flag(GOOD), proven: flag(PROVEN), stood: flag(STOOD),
    };
  }
}
