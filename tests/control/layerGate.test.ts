import { describe, expect, it } from "vitest";
import { gatePause, layerGate, wouldBury, type Gate } from "../../lib/control/layerGate.ts";
import type { OpenFinding } from "../../lib/control/pause.ts";
import type { LayerSeen } from "../../lib/model/liveFacts.ts";

const RULE = { minMeasuredFraction: 0.95, openAct: "hold" } as const;
const found = (n: number, layer: number, change: Partial<OpenFinding> = {}): OpenFinding => ({ n, kind: "gap", severity: "act", layer, isSettled: false, ...change });
const seen = (seenCount: number, dueCount = 200, layer = 3): LayerSeen => ({ layer, laidCount: 240, dueCount, seenCount });
const gate = (of: LayerSeen, findings: readonly OpenFinding[] = [], isOpened = false) => layerGate(RULE, { seen: of, findings, removed: [], isOpened });
const made = (layer: number, isHeld: boolean): Gate => ({ layer, isHeld, open: [], bareCount: 0, seenFraction: 0.97, seenEnough: true });

describe("the layer gate at 95 % seen", () => {
  it.each([[189, true], [190, false], [191, false]])("%d of 200 stations that were due: held %s", (count, isHeld) => {
    expect(gate(seen(count))).toMatchObject({ layer: 3, isHeld, seenFraction: count / 200, seenEnough: !isHeld, open: [] });
  });

  it("does not count against a layer what was laid and is not due yet", () => {
    expect(gate(seen(0, 0))).toMatchObject({ isHeld: false, seenFraction: 1, seenEnough: true });
    expect(gate(seen(19, 20))).toMatchObject({ isHeld: false });
  });

  it("holds for open act findings of the layer and of those below, and not for those above, settled ones or watch", () => {
    const findings = [found(1, 2), found(4, 3), found(5, 4), found(6, 3, { isSettled: true }), found(7, 1, { severity: "watch" })];
    expect(gate(seen(200), findings)).toMatchObject({ isHeld: true, seenEnough: true, open: [{ n: 1 }, { n: 4 }] });
    expect(gate(seen(200), findings.slice(2)).isHeld).toBe(false);
  });

  it("that a person opened, or that only advises, is not held and says all the same what is open", () => {
    expect(gate(seen(100), [found(1, 2)], true)).toMatchObject({ isHeld: false, open: [{ n: 1 }], seenFraction: 0.5, seenEnough: false });
    expect(layerGate({ ...RULE, openAct: "advise" }, { seen: seen(100), findings: [found(1, 2)], removed: [], isOpened: false })).toMatchObject({ isHeld: false, open: [{ n: 1 }], seenEnough: false });
  });
});

describe("a stretch that was taken off", () => {
  const bare = (layer: number) => ({ layer, strand: 2, fromMm: 3, toMm: 6.5 });
  it("holds its layer and those above it until it is laid again, though its finding is gone", () => {
    expect(layerGate(RULE, { seen: seen(200), findings: [], removed: [bare(2), bare(3), bare(4)], isOpened: false })).toMatchObject({ isHeld: true, open: [], bareCount: 2 });
    expect(layerGate(RULE, { seen: seen(200), findings: [], removed: [bare(4)], isOpened: false })).toMatchObject({ isHeld: false, bareCount: 0 });
  });
});

describe("what a held gate asks of the cell", () => {
  const nozzle = { layer: 3, isLastOfLayer: true, isLaying: true, next: { layer: 4, strand: 1, sMm: 0 } };
  it("is a pause at the layer's end from its last strand on, laid or being laid, and not before", () => {
    expect(gatePause(nozzle, made(3, true), null)).toBe("layerEnd");
    expect(gatePause({ ...nozzle, isLaying: false }, made(3, true), made(2, false))).toBe("layerEnd");
    expect(gatePause({ ...nozzle, isLastOfLayer: false, next: { layer: 3, strand: 9, sMm: 0 } }, made(3, true), null)).toBeNull();
  });

  it("is nothing where no layer follows, nor where the gate is open or there is none", () => {
    expect(gatePause({ ...nozzle, next: null }, made(3, true), null)).toBeNull();
    expect(gatePause(nozzle, made(3, false), null)).toBeNull();
    expect(gatePause(nozzle, null, null)).toBeNull();
  });

  it("is a pause at once where the layer below is held and is being laid over", () => {
    expect(gatePause({ ...nozzle, isLastOfLayer: false }, made(3, false), made(2, true))).toBe("now");
    expect(gatePause({ ...nozzle, next: null }, null, made(2, true))).toBe("now");
  });
});

describe("a resume that would bury something", () => {
  it("is one above a layer that is held, the lowest of them named; on the layer itself it buries nothing", () => {
    const gates = [made(1, false), made(2, true), made(3, true)];
    expect([1, 2, 3, 4].map((layer) => wouldBury(layer, gates)?.layer ?? null)).toEqual([null, null, 2, 2]);
  });
});
