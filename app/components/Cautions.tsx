/** What stands before a person who comes in to act. */
export function Cautions() {
  return (
    <section className="cautions" aria-labelledby="cautions-title">
      <h2 id="cautions-title">Before you act</h2>
      <ul>
        <li><strong>Aslaid watches; it does not make a print safe.</strong> It is for research and bench use, no medical device and no emergency stop.</li>
        <li>What it asks of a cell (pause, resume, abort) is a request over the network. The cell may refuse it, or never hear it. Where something is wrong, use the hardware stop first.</li>
        <li>Pause and abort never ask who you are, on any page.</li>
        <li>Hardware stops, the cell’s own limits and the responsible licensed people come first. Local rules, ethics approval and the applicable standards decide.</li>
        <li>Everything else that you do stands in the run’s log under your name, for good. Sign out when you leave the bench.</li>
      </ul>
    </section>
  );
}
