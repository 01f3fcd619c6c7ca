/** A line of a record that is longer than this is none, bytes. */
const LINE_LIMIT_BYTES = 64 * 1024 * 1024;
const LINE_FEED = 10;

export interface Line {
  /** null: not UTF-8, or too long. */
  readonly text: string | null;
  /** False: the file ends without a line feed. */
  readonly isEnded: boolean;
}

/** The lines of a file that comes in chunks, byte for byte: nothing is trimmed or replaced. */
export async function* linesOf(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Line> {
  let parts: Uint8Array[] = [];
  let heldBytes = 0;
  for await (const chunk of chunks) {
    let from = 0;
    for (let to = chunk.indexOf(LINE_FEED); to >= 0; to = chunk.indexOf(LINE_FEED, from)) {
      yield { text: decode([...parts, chunk.subarray(from, to)]), isEnded: true };
      parts = [];
      heldBytes = 0;
      from = to + 1;
    }
    if (from < chunk.length) {
      parts.push(chunk.slice(from));
      heldBytes += chunk.length - from;
      if (heldBytes > LINE_LIMIT_BYTES) {
        yield { text: null, isEnded: false };
        return;
      }
    }
  }
  if (heldBytes > 0) yield { text: decode(parts), isEnded: false };
}

function decode(parts: readonly Uint8Array[]): string | null {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(Buffer.concat(parts));
  } catch {
    return null;
  }
}
