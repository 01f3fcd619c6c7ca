/** "412 B", "3.8 kB", "12.4 MB", "2.00 GB": a number of bytes for people, in powers of 1000 (ISO 80000-13, SI prefixes), three digits. */
export function sizeWords(bytes: number): string {
  const units = ["B", "kB", "MB", "GB", "TB"];
  let value = bytes;
  let unit = 0;
  // 999.5 would be rounded to four digits.
  while (value >= 999.5 && unit < units.length - 1) {
    value /= 1000;
    unit++;
  }
  const digits = unit === 0 ? 0 : value >= 99.95 ? 0 : value >= 9.995 ? 1 : 2;
  return `${value.toFixed(digits)} ${units[unit]}`;
}
