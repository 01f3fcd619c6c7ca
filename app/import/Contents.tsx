const FILES: readonly { readonly name: string; readonly holds: string; readonly needed: boolean }[] = [
  { name: "job.json", holds: "plan, nozzle, material, devices, tolerance", needed: true },
  { name: "plan.csv or plan.gcode", holds: "the toolpath", needed: true },
  { name: "profiles.arrow or .ndjson", holds: "height profiles", needed: true },
  { name: "progress.csv", holds: "where the nozzle was, and when", needed: false },
  { name: "rework.csv", holds: "stretches that a person took off again", needed: false },
  { name: "paste.csv", holds: "places in frames that a person marked as paste", needed: false },
  { name: "poses.csv, signals.csv", holds: "tracker and arm, pressure and the like", needed: false },
  { name: "frames.csv, frames/", holds: "camera frames", needed: false },
];

/** What a run folder holds, so that the right one is chosen. */
export function Contents() {
  return (
    <section className="contents">
      <table>
        <caption>A run folder holds</caption>
        <thead><tr><th scope="col">file</th><th scope="col">what</th><th scope="col">needed</th></tr></thead>
        <tbody>
          {FILES.map(({ name, holds, needed }) => <tr key={name}><th scope="row">{name}</th><td>{holds}</td><td>{needed ? "yes" : "–"}</td></tr>)}
        </tbody>
      </table>
    </section>
  );
}
