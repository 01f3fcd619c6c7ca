import { describe, expect, it } from "vitest";
import { INPUT_CODES, InputError, placeText } from "../../lib/base/errors.ts";

describe("InputError", () => {
  it("is worded 'expected …, got … (at file, line, key)' and carries code, place and cause", () => {
    const cause = new SyntaxError("unexpected token");
    const error = new InputError("plan.badNumber", "a finite number", '"x"', { file: "plan.csv", line: 7, key: "nx" }, cause);
    expect(error.message).toBe('expected a finite number, got "x" (at plan.csv, line 7, key nx)');
    expect(error).toMatchObject({ name: "InputError", code: "plan.badNumber", place: { file: "plan.csv", line: 7, key: "nx" }, cause });
    expect(error).toBeInstanceOf(Error);
  });

  it("names message and row of an Arrow stream, row 0 included; nothing where nothing is known", () => {
    expect(placeText({ file: "profiles.arrow", message: 3, row: 0, key: "pose" })).toBe(" (at profiles.arrow, message 3, row 0, key pose)");
    expect(placeText({})).toBe("");
  });

  it("every code reads room.whatIsWrong and stands once", () => {
    expect(new Set(INPUT_CODES).size).toBe(INPUT_CODES.length);
    for (const code of INPUT_CODES) expect(code).toMatch(/^[a-z]+\.[a-z][A-Za-z0-9]*$/);
  });
});
