/** Values of NIST's Statistical Reference Datasets and of the NIST/SEMATECH e-Handbook of Statistical Methods that more than one test asks for. */

/** StRD univariate: Mavro, 50 observations. */
export const MAVRO: readonly number[] = "2.0018 2.0017 2.0018 2.0019 2.0018 2.0017 2.0015 2.0014 2.0015 2.0015 2.0017 2.0018 2.0018 2.0019 2.0019 2.0021 2.0020 2.0016 2.0014 2.0013 2.0013 2.0015 2.0015 2.0016 2.0015 2.0014 2.0013 2.0014 2.0015 2.0014 2.0015 2.0016 2.0015 2.0016 2.0019 2.0020 2.0020 2.0021 2.0022 2.0023 2.0024 2.0025 2.0027 2.0026 2.0026 2.0026 2.0027 2.0026 2.0025 2.0024".split(" ").map(Number);

const numbers = (text: string): readonly number[] => text.split(" ").map(Number);

/** StRD linear regression: Norris, 36 pairs, with the certified values. */
export const NORRIS = {
  y: numbers("0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"),
  x: numbers("0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"),
  intercept: -0.262323073774029, interceptSd: 0.232818234301152, slope: 1.00211681802045, slopeSd: 0.000429796848199937,
  residualSd: 0.884796396144373, r2: 0.999993745883712, sse: 26.6173985294224, f: 5436385.54079785,
} as const;

/** e-Handbook 6.3.2.4, EWMA: start 50, s 2.0539, lambda 0.3, 3 s. */
export const EWMA = {
  x: numbers("52 47 53 49.3 50.1 47 51 50.1 51.2 50.5 49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1"),
  points: numbers("50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33 50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99"),
} as const;

/** e-Handbook 6.3.2.3, CUSUM: target 325, k 0.3175, h 4.1959. */
export const CUSUM = {
  x: numbers("324.925 324.675 324.725 324.350 325.350 325.225 324.125 324.525 325.225 324.600 324.625 325.150 328.325 327.250 327.825 328.500 326.675 327.775 326.875 328.350"),
  high: numbers("0 0 0 0 0.0325 0 0 0 0 0 0 0 3.0075 4.94 7.4475 10.63 11.9875 14.445 16.0025 19.035"),
  low: numbers("0 0.0075 0 0.3325 0 0 0.5575 0.715 0.1725 0.255 0.3125 0 0 0 0 0 0 0 0 0"),
} as const;

/** e-Handbook 6.3.2.2, individuals: mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159, range limit 6.1347. */
export const INDIVIDUALS: readonly number[] = numbers("49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1");

/** Sequences of distances from the centre line in standard deviations with the rules first met and the place, from 1 (Nelson 1984 and Western Electric, from memory; places derived). */
export const RULE_SEQUENCES: readonly { readonly z: readonly number[]; readonly first: Readonly<Record<string, number>> }[] = [
  { z: [0, 0, 3], first: {} },
  { z: [0, 0, 3.01], first: { N1: 3, WE1: 3 } },
  { z: [0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1], first: { WE4: 8, N2: 9 } },
  { z: [-0.5, -0.3, -0.1, 0.1, 0.3, 0.5], first: { N3: 6 } },
  { z: Array.from({ length: 14 }, (_, i) => (i % 2 === 0 ? 0.4 : -0.4)), first: { N4: 14 } },
  { z: [2.1, 0, 2.1], first: { N5: 3, WE2: 3 } },
  { z: [2.1, 0, -2.1], first: {} },
  { z: [1.1, 1.1, 0, 1.1, 1.1], first: { N6: 5, WE3: 5 } },
  { z: Array.from({ length: 15 }, (_, i) => (i % 2 === 0 ? 0.5 : -0.5)), first: { N4: 14, N7: 15 } },
  { z: Array.from({ length: 8 }, (_, i) => (i % 2 === 0 ? 1.2 : -1.2)), first: { N8: 8 } },
];

/** Chart constants for n = 2..10, computed by integration outside the project; D4(2) is 3.267 or 3.268 by source. */
export const CONSTANTS = {
  d2: numbers("1.12838 1.69257 2.05875 2.32593 2.53441 2.70436 2.84720 2.97003 3.07751"),
  d3: numbers("0.8525 0.8884 0.8798 0.8641 0.8480 0.8332 0.8198 0.8078 0.7971"),
  a2: numbers("1.8800 1.0233 0.7286 0.5768 0.4832 0.4193 0.3725 0.3367 0.3083"),
  d3Limit: numbers("0 0 0 0 0 0.0757 0.1362 0.1840 0.2230"),
  d4Limit: numbers("3.2665 2.5746 2.2821 2.1145 2.0038 1.9243 1.8638 1.8160 1.7770"),
  c4: numbers("0.79788 0.88623 0.92132 0.93999 0.95153 0.95937 0.96503 0.96931 0.97266"),
} as const;
