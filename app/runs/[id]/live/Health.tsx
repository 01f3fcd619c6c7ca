import type { Fact } from "../../../../lib/model/sheet.ts";

/** How far keeping and measuring are. */
export function Health({ facts }: { readonly facts: readonly Fact[] }) {
  if (facts.length === 0) return null;
  return (
    <section className="live-part" aria-labelledby="health-title">
      <h2 id="health-title">Kept and measured</h2>
      <dl className="facts">{facts.map((fact) => <div key={fact.name}><dt>{fact.name}</dt><dd>{fact.value}</dd></div>)}</dl>
    </section>
  );
}
