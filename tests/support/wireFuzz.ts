/** Arbitrary calls of the wire: valid bodies, bodies that something happened to, and noise. */
import * as fc from "fast-check";

/** A body that is right as it stands. */
export interface GoodBody { readonly path: string; readonly type: string; readonly bytes: Uint8Array }

/** One thing that happens to bytes; places are fractions of their length. */
type Harm =
  | { readonly kind: "flip"; readonly at: number; readonly bit: number }
  | { readonly kind: "cut" | "drop"; readonly at: number; readonly length: number }
  | { readonly kind: "double" | "swap"; readonly at: number; readonly to: number; readonly length: number }
  | { readonly kind: "word"; readonly at: number; readonly word: number }
  | { readonly kind: "insert"; readonly at: number; readonly bytes: Uint8Array };

const place = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });

export const harm: fc.Arbitrary<Harm> = fc.oneof(
  { weight: 5, arbitrary: fc.record({ kind: fc.constant("flip" as const), at: place, bit: fc.nat(7) }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constantFrom("cut" as const, "drop" as const), at: place, length: fc.integer({ min: 1, max: 40 }) }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constantFrom("double" as const, "swap" as const), at: place, to: place, length: fc.integer({ min: 1, max: 64 }) }) },
  { weight: 2, arbitrary: fc.record({ kind: fc.constant("word" as const), at: place, word: fc.constantFrom(0, 1, 0x7f, 0xff, 0x7fffffff, 0x80000000, 0xffffffff, 0x7f800000, 0x7f7fffff) }) },
  { weight: 1, arbitrary: fc.record({ kind: fc.constant("insert" as const), at: place, bytes: fc.uint8Array({ minLength: 1, maxLength: 20 }) }) },
);

function join(...parts: readonly Uint8Array[]): Uint8Array {
  return new Uint8Array(Buffer.concat(parts));
}

export function harmed(bytes: Uint8Array, one: Harm): Uint8Array {
  const at = Math.floor(one.at * bytes.length), out = bytes.slice();
  switch (one.kind) {
    case "flip":
      if (out.length > 0) out[at] = (out[at] as number) ^ (1 << one.bit);
      return out;
    case "cut": return out.subarray(0, at);
    case "drop": return join(bytes.subarray(0, at), bytes.subarray(at + one.length));
    case "double": {
      const to = Math.floor(one.to * bytes.length);
      return join(bytes.subarray(0, to), bytes.subarray(at, at + one.length), bytes.subarray(to));
    }
    case "swap": { // two words of four bytes: lengths and offsets lie on such places
      const [a, b] = [at, Math.floor(one.to * bytes.length)].map((i) => i & ~3) as [number, number];
      if (Math.max(a, b) + 4 > bytes.length) return out;
      out.set(bytes.subarray(a, a + 4), b);
      out.set(bytes.subarray(b, b + 4), a);
      return out;
    }
    case "word":
      if ((at & ~3) + 4 <= out.length) new DataView(out.buffer).setUint32(at & ~3, one.word, true);
      return out;
    case "insert": return join(bytes.subarray(0, at), one.bytes, bytes.subarray(at));
  }
}

/** Stands for a number that JSON can say and a double cannot. */
const TOO_LARGE = "@too-large@";

const oddValue: fc.Arbitrary<unknown> = fc.oneof(
  fc.constantFrom<unknown>(
    null, true, "", "x", 0, -0, -1, 0.5, 1e-300, 5e-324, 1e-5, 1e15, 1e21, 1e300, -1e300, 2 ** 31, 2 ** 53, 2 ** 53 - 1, [], {}, [[]], "../../x", "/etc/passwd", "a\u0000b", "C:\\x", "NUL",
    "<script>alert(1)</script>", "\ud800", "\ufeff", "\u2028", "\u202e", "\r\nX: y", "id: 3\n\ndata: x", "'; DROP TABLE Run; --", "{{7*7}}", TOO_LARGE, `-${TOO_LARGE}`, "x".repeat(3000), "frames/a.png", "log.ndjson"),
  fc.jsonValue({ maxDepth: 2 }),
);

/** One thing that happens to a JSON value; `at` picks a place in it. */
const oddity = fc.record({ at: fc.nat(10_000), act: fc.constantFrom("put", "put", "put", "take", "add"), key: fc.constantFrom("__proto__", "constructor", "toString", "length", "x", "tS"), value: oddValue });
type Oddity = typeof oddity extends fc.Arbitrary<infer T> ? T : never;

/** Every list and object inside, with the keys of each. */
function placesIn(value: unknown, out: { owner: Record<string, unknown>; key: string }[] = []): { owner: Record<string, unknown>; key: string }[] {
  if (typeof value !== "object" || value === null) return out;
  for (const [key, inner] of Object.entries(value)) {
    out.push({ owner: value as Record<string, unknown>, key });
    placesIn(inner, out);
  }
  return out;
}

