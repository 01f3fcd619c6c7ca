/** Stations as an Arrow IPC stream: a batch a strand, null where nothing was measured. */
import { Bool, Field, Float64, Int32, makeData, RecordBatch, RecordBatchStreamWriter, Schema, Struct, Utf8, vectorFromArray, type Data, type DataType } from "apache-arrow";
import type { StationResult } from "../model/result.ts";

type Cell = number | string | boolean | null;
interface Column { readonly name: string; readonly type: DataType; readonly of: (at: StationResult) => Cell }

const [F64, I32, TEXT, BOOL] = [new Float64(), new Int32(), new Utf8(), new Bool()];
const column = (type: DataType, name: string, of: Column["of"]): Column => ({ name, type, of });

/** Names as in the result's JSON, its blocks joined by a dot. */
const COLUMNS: readonly Column[] = [
  column(I32, "layer", (at) => at.layer), column(I32, "strand", (at) => at.strand), column(F64, "sMm", (at) => at.sMm), column(I32, "attempt", (at) => at.attempt),
  column(F64, "xMm", (at) => at.position[0]), column(F64, "yMm", (at) => at.position[1]), column(F64, "zMm", (at) => at.position[2]), column(BOOL, "laid", (at) => at.laid),
  column(F64, "planned.widthMm", (at) => at.planned.widthMm), column(F64, "planned.heightMm", (at) => at.planned.heightMm), column(F64, "planned.areaMm2", (at) => at.planned.areaMm2),
  column(F64, "measured.widthMm", (at) => at.measured?.widthMm ?? null), column(F64, "measured.heightMm", (at) => at.measured?.heightMm ?? null),
  column(F64, "measured.areaMm2", (at) => at.measured?.areaMm2 ?? null), column(F64, "measured.offsetMm", (at) => at.measured?.offsetMm ?? null),
  column(F64, "measured.coverage", (at) => at.measured?.coverage ?? null), column(TEXT, "measured.support", (at) => at.measured?.support ?? null), column(F64, "measured.ageS", (at) => at.measured?.ageS ?? null),
  column(F64, "u.widthMm", (at) => at.u?.widthMm ?? null), column(F64, "u.heightMm", (at) => at.u?.heightMm ?? null), column(F64, "u.areaMm2", (at) => at.u?.areaMm2 ?? null),
  column(F64, "u.offsetMm", (at) => at.u?.offsetMm ?? null), column(F64, "u.placementMm", (at) => at.u?.placementMm ?? null),
  column(F64, "areaRatio", (at) => at.areaRatio), column(TEXT, "verdict", (at) => at.verdict), column(BOOL, "proven", (at) => at.proven), column(F64, "sagMm", (at) => at.sagMm),
  column(TEXT, "camera.state", (at) => at.camera?.state ?? null), column(F64, "camera.widthMm", (at) => at.camera?.widthMm ?? null), column(F64, "camera.u.widthMm", (at) => at.camera?.u.widthMm ?? null), column(TEXT, "camera.file", (at) => at.camera?.file ?? null),
];
const FIELDS = COLUMNS.map(({ name, type }) => new Field(name, type, true));

/** What the stream says of itself. */
export interface StationsOf { readonly runId: string; readonly resultId: string; readonly contract: string }

/** Marker that closes a stream: continuation, then length 0 (Arrow columnar format, "IPC Streaming Format"). */
const END = Uint8Array.of(255, 255, 255, 255, 0, 0, 0, 0);

/** One batch as a stream of its own: schema, batch, end. */
function wholeStream(schema: Schema, stations: readonly StationResult[]): Uint8Array {
  const children = COLUMNS.map(({ type, of }) => vectorFromArray(stations.map(of), type).data[0] as Data);
  const batch = new RecordBatch(schema, makeData({ type: new Struct(FIELDS), length: stations.length, nullCount: 0, children }));
  return RecordBatchStreamWriter.writeAll([batch]).toUint8Array(true);
}

/** The bytes of a stream, piece by piece: memory holds one strand. Its schema comes first, also where there is no station; the end marker last. */
export function* stationsArrow(strands: Iterable<readonly StationResult[]>, { runId, resultId, contract }: StationsOf): Generator<Uint8Array> {
  const schema = new Schema(FIELDS, new Map([["runId", runId], ["resultId", resultId], ["contract", contract]]));
  const empty = wholeStream(schema, []);
  const schemaBytes = 8 + new DataView(empty.buffer, empty.byteOffset).getInt32(4, true); // continuation, length, message without body
  yield empty.subarray(0, schemaBytes);
  for (const stations of strands) {
    if (stations.length === 0) continue;
    const bytes = wholeStream(schema, stations);
    yield bytes.subarray(schemaBytes, bytes.length - END.length);
  }
  yield END;
}
