import { describe, expect, it } from "vitest";
import { DEED_ROLES, DEEDS, mayDo, nameKeyOf, ownPath, ROLES, roleSentence, rolesFrom, rolesText, type Deed, type Role } from "../../lib/model/person.ts";

describe("which deed asks for which role", () => {
  const deedsOf = (...roles: readonly Role[]): Deed[] => DEEDS.filter((deed) => mayDo(roles, deed));
  const running: readonly Deed[] = ["resume", "alert", "dispose", "rework", "pasteMark", "note", "automaticPause", "end"];

  it("an operator runs a print, an engineer prepares and brings in besides, a reviewer works on finished runs alone, an administrator makes people and drops raw data", () => {
    expect(deedsOf("operator").toSorted()).toEqual([...running, "disposeFinished", "noteFinished", "ownPassphrase"].toSorted());
    expect(deedsOf("engineer").toSorted()).toEqual([...running, "prepare", "import", "disposeFinished", "noteFinished", "ownPassphrase", "recompute", "scan"].toSorted());
    expect(deedsOf("reviewer").toSorted()).toEqual(["disposeFinished", "noteFinished", "ownPassphrase", "recompute", "scan", "sign"]);
    expect(deedsOf("administrator")).toEqual(["people", "ownPassphrase", "dropRaw"]);
  });

  it("several roles add up, all four do everything, none does nothing, and no deed is without a role", () => {
    expect(deedsOf("reviewer", "administrator").toSorted()).toEqual(["disposeFinished", "dropRaw", "noteFinished", "ownPassphrase", "people", "recompute", "scan", "sign"]);
    expect([deedsOf(...ROLES), deedsOf()]).toEqual([[...DEEDS], []]);
    expect(DEEDS.filter((deed) => DEED_ROLES[deed].length === 0)).toEqual([]);
  });

  it("a pause and an abort are no deeds: nothing could be asked for them", () => {
    expect(DEEDS.filter((deed) => /pause$|abort/i.test(deed))).toEqual(["automaticPause"]);
  });

  it("is said in a plain sentence", () => {
    expect(roleSentence({ name: "Dana Reyes", roles: ["reviewer"] }, "prepare")).toBe("This asks for the role engineer. Dana Reyes has reviewer.");
    expect(roleSentence({ name: "M. Ort", roles: ["reviewer", "administrator"] }, "resume")).toBe("This asks for the role operator or engineer. M. Ort has reviewer and administrator.");
    expect([rolesText(["operator", "engineer", "reviewer"], "or"), rolesText([], "and")]).toEqual(["operator, engineer or reviewer", "no role"]);
  });
});

describe("roles out of words", () => {
  it("come once and in their order; one word that is none spoils all", () => {
    expect(rolesFrom(["reviewer", "operator", "reviewer"])).toEqual(["operator", "reviewer"]);
    expect([rolesFrom([]), rolesFrom(["operator", "owner"])]).toEqual([[], null]);
  });
});

describe("a name's key", () => {
  it("is the same for what eyes take for the same: capitals, spaces, composed and wide characters", () => {
    const same = ["Zoë Öz", "zoë öz", " Zoë   Öz ", "Zoe\u0308 O\u0308z", "Ｚoë Öz", "Zoë\u00a0Öz"];
    expect(new Set(same.map(nameKeyOf))).toEqual(new Set(["zoë öz"]));
    expect(nameKeyOf("Zoe Oz")).not.toBe("zoë öz");
  });
});

describe("where a sign-in may lead", () => {
  it("paths of this server, with query and place", () => {
    for (const path of ["/", "/runs/018f-7", "/runs/018f-7#finding-3", "/prepare?from=018f", "/signing", "/first-run"]) expect(ownPath(path)).toBe(path);
  });

  it.each(["//evil.example", "/\\evil.example", "https://evil.example/", "javascript:alert(1)", "evil", "", "/a\\b", "/a\nb", "/\t/evil.example", "/sign-in?next=/x", "/first?key=k", "/invited", undefined, ["/a"]])("nowhere else: %j leads to the register", (path) => {
    expect(ownPath(path)).toBe("/");
  });
});
