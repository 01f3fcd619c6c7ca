"use client";
import { useState } from "react";

/** What goes into job.json, to be copied. */
export function JobBlocks({ text }: { readonly text: string }) {
  const [said, setSaid] = useState("");
  const copy = (): void => {
    navigator.clipboard.writeText(text).then(() => setSaid("Copied."), () => setSaid("The browser does not let it be copied: mark it and copy it by hand."));
  };
  return (
    <section id="blocks" aria-labelledby="blocks-title">
      <h2 id="blocks-title">For the job</h2>
      <p className="said">The camera’s entry of “devices” and, where it is known, its entry of “mounts”.</p>
      <p className="acts"><button type="button" onClick={copy}>Copy</button><span role="status">{said}</span></p>
      {/* oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- it scrolls, so the keyboard has to reach it */}
      <pre className="job-blocks" tabIndex={0} role="region" aria-label="The job’s blocks">{text}</pre>
    </section>
  );
}
