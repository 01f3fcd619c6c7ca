/** The training desk's page: plain HTML, a drawing sheet, one button a cause. Style and script are files of their own, so that the page's policy can be strict. */
import { CAUSES, CAUSE_KINDS, type CauseKind } from "./liveCauses.ts";

/** What the desk shows. */
export interface DeskState {
  readonly runId: string;
  /** What the cell is doing, as a sentence. */
  readonly doing: string;
  /** Causes that are in force now. */
  readonly on: readonly CauseKind[];
}

const ESCAPES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };
function escaped(text: string): string {
  return text.replace(/[&<>"]/g, (sign) => ESCAPES[sign] as string);
}

function button(kind: CauseKind, undo: boolean): string {
  const { label, undo: back, about } = CAUSES[kind], id = `${kind}-${undo ? "undo" : "do"}`;
  const described = undo ? "" : ` aria-describedby="${kind}-about"`;
  return `<form method="post" action="/cause"><input type="hidden" name="kind" value="${kind}">${undo ? '<input type="hidden" name="undo" value="true">' : ""}<button id="${id}"${described}>${escaped(undo ? back ?? label : label)}</button></form>${undo ? "" : `<p id="${kind}-about">${escaped(about)}</p>`}`;
}

const TAKE_OFF = ["layer", "strand", "fromMm", "toMm"] as const;
const TAKE_OFF_WORDS: Readonly<Record<(typeof TAKE_OFF)[number], string>> = { layer: "Layer", strand: "Strand", fromMm: "From, mm", toMm: "To, mm" };

function takeOffForm(): string {
  const field = (key: (typeof TAKE_OFF)[number]): string => `<label>${TAKE_OFF_WORDS[key]} <input name="${key}" type="number" min="0" step="any" required></label>`;
  return `<form method="post" action="/cause"><input type="hidden" name="kind" value="takeOff">${TAKE_OFF.map(field).join(" ")} <button>${CAUSES.takeOff.label}</button></form><p>${escaped(CAUSES.takeOff.about)}</p>`;
}

/** The page; `notice` is what became of the last button, "" for nothing. */
export function deskPage({ runId, doing, on }: DeskState, notice: string): string {
  const rows = CAUSE_KINDS.filter((kind) => kind !== "takeOff").map((kind) => `<tr><th scope="row">${button(kind, false)}</th><td>${CAUSES[kind].undo === null ? "" : button(kind, true)}</td><td id="${kind}-on">${on.includes(kind) ? "now" : ""}</td></tr>`);
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>REHEARSAL: training desk</title>
<link rel="stylesheet" href="/desk.css">
<script src="/desk.js" defer></script>
</head>
<body>
<main>
<h1>Training desk</h1>
<p class="stamp">REHEARSAL</p>
<p>A simulated cell, run ${escaped(runId)}. What is caused here happens to invented paste alone.</p>
<p id="doing">${escaped(doing)}</p>
<p id="notice" role="status">${escaped(notice)}</p>
<table>
<caption>What goes wrong</caption>
<thead><tr><th scope="col">Cause</th><th scope="col">Put right</th><th scope="col">In force</th></tr></thead>
<tbody>
${rows.join("\n")}
</tbody>
</table>
<section aria-label="${CAUSES.takeOff.label}">${takeOffForm()}</section>
</main>
</body>
</html>
`;
}

/** Paper ground and ink lines, in light and dark; targets of at least 44 px. */
export const DESK_CSS = `:root { color-scheme: light dark; --ground: #e9e6dc; --sheet: #f7f5ee; --ink: #15191c; --hair: #c9c6ba; }
@media (prefers-color-scheme: dark) { :root { --ground: #0c0f11; --sheet: #14181b; --ink: #ece8dc; --hair: #3b4144; } }
* { box-sizing: border-box; }
body { margin: 0; padding: 16px; background: var(--ground); color: var(--ink); font: 400 17px/1.4 "Barlow Semi Condensed", "Arial Narrow", sans-serif; font-variant-numeric: tabular-nums; }
main { max-width: 860px; margin: 0 auto; padding: 24px 32px; background: var(--sheet); border: 1.5px solid var(--ink); }
h1 { margin: 0; font-size: 1.9rem; line-height: 1.15; }
p { margin: 8px 0; }
.stamp { font-weight: 700; letter-spacing: 0.22em; }
#doing { font-size: 1.25rem; font-weight: 600; }
table { width: 100%; margin: 16px 0; border-collapse: collapse; border: 1.5px solid var(--ink); }
caption { text-align: left; padding: 0 0 6px; }
th, td { padding: 8px; text-align: left; vertical-align: top; border-top: 1px solid var(--hair); font-weight: 400; }
th p { margin: 4px 0 0; font-size: 0.94rem; }
form { margin: 0; }
button { font: inherit; color: inherit; background: none; border: 1.5px solid var(--ink); min-height: 44px; min-width: 44px; padding: 0 16px; cursor: pointer; }
button:focus-visible, input:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; }
input { font: inherit; color: inherit; background: none; border: 1px solid var(--ink); min-height: 44px; width: 6em; padding: 0 8px; }
label { display: inline-block; margin: 0 12px 8px 0; }
section { border-top: 1.5px solid var(--ink); padding-top: 16px; }
`;

/** Keeps the sentence and the marks fresh; without it the page still works, each button loading it anew. */
export const DESK_JS = `const write = (id, text) => { const place = document.getElementById(id); if (place && place.textContent !== text) place.textContent = text; };
const refresh = async () => {
  try {
    const state = await (await fetch("/state")).json();
    write("doing", state.doing);
    for (const mark of document.querySelectorAll("td[id$='-on']")) write(mark.id, state.on.includes(mark.id.slice(0, -3)) ? "now" : "");
  } catch {
    write("doing", "The cell's process does not answer any more.");
  }
};
setInterval(refresh, 1000);
`;
