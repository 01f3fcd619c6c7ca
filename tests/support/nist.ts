/** Values of NIST's Statistical Reference Datasets and of the NIST/SEMATECH e-Handbook of Statistical Methods that more than one test asks for. */

/** StRD univariate: Mavro, 50 observations. */
export const MAVRO: readonly number[] = "2.0018 2.0017 2.0018 2.0019 2.0018 2.0017 2.0015 2.0014 2.0015 2.0015 2.0017 2.0018 2.0018 2.0019 2.0019 2.0021 2.0020 2.0016 2.0014 2.0013 2.0013 2.0015 2.0015 2.0016 2.0015 2.0014 2.0013 2.0014 2.0015 2.0014 2.0015 2.0016 2.0015 2.0016 2.0019 2.0020 2.0020 2.0021 2.0022 2.0023 2.0024 2.0025 2.0027 2.0026 2.0026 2.0026 2.0027 2.0026 2.0025 2.0024".split(" ").map(Number);
