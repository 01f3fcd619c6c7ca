import { expect, it } from "vitest";
import type { BodyFinding } from "../../lib/model/result.ts";
import { SteadyBodies } from "../../lib/run/steadyBodies.ts";

const body = (xMm: number, areaMm2 = 2.5): BodyFinding => ({ kind: "strayMaterial", severity: "act", proven: true, layer: 2, areaMm2, volumeMm3: 1, lengthMm: 2, position: [xMm, 7, 1], worst: { metric: "areaMm2", value: areaMm2, limit: 0.5 } });

it("a body is told once it has stood for 2.5 s of stamps, as it stands then; just under that it is not", () => {
  const steady = new SteadyBodies();
  expect([steady.take(2, [body(4)], 31), steady.take(2, [body(4.5)], 33.4)]).toEqual([[], []]);
  expect(steady.take(2, [body(5, 3.25)], 33.5)).toEqual([body(5, 3.25)]);
});

it("one that was gone in between begins anew, and so does one over 3 mm away; 3 mm away it is the same", () => {
  const steady = new SteadyBodies();
  steady.take(2, [body(4), body(20)], 31);
  steady.take(2, [body(23)], 32);
  expect(steady.take(2, [body(4), body(23)], 34)).toEqual([body(23)]);
  expect(steady.take(2, [body(26.1)], 34.5)).toEqual([]);
});

it("another layer begins with none", () => {
  const steady = new SteadyBodies();
  steady.take(2, [body(4)], 31);
  expect(steady.take(3, [{ ...body(4), layer: 3 }], 40)).toEqual([]);
});
