import { afterEach, describe, expect, it } from "vitest";
import { shareLook } from "../../lib/server/look/sharedLook.ts";
import { receiveCalibration } from "../../lib/server/receiveCalibration.ts";

const asked = (files: readonly string[], texts: Readonly<Record<string, string>> = {}): Request => {
  const form = new FormData();
  for (const [key, text] of Object.entries(texts)) form.set(key, text);
  for (const name of files) form.append("files", new File([`bytes of ${name}`], name));
  return new Request("http://localhost/api/calibration", { method: "POST", body: form, headers: { "content-length": "1000" } });
};
afterEach(() => shareLook(async () => null));

describe("receiveCalibration", () => {
  it("hands the files by their own names and what was typed on: blank is not given, a number is one", async () => {
    let call: unknown;
    shareLook(async (given) => { call = given; return "sheet"; });
    expect(await receiveCalibration(asked(["boards/a.png", "board.json"], { columns: "9", rows: "six", pitchMm: " 2.5 ", pattern: "", camera: "camera-2" }))).toBe("sheet");
    expect(call).toEqual({ op: "calibrate", files: ["boards/a.png", "board.json"].map((name) => ({ name: name.split("/").at(-1), bytes: new TextEncoder().encode(`bytes of ${name}`) })), over: { pattern: null, columns: 9, rows: "six", pitchMm: 2.5, camera: "camera-2" } });
  });

  it("solves one at a time: another is told upload.busy, and the next is taken, also after one that failed", async () => {
    let begun = (): void => undefined, fail = (): void => undefined;
    const isBegun = new Promise<void>((done) => { begun = done; });
    shareLook(() => new Promise((_, refuse) => { fail = () => refuse(new Error("given up")); begun(); }));
    const first = receiveCalibration(asked(["a.png"])).catch((error: Error) => error.message);
    await isBegun;
    await expect(receiveCalibration(asked(["b.png"]))).rejects.toMatchObject({ code: "upload.busy" });
    fail();
    expect(await first).toBe("given up");
    shareLook(async () => "next");
    expect(await receiveCalibration(asked(["c.png"]))).toBe("next");
  });

  it("refuses more than 400 MB before it reads any, a request without a length, and a body that is no form", async () => {
    const of = (headers: Record<string, string>): Request => new Request("http://localhost/api/calibration", { method: "POST", body: "{}", headers });
    await expect(receiveCalibration(of({ "content-length": "400000001" }))).rejects.toMatchObject({ code: "source.tooLarge" });
    await expect(receiveCalibration(of({}))).rejects.toMatchObject({ code: "upload.badRequest" });
    await expect(receiveCalibration(of({ "content-length": "2" }))).rejects.toMatchObject({ code: "upload.badRequest" });
  });
});
