import { InputError } from "../base/errors.ts";
import type { ProfileMessage } from "../model/messages.ts";
import { layoutOf, type ProfileLayout } from "../sensing/arrowLayout.ts";
import type { ArrowSchema } from "../sensing/arrowMeta.ts";
import { openProfileBatch, type ProfileBatch } from "../sensing/profileBatch.ts";
import { checkProfileHeader, type ProfileHeader } from "../sensing/profileHeader.ts";
import { refuseNoLayer } from "../sensing/profileLine.ts";
import { ArrowFile, type ArrowPart } from "./arrowFile.ts";
import { checkName, headerWarnings, PIECE, ProfileClock, type ProfileCursor, type ProfileFile, type ProfileReading } from "./profileCursor.ts";

/** profiles.arrow, batch by batch; heights are handed on where they lie in the batch. A stream that broke off ends with a warning. */
export class ArrowCursor implements ProfileCursor {
  readonly isReusing = true;
  header: ProfileHeader | null = null;
  private readonly arrow: ArrowFile;
  private layout: ProfileLayout | null = null;
  private clock: ProfileClock | null = null;
  private batch: ProfileBatch | null = null;
  private row = 0;

  constructor(private readonly source: ProfileFile, private readonly reading: ProfileReading) {
    this.arrow = new ArrowFile(source.path, source.file);
  }

  async refill(): Promise<readonly ProfileMessage[] | null> {
    while (this.batch === null || this.row >= this.batch.rowCount) {
      const part = await this.arrow.next();
      if (part === null) return this.end();
      if (part.kind === "schema") this.open(part.schema);
      else this.openBatch(part);
    }
    return this.piece(this.batch);
  }

  private piece(batch: ProfileBatch): ProfileMessage[] {
    const { clock } = this;
    if (clock === null) throw new TypeError("a batch is open, so its stream has a clock");
    const out: ProfileMessage[] = [];
    for (; this.row < batch.rowCount && out.length < PIECE; this.row++) {
      const { row } = this;
      out.push(clock.settle(batch.profile(row), () => ({ file: this.source.file, message: this.arrow.batchCount, row, key: "tS" })));
    }
    return out;
  }

  private end(): null {
    if (this.arrow.isTruncated) {
      const { batchCount } = this.arrow;
      this.reading.warnings.truncated(this.source.file, this.layout === null ? "before its schema is whole" : `after record batch ${batchCount}`);
    } else if (this.layout === null) throw new InputError("sensing.notArrow", "a schema", "an empty stream", { file: this.source.file });
    return null;
  }

  private open(schema: ArrowSchema): void {
    const { file } = this.source;
    if (this.layout !== null) throw new InputError("sensing.notArrow", "one schema", "another one", { file, message: this.arrow.batchCount + 1 });
    const header = checkProfileHeader(schema.metadata, this.reading.devices, { file });
    checkName(header, this.source, { file });
    this.layout = layoutOf(schema, { file });
    if (this.reading.isLayerRequired && this.layout.layer === null) refuseNoLayer({ file });
    for (const warning of headerWarnings(header, file)) this.reading.warnings.add(warning);
    for (const column of this.layout.unknownColumns) {
      this.reading.warnings.add({ code: "sensing.unknownColumn", message: `the column ${column} is not known and is ignored`, file });
    }
    this.header = header;
    this.clock = new ProfileClock(header);
  }

  private openBatch(part: Extract<ArrowPart, { kind: "batch" }>): void {
    const place = { file: this.source.file, message: this.arrow.batchCount };
    if (this.layout === null || this.header === null) throw new InputError("sensing.notArrow", "a schema before the first record batch", "a record batch", place);
    const context = { header: this.header, isLayerRequired: this.reading.isLayerRequired, onUnknownKey: () => undefined };
    this.batch = openProfileBatch(part.batch, part.body, this.layout, context, place);
    this.row = 0;
  }

  async close(): Promise<void> {
    await this.arrow.close();
  }
}
