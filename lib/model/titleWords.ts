/** Words of every title block. */

/** "2026-02-03 09:12 UTC" of an ISO text in UTC. */
export function dateWords(iso: string): string {
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} UTC`;
}

/** "3f9c12ab…e140": enough of a hash to compare by eye. */
export function shortHash(hex: string): string {
  return `${hex.slice(0, 8)}…${hex.slice(-4)}`;
}

/** "REHEARSAL", "DEMO", both, or null for a run of a real cell. */
export function stampOf({ rehearsal, demo }: { readonly rehearsal: boolean; readonly demo: boolean }): string | null {
  const words = [...(demo ? ["DEMO"] : []), ...(rehearsal ? ["REHEARSAL"] : [])];
  return words.length === 0 ? null : words.join(" · ");
}
