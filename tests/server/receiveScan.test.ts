/** The route by which a page adds a scan. The scan is invented. */
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { POST } from "../../app/api/runs/[id]/scans/route.ts";
import type { Role } from "../../lib/model/person.ts";
import type { KeptScan } from "../../lib/model/scan.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";
import { writeRunFolder } from "../../lib/rehearsal/write.ts";
import { openArrowStream } from "../../lib/sensing/arrowWrite.ts";
import { readScanLines, scansOf } from "../../lib/server/scans.ts";
import { sharedStore } from "../../lib/server/settings.ts";
import { hardScan } from "../support/hardScan.ts";
import { signedInAs } from "../support/people.ts";
import { command, ownData } from "../support/recorded.ts";

const data = ownData(), { place } = data;
const SETTINGS = { seed: 211, strands: 2, lengthMm: 8 } as const;
let runId = "", bytes: Buffer<ArrayBuffer>;
beforeAll(async () => {
  writeRunFolder(simulate(SETTINGS), join(place, "run"), "arrow");
  runId = (await command("import", join(place, "run"))).out.trim();
  const stream = openArrowStream({ device: "profiler-1", frame: "plan", points: 640, withLayer: false, batchProfiles: [64] }), parts: Uint8Array[] = [];
  for (const profile of hardScan(SETTINGS, { scale: 0.95 })) { const part = stream.add(profile); if (part !== null) parts.push(Uint8Array.from(part)); }
  bytes = Buffer.concat([...parts, Uint8Array.from(stream.end())]);
});
afterAll(() => data.restore());

function send(body: BodyInit, { query = "?name=profiles.arrow&setAt=2026-02-05T08:00:00Z&note=dry", roles, signal }: { readonly query?: string; readonly roles?: readonly Role[]; readonly signal?: AbortSignal } = {}): Promise<Response> {
  const cookie = roles === undefined ? "" : signedInAs(sharedStore().db, `Ines ${roles.join(" ")}`, { roles }).cookie;
  const headers = { host: "127.0.0.1:4312", origin: "http://127.0.0.1:4312", "sec-fetch-site": "same-origin", cookie };
  return POST(new Request(`http://127.0.0.1:4312/api/runs/${runId}/scans${query}`, { method: "POST", headers, body, duplex: "half", ...(signal === undefined ? {} : { signal }) } as RequestInit), { params: Promise.resolve({ id: runId }) });
}
const codeOf = async (response: Response): Promise<string> => ((await response.json()) as { problem: { code: string } }).problem.code;

describe("POST /api/runs/ID/scans", () => {
  it("asks for somebody with the role engineer or reviewer: 401 for nobody, 403 for an operator", async () => {
    const nobody = await send(bytes), operator = await send(bytes, { roles: ["operator"] });
    expect([nobody.status, await codeOf(nobody), operator.status, await codeOf(operator)]).toEqual([401, "people.signIn", 403, "people.role"]);
    expect(scansOf(runId)).toEqual([]);
  });

  it("refuses a body that is no scan, an empty one and one that breaks off with 400, and a stream whose sender goes; nothing is kept", async () => {
    for (const [body, code] of [["hello", /sensing\.notArrow|upload\.incomplete/], ["", /sensing\.notArrow|upload\.incomplete|sensing\.noStream/], [bytes.subarray(0, bytes.length - 2000), /upload\.incomplete/]] as const) {
      const response = await send(body as BodyInit, { roles: ["reviewer"] });
      expect(response.status).toBe(400);
      expect(await codeOf(response)).toMatch(code);
    }
    const gone = new AbortController(), body = new ReadableStream({ start: (c) => c.enqueue(new Uint8Array(bytes.subarray(0, 100))) });
    const answered = send(body, { roles: ["reviewer"], signal: gone.signal });
    setImmediate(() => gone.abort());
    expect(await codeOf(await answered)).toBe("upload.incomplete");
    expect(scansOf(runId)).toEqual([]);
  });

  it("keeps a scan in the name of who is signed in, answers with what it says, and the page lists it; two at once: the second is told to wait (503)", async () => {
    const [first, second] = await Promise.all([send(bytes, { roles: ["engineer"] }), send(bytes, { roles: ["engineer"] })]);
    expect([first.status, second.status, await codeOf(second)]).toEqual([200, 503, "upload.busy"]);
    const kept = await first.json() as KeptScan;
    expect(kept).toMatchObject({ n: 1, setAt: "2026-02-05T08:00:00.000Z", note: "dry", addedBy: "Ines engineer" });
    expect(Math.abs(kept.comparison!.areaRatio!.value - 0.95 ** 2)).toBeLessThan(3 * kept.comparison!.areaRatio!.u);
    expect(readScanLines(runId)).toEqual([{ n: 1, setAt: "2026-02-05T08:00:00.000Z", note: "dry", addedBy: "Ines engineer", sentence: expect.stringMatching(/^Sections of the strands on the target are 9\.\d % ± 0\.\d % \(k = 2\) smaller/) }]);
  });
});
