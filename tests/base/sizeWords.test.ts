import { expect, it } from "vitest";
import { sizeWords } from "../../lib/base/sizeWords.ts";

it.each([[0, "0 B"], [999, "999 B"], [1000, "1.00 kB"], [9994, "9.99 kB"], [9995, "10.0 kB"], [99_940, "99.9 kB"], [99_950, "100 kB"], [999_499, "999 kB"], [999_500, "1.00 MB"], [12_400_000, "12.4 MB"], [16e9, "16.0 GB"], [2.5e15, "2500 TB"]])(
  "%d bytes are %s", (bytes, words) => { expect(sizeWords(bytes)).toBe(words); });
