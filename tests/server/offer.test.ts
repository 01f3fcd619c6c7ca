import { expect, it } from "vitest";
import { InputError } from "../../lib/base/errors.ts";
import { bodyOf, readOffer, readPath } from "../../lib/server/offer.ts";

const good = { kind: "folder", name: "block 12", fileCount: "6", byteCount: "4012" };

function refusedKey(query: Record<string, string>): string | undefined {
  try {
    readOffer(new URLSearchParams(query));
  } catch (error) {
    if (error instanceof InputError && error.code === "upload.badRequest") return error.place.key;
  }
  throw new Error("it was not refused");
}

it("an offer of 6 files and 4 012 bytes is read from a query", () => {
  expect(readOffer(new URLSearchParams(good))).toEqual({ kind: "folder", name: "block 12", fileCount: 6, byteCount: 4012 });
  expect(readOffer(new URLSearchParams({ ...good, kind: "zip", fileCount: "0" }))).toMatchObject({ kind: "zip", fileCount: 0 });
});

it.each<[string, Record<string, string>]>([
  ["kind", { kind: "tar" }], ["kind", { kind: "" }], ["name", { name: "" }], ["fileCount", { fileCount: "-1" }], ["fileCount", { fileCount: "1.5" }], ["byteCount", { byteCount: "1e3" }], ["byteCount", { byteCount: "9007199254740993" }],
])("%s of %j is refused by its key", (key, change) => {
  expect(refusedKey({ ...good, ...change })).toBe(key);
});

it("a path is needed, and taken as it is", () => {
  expect(readPath(new URLSearchParams({ path: "frames/ä 1.png" }))).toBe("frames/ä 1.png");
  expect(() => readPath(new URLSearchParams())).toThrow("a query with path");
});

it("a body streams, and an empty file has none", async () => {
  const bytesOf = async (body: BodyInit | null): Promise<string> => {
    const chunks = await bodyOf(new Request("http://127.0.0.1/", { method: "PUT", body })).toArray() as Uint8Array[];
    return Buffer.concat(chunks).toString("utf8");
  };
  expect([await bytesOf("1,2,3"), await bytesOf(null)]).toEqual(["1,2,3", ""]);
});

it("a body that breaks before it is read is an error for who reads it later, and for nobody else", async () => {
  const broken = new ReadableStream<Uint8Array>({ start: (controller) => controller.error(new Error("ECONNRESET")) });
  const body = bodyOf(new Request("http://127.0.0.1/", { method: "PUT", body: broken, duplex: "half" } as RequestInit));
  await new Promise((done) => { setImmediate(done); });
  await expect(body.toArray()).rejects.toThrow("ECONNRESET");
});
