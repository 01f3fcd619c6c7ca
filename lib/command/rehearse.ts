/** `rehearse`: the simulated cell; a run folder with its true answer, a live run on a server, or a cause in a cell that runs. */
import { InputError } from "../base/errors.ts";
import { simulate } from "../rehearsal/simulate.ts";
import { writeRunFolder, type ProfileFormat } from "../rehearsal/write.ts";
import { causeInCell, rehearseLive } from "./cell.ts";
import type { Io } from "./io.ts";
import { reportProgress } from "./progress.ts";
import { asTyped, cameraOf, CAUSE_OPTIONS, helpText, LIVE_OPTIONS, parseOptions, settingsOf, type Values } from "./rehearseOptions.ts";

/** Which of the three is asked for. */
type Way = "out" | "live" | "cause";

/** Options of the other ways are refused, not passed over. */
function wayOf(values: Values): Way {
  const asked = (["out", "live", "cause"] as const).filter((name) => values[name] !== undefined), way = asked[0];
  if (way === undefined) throw new InputError("command.usage", "--out FOLDER or --live URL", "none", { key: "--out" });
  if (asked.length > 1) throw new InputError("command.usage", `--${way} alone`, asked.map((name) => `--${name}`).join(" and "), { key: `--${asked[1]}` });
  const others = { live: Object.keys(LIVE_OPTIONS), cause: Object.keys(CAUSE_OPTIONS) } as const;
  for (const other of ["live", "cause"] as const) {
    const stray = other === way ? undefined : others[other].find((name) => values[name] !== undefined);
    if (stray !== undefined) throw new InputError("command.usage", `--${stray} with --${other}`, `--${way}`, { key: `--${stray}` });
  }
  return way;
}

function formatOf({ format = "arrow" }: Values): ProfileFormat {
  if (format !== "arrow" && format !== "ndjson") throw new InputError("command.usage", "arrow or ndjson", JSON.stringify(format), { key: "--format" });
  return format;
}

async function writeFolder(values: Values, io: Io): Promise<number> {
  const { out } = values, format = formatOf(values);
  if (typeof out !== "string" || out === "") throw new InputError("command.usage", "--out FOLDER", "none", { key: "--out" });
  const settings = settingsOf(values), beganMs = io.nowMs(), progress = reportProgress(io);
  const after = (): string => `after ${Math.round((io.nowMs() - beganMs) / 1000)} s`;
  writeRunFolder(simulate(settings, cameraOf(values)), out, format, { onProfiles: (count) => progress(() => `${count} profiles ${after()}`), onFrames: (count) => progress(() => `${count} frames ${after()}`) });
  await io.out(`${out}\n`);
  return 0;
}

/** Runs the command; 0 when the folder is written, the live run finished or the cause carried out; 1 when a live run ends otherwise or nothing was caused; 2 after one clear error. */
export async function rehearse(argv: readonly string[], io: Io): Promise<number> {
  try {
    const values = parseOptions(argv);
    if (values.help === true) {
      await io.out(helpText());
      return 0;
    }
    switch (wayOf(values)) {
      case "out": return await writeFolder(values, io);
      case "live": return await rehearseLive(values, formatOf(values), io);
      case "cause": return await causeInCell(values, io);
    }
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    io.err(asTyped(error));
    return 2;
  }
}