function happen(root: unknown, { at, act, key, value }: Oddity): void {
  const places = placesIn(root), spot = places[at % Math.max(1, places.length)];
  if (spot === undefined) return;
  const put = (name: string): void => { Object.defineProperty(spot.owner, name, { value: structuredClone(value), enumerable: true, configurable: true, writable: true }); };
  if (act === "put") put(spot.key);
  else if (act === "add" && !Array.isArray(spot.owner)) put(key);
  else if (Array.isArray(spot.owner)) spot.owner.splice(Number(spot.key), 1);
  else delete spot.owner[spot.key];
}

/** JSON text of a value to which something happened, at most so often. */
export function oddJson(good: unknown, most = 3): fc.Arbitrary<string> {
  return fc.array(oddity, { minLength: 1, maxLength: most }).map((list) => {
    const root: unknown = structuredClone(good);
    for (const each of list) happen(root, each);
    return JSON.stringify(root).replaceAll(`"${TOO_LARGE}"`, "1e400").replaceAll(`"-${TOO_LARGE}"`, "-1e400");
  });
}

const NO_TOKEN = /[^A-Za-z0-9!#$%&'*+.^_`|~-]/g;
const headerName = fc.oneof(
  fc.constantFrom("Content-Type", "Content-Encoding", "Idempotency-Key", "Last-Event-ID", "Accept", "Range", "If-None-Match", "X-Forwarded-For", "Cookie", "Origin", "Sec-Fetch-Site", "Upgrade", "TE", "X"),
  fc.string({ minLength: 1, maxLength: 12 }).map((text) => text.replaceAll(NO_TOKEN, "") || "X"),
);
const headerValue = fc.oneof(
  fc.constantFrom("application/json", "multipart/form-data", "multipart/form-data; boundary=", "multipart/form-data; boundary=\"", "text/html", "gzip", "identity", "bytes=0-1", "*", "websocket", "cross-site", "0-0", "-1", "null", "Infinity"),
  fc.string({ maxLength: 40, unit: "binary" }).map((text) => text.replaceAll(/[^\x20-\x7e\xa0-\xff]/g, "~")),
);
export const oddHeaders: fc.Arbitrary<Record<string, string>> = fc.array(fc.tuple(headerName, headerValue), { maxLength: 4 }).map((list) =>
  Object.fromEntries(list.filter(([name]) => !/^(host|connection|content-length|transfer-encoding|expect|authorization)$/i.test(name))));

export const oddMethod: fc.Arbitrary<string> = fc.constantFrom("GET", "POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS", "TRACE", "PROPFIND", "SEARCH", "PURGE");

const segment = fc.oneof(
  fc.constantFrom("runs", "profiles", "progress", "poses", "signals", "rework", "frames", "finish", "events", "result", "commands", "receipt", "health", "openapi.json", "..", ".", "%2e%2e", "%2F", "%00", "%ff", "%", "{runId}", "__proto__", "1", "-1", "1e9", "0x10"),
  fc.string({ maxLength: 12, unit: "binary" }).map(encodeURIComponentSafely),
);
function encodeURIComponentSafely(text: string): string {
  return encodeURIComponent(text.replaceAll(/\p{Surrogate}/gu, "?"));
}
/** Paths below /api/v1/; `runIds` stand in some. */
export function oddPath(runIds: readonly string[]): fc.Arbitrary<string> {
  const known = fc.tuple(fc.constantFrom(...runIds, "%00", "no-such-run"), fc.constantFrom("profiles", "progress", "poses", "signals", "rework", "frames", "result", "commands", "commands/1/receipt", "commands/x/receipt", "commands/-1/receipt", "commands/%00/receipt"))
    .map(([run, name]) => `/api/v1/runs/${run}/${name}`);
  const query = fc.oneof(fc.constant(""), fc.constantFrom("?after=-1", "?after=1e400", "?after=NaN&waitS=0", "?waitS=-0", "?after=%00", "?after=1&after=2", "?waitS=0.001", "?__proto__=1", "?%", "?a[b]=1"));
  return fc.tuple(fc.oneof(known, fc.array(segment, { minLength: 1, maxLength: 5 }).map((parts) => `/api/v1/${parts.join("/")}`)), query).map(([path, more]) => path + more);
}

/** Bytes that are no request, and some that nearly are one. */
export const rawRequest: fc.Arbitrary<Uint8Array> = fc.tuple(
  fc.constantFrom("GET /api/v1/health HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n", "POST /api/v1/runs HTTP/1.1\r\nHost: localhost\r\nContent-Length: 2\r\nConnection: close\r\n\r\n{}",
    "POST /api/v1/runs HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: chunked\r\nConnection: close\r\n\r\n2\r\n{}\r\n0\r\n\r\n", ""),
  fc.array(harm, { maxLength: 4 }), fc.uint8Array({ maxLength: 60 }),
).map(([text, harms, noise]) => (text === "" ? noise : harms.reduce(harmed, new Uint8Array(Buffer.from(text)))));
