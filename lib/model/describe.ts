/** A found value in a few words for an error: JSON, cut at 60 characters; `nothing` for undefined. */
export function describe(value: unknown): string {
  if (value === undefined) return "nothing";
  if (typeof value === "number") return String(value); // JSON would call NaN null
  const text = (JSON.stringify(value) as string | undefined) ?? typeof value;
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}
