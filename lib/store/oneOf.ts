/** `value` when it is one of `known`; a TypeError where the database holds a word that this program does not know. */
export function oneOf<T extends string>(known: readonly T[], value: string, column: string): T {
  const found = known.find((word) => word === value);
  if (found === undefined) throw new TypeError(`the database holds ${column} "${value}", which this program does not know`);
  return found;
}
