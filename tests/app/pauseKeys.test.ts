import { describe, expect, it } from "vitest";
import { asksPause, learn, type KeyPress } from "../../app/runs/[id]/live/pauseKeys.ts";

const press = (key: string, more: Partial<KeyPress> = {}): KeyPress => ({ key, repeat: false, hasModifier: false, where: "page", ...more });

describe("a key that pauses", () => {
  it("is Space outside fields and buttons, and the Pause key anywhere", () => {
    expect((["page", "field", "button"] as const).map((where) => asksPause(press(" ", { where }), ""))).toEqual([true, false, false]);
    expect((["page", "field", "button"] as const).map((where) => asksPause(press("Pause", { where }), ""))).toEqual([true, true, true]);
    expect(asksPause(press("x"), "")).toBe(false);
  });

  it("asks once however long it is held, and not with a modifier", () => {
    expect([asksPause(press(" ", { repeat: true }), ""), asksPause(press("Pause", { hasModifier: true }), ""), asksPause(press("F13", { repeat: true }), "F13")]).toEqual([false, false, false]);
  });

  it("that was chosen counts anywhere where it writes nothing, and on the page alone where it writes, moves or confirms", () => {
    expect((["page", "field", "button"] as const).map((where) => asksPause(press("F13", { where }), "F13"))).toEqual([true, true, true]);
    expect((["page", "field", "button"] as const).map((where) => asksPause(press("b", { where }), "b"))).toEqual([true, false, false]);
    expect((["page", "field", "button"] as const).map((where) => asksPause(press("Enter", { where }), "Enter"))).toEqual([true, false, false]);
    expect(asksPause(press(" "), "F13")).toBe(true);
  });
});

describe("choosing a key", () => {
  it("takes the next press, leaves it at the usual two for Space and Pause, and passes over Shift, Tab and Escape", () => {
    expect([learn("F13", ["m"]), learn("b", ["m"]), learn(" ", ["m"]), learn("Pause", ["m"])]).toEqual([{ key: "F13" }, { key: "b" }, { key: "" }, { key: "" }]);
    expect([learn("Shift", []), learn("Tab", []), learn("Escape", [])]).toEqual([null, null, null]);
  });

  it("refuses a key that does something else on the page", () => {
    expect(learn("m", ["a", "m"])).toEqual({ problem: "“m” does something else on this page" });
  });
});
