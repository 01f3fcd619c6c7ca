/** NIST Statistical Reference Datasets, nonlinear regression, Misra1a (y, x), with its certified values (from memory; that the sum of squares agrees to 8 digits shows that the points are those). */
export const nistMisra1a = {
  points: [
    [10.07, 77.6], [14.73, 114.9], [17.94, 141.1], [23.93, 190.8], [29.61, 239.9], [35.18, 289.0], [40.02, 332.8], [44.82, 378.4], [50.76, 434.8], [55.05, 477.3], [61.01, 536.8], [66.40, 593.1], [75.47, 689.1], [81.78, 760.0],
  ] as readonly (readonly [number, number])[],
  b1: 2.3894212918e2, b2: 5.5015643181e-4, sumOfSquares: 1.2455138894e-1,
};
