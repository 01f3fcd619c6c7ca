import { describe, expect, it } from "vitest";
import { began, follows, withNewReadings } from "../../app/runs/[id]/live/liveState.ts";
import type { LiveReading } from "../../lib/model/liveEvent.ts";
import type { LiveSheet, LiveWords } from "../../lib/model/liveSheet.ts";

import { madeStrand } from "../support/madeStrand.ts";

it("an event follows another of the same life with the next number, and nothing else does", () => {
  expect(follows("mwwf-41", "mwwf-42")).toBe(true);
  expect([follows("mwwf-41", "mwwf-43"), follows("mwwf-41", "mwwf-41"), follows("mwwf-41", "xwwf-42"), follows("mwwf-41", ""), follows("", "mwwf-1")]).toEqual([false, false, false, false, false]);
});

const frame = { normal: [0, 0, 1], right: [1, 0, 0], up: [0, 1, 0] } as const;
const strands = [madeStrand([{ s: 0, x: 3, y: 7 }, { s: 2.5, x: 5.5, y: 8 }, { s: 6, x: 9, y: 9.5 }], { layer: 2, strand: 4 }), madeStrand([{ s: 0 }, { s: 3 }], { layer: 2, strand: 5 })];
const layers = [{ layer: 2, strands, frame, frameWords: "from above" }];
const sheet = { layers, words: {} as LiveWords } as unknown as LiveSheet;
const reading = (stationIndex: number, byS: number): LiveReading => ({
  layer: 2, strand: 4, stationIndex, sMm: 2.5, attempt: 1, tS: byS - 0.3, byS, ageS: 1.2, uWidthMm: 0.02, uHeightMm: 0.006, uAreaMm2: 0.008, uOffsetMm: 0.01, support: "measured", sagMm: null, widthMm: 1.9, heightMm: 0.66, areaRatio: 0.97, offsetMm: 0.04, coverage: 0.99, verdict: "inBand", proven: true,
});

describe("the picture", () => {
  it("keeps the greatest stamp of its readings, also where an older one comes later, and none before the first", () => {
    const first = withNewReadings(began(sheet), [reading(1, 12.5), reading(0, 11.25)]);
    expect([began(sheet).byS, withNewReadings(began(sheet), []).byS, first.byS, withNewReadings(first, [reading(2, 12)]).byS]).toEqual([null, null, 12.5, 12.5]);
  });

  it("makes a new strand of the one that was read, and leaves the other and the columns of the plan as they are", () => {
    const [read, other] = withNewReadings(began(sheet), [reading(1, 12.5)]).layers[0]?.strands ?? [];
    expect([read === strands[0], read?.sMm === strands[0]?.sMm, other === strands[1]]).toEqual([false, true, true]);
  });
});
