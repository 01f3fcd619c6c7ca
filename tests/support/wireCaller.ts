/** Calls of the wire as a hostile or broken sender makes them: any bytes as a request, and requests that fetch would not send. */
import { Agent, request as httpRequest } from "node:http";
import { connect } from "node:net";

/** Nothing may take longer, ms; nor may the two calls that measure a whole run. */
const HANG_MS = 5000, MEASURING_MS = 30_000;

export interface WireCall {
  readonly method: string;
  /** As it stands in the request line. */
  readonly path: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: Uint8Array | string;
  /** Sent without its length. */
  readonly isChunked?: boolean;
}

export interface WireAnswered { readonly status: number; readonly headers: Readonly<Record<string, string | readonly string[] | undefined>>; readonly text: string }

const bytesOf = (body: Uint8Array | string): Uint8Array => (typeof body === "string" ? new TextEncoder().encode(body) : body);

export class WireCaller {
  private readonly agent = new Agent({ keepAlive: true, maxSockets: 16 });

  constructor(readonly port: number) {}

  /** Makes a call; rejects where it hangs without a whole answer. A kept connection that the server had closed already is tried once more. */
  async call(call: WireCall): Promise<WireAnswered> {
    try {
      return await this.once(call);
    } catch (error) {
      if ((error as { reused?: boolean }).reused === true) return this.once(call);
      throw error;
    }
  }

  private once({ method, path, headers = {}, body, isChunked = false }: WireCall): Promise<WireAnswered> {
    return new Promise((done, fail) => {
      const bytes = body === undefined ? null : bytesOf(body);
      const length: Record<string, string> = bytes === null ? {} : isChunked ? { "Transfer-Encoding": "chunked" } : { "Content-Length": String(bytes.length) };
      const request = httpRequest({ host: "127.0.0.1", port: this.port, agent: this.agent, method, path, headers: { ...length, ...headers } });
      const hangMs = /\/(finish|result)$/.test(path) ? MEASURING_MS : HANG_MS;
      const hang = setTimeout(() => request.destroy(new Error(`no answer within ${hangMs} ms to ${method} ${path}`)), hangMs);
      let isAnswered = false;
      request.once("response", (response) => {
        isAnswered = true;
        const chunks: Buffer[] = [];
        const end = (): void => {
          clearTimeout(hang);
          done({ status: response.statusCode ?? 0, headers: response.headers, text: Buffer.concat(chunks).toString() });
        };
        response.on("data", (chunk: Buffer) => chunks.push(chunk)).once("end", end).once("error", fail);
      });
      request.once("error", (error) => {
        if (isAnswered) return; // the rest of a body that was refused
        clearTimeout(hang);
        fail(Object.assign(error, { reused: request.reusedSocket }));
      });
      if (bytes !== null) request.write(bytes);
      request.end();
    });
  }

  close(): void {
    this.agent.destroy();
  }
}

/** How long an answer is waited for before the sending half is closed, and how long a second one after the first, ms. */
const FIRST_MS = 200, SECOND_MS = 30;

/** Sends bytes on a connection of their own, closes the sending half once they are answered or are not, and gives all that came back; rejects after HANG_MS while the connection stays. */
export function sendBytes(port: number, bytes: Uint8Array | string): Promise<string> {
  return new Promise((done, fail) => {
    const socket = connect({ port, host: "127.0.0.1" });
    let text = "";
    const hang = setTimeout(() => {
      socket.destroy();
      fail(new Error(`a connection stays open ${HANG_MS} ms after ${JSON.stringify(Buffer.from(bytes).toString("latin1").slice(0, 200))}; it said ${JSON.stringify(text.slice(0, 200))}`));
    }, HANG_MS);
    let ending = setTimeout(() => socket.end(), FIRST_MS);
    socket.on("data", (chunk) => {
      text += chunk.toString("latin1");
      if (text.startsWith("HTTP/1.1 100 ") && !text.includes("HTTP/1.1 200")) return;
      clearTimeout(ending);
      ending = setTimeout(() => socket.end(), SECOND_MS);
    });
    socket.on("error", () => undefined); // cut off by the server: close follows
    socket.once("close", () => {
      clearTimeout(hang);
      clearTimeout(ending);
      done(text);
    });
    socket.write(bytes);
  });
}

/** Status of the first answer in what a connection said; null: it said nothing. */
export function statusIn(text: string): number | null {
  const found = /^HTTP\/1\.1 (\d{3}) /.exec(text)?.[1];
  return found === undefined ? null : Number(found);
}
