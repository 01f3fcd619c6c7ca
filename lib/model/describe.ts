/** A found value in a few words for an error: JSON, cut at 60 characters; `nothing` for undefined. */
export function describe(value: unknown): string {
  if (value === undefined) return "nothing";
  if (typeof value === "number") return String(value); // JSON would call NaN null
  const text = jsonOf(value) ?? typeof value; // undefined for functions, whatever the types say
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

/** undefined: JSON cannot say it, or it is too deep. */
function jsonOf(value: unknown): string | undefined {
  try {
    return JSON.stringify(value);
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
