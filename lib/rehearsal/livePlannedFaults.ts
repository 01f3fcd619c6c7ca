/** Faults that were ordered beforehand (`--fault`) and take hold of laid paste or fall beside it; the others are in the bead itself. */
import type { Fault } from "./fault.ts";
import { blobArcMm } from "./lay.ts";
import type { Stretch } from "./liveAgenda.ts";
import type { LivePaste } from "./livePaste.ts";
import type { PlannedStrand } from "./planned.ts";
import type { RehearsalSettings } from "./settings.ts";

/** Each fault is committed once. */
export class PlannedFaults {
  private readonly settings: RehearsalSettings;
  private readonly strands: readonly PlannedStrand[];
  private readonly paste: LivePaste;
  private readonly done = new Set<Fault>();

  constructor(settings: RehearsalSettings, strands: readonly PlannedStrand[], paste: LivePaste) {
    this.settings = settings;
    this.strands = strands;
    this.paste = paste;
  }

  /** Blobs that the nozzle has passed on a stretch fall. */
  blobs({ strand, fromMm, toMm }: Stretch, tS: number): void {
    for (const fault of this.due("blob", strand.layer, strand.strand)) {
      const sMm = blobArcMm(fault, strand);
      if (sMm < fromMm || sMm > toMm) continue;
      this.done.add(fault);
      this.paste.putBlob(fault, strand, tS);
    }
  }

  /** Drags of a strand (null: of the whole layer) go; gives whether any did. */
  drags(layer: number, strand: number | null, tS: number): boolean {
    let any = false;
    for (const fault of this.due("drag", layer, strand)) {
      const planned = this.strands.find((one) => one.layer === fault.layer && one.strand === fault.strand) as PlannedStrand;
      if (!this.paste.drag(planned, fault.fromMm, fault.toMm, fault.size, tS)) continue;
      this.done.add(fault);
      any = true;
    }
    return any;
  }

  /** Tears of a strand (null: of the whole layer), once it has been looked at. */
  tears(layer: number, strand: number | null, tS: number): void {
    for (const fault of this.due("tear", layer, strand)) {
      const planned = this.strands.find((one) => one.layer === fault.layer && one.strand === fault.strand) as PlannedStrand;
      this.paste.takeOff(planned, fault.fromMm, fault.toMm, tS);
      this.done.add(fault);
    }
  }

  private due(kind: Fault["kind"], layer: number, strand: number | null): Fault[] {
    return this.settings.faults.filter((one) => one.kind === kind && one.layer === layer && (strand === null || one.strand === strand) && !this.done.has(one));
  }
}
