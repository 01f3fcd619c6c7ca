import { expect, it } from "vitest";
import { snapStretch } from "../../lib/control/rework.ts";

/** 0, 0.5 … 4, and an end that is no whole step. */
const STATIONS = Float64Array.from([0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4, 4.3]);
const snap = (fromMm: number, toMm: number) => {
  const stretch = snapStretch(STATIONS, { fromMm, toMm });
  return stretch === null ? null : [stretch.fromMm, stretch.toMm];
};

it.each([
  [1.2, 2.6, 1, 3], [1, 3, 1, 3], [0.999, 3.001, 0.5, 3.5], [1.001, 2.999, 1, 3], [2.6, 1.2, 1, 3], [-4, 0.2, 0, 0.5], [3.9, 99, 3.5, 4.3], [4.1, 4.2, 4, 4.3], [-Infinity, Infinity, 0, 4.3],
])("from %d to %d mm, whichever was marked first, is %d to %d mm on whole stations", (fromMm, toMm, from, to) => {
  expect(snap(fromMm, toMm)).toEqual([from, to]);
});

it("a place alone is the step around it, and a station alone is that station", () => {
  expect(snap(1.7, 1.7)).toEqual([1.5, 2]);
  expect(snap(2.5, 2.5)).toEqual([2.5, 2.5]);
  expect(snap(0, 0)).toEqual([0, 0]);
  expect(snap(4.3, 4.3)).toEqual([4.3, 4.3]);
});

it("off the strand, with no number, or without stations there is none", () => {
  expect([snap(-3, -0.001), snap(4.301, 9), snap(Number.NaN, 2), snap(1, Number.NaN), snapStretch([], { fromMm: 1, toMm: 2 })]).toEqual([null, null, null, null, null]);
  expect(snap(-3, 0)).toEqual([0, 0]);
});
